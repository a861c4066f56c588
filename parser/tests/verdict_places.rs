//! Places as people write them, and what a verdict says beside its grounds.

mod verdict_support;

use verdict_support::{fields, verdict};
use vetplate_parser::place::Place;
use vetplate_parser::verdict::Outcome;

/// A verdict says what was taken for granted and what would settle it.
#[test]
fn notes_and_next_steps() {
    let v = verdict("Ex db IIC T4 Gb ABC 18 ATEX 1234 X", "zone=1 group=IIB");
    assert!(
        v.notes
            .iter()
            .any(|n| n.contains("No ambient range is printed")),
        "{:?}",
        v.notes
    );
    assert!(
        v.notes
            .iter()
            .any(|n| n.contains("ambient range of the place is not given"))
    );
    assert!(
        v.next_steps.iter().any(|s| s.contains("ignition_c")),
        "{:?}",
        v.next_steps
    );
    assert!(v.next_steps.iter().any(|s| s.contains("ABC 18 ATEX 1234")));
    assert_eq!(vetplate_parser::verdict::cautions().len(), 6);
    let v = verdict("Ex ec IIC T4 Gc", "zone=1 gas=ethanol");
    assert!(
        v.next_steps.iter().any(|s| s.contains("EPL Gb (II 2 G)")),
        "{:?}",
        v.next_steps
    );
    // An unknown name with a value of its own is used, and what is missing is asked for.
    let v = verdict("Ex db IIC T4 Gb", "zone=1 gas=trial_mixture group=IIB");
    assert_eq!(v.outcome, Outcome::Undecided);
    assert!(
        v.notes
            .iter()
            .any(|n| n.contains("'trial mixture' is not in the table"))
    );
    assert!(
        v.next_steps.iter().any(|s| s.contains("trial mixture")),
        "{:?}",
        v.next_steps
    );
    for ground in &v.grounds {
        assert!(!ground.source.is_empty() && !ground.detail.to_string().is_empty());
    }
}

/// The sentences that people read.
#[test]
fn sentences() {
    let v = verdict("Ex db IIC T4 Gb", "zone=1 gas=ethanol");
    let said: Vec<String> = v.grounds.iter().map(|g| g.detail.to_string()).collect();
    assert_eq!(
        said,
        [
            "EPL Gb is enough for zone 1 (needs Gb)",
            "group IIC covers IIB; ethanol is IIB (IIA before 2010; checked)",
            "T4: at most 135 °C; ethanol ignites at 363 °C (NFPA 497:2008; 400 °C in IEC 60079-20-1:2010)",
            "ambient −20 °C to +40 °C lies within the default range of −20 °C to +40 °C",
        ]
    );
}

#[test]
fn places_that_cannot_be() {
    for (place, field, words) in [
        ("zone=7", "zone", "write 0, 1, 2"),
        (
            "zone=1 ambient=40..-20 group=IIA",
            "ambient_c",
            "write -20..40",
        ),
        ("zone=1 ambient=warm group=IIA", "ambient_c", "LO..HI"),
        ("zone=1 gas=ethnol", "gas", "did you mean ethanol"),
        ("zone=1 gas=unobtainium", "gas", "gas_group and ignition_c"),
        ("zone=1 gas=C2H6O", "gas", "several substances"),
        ("zone=21 dust=flor", "dust", "wheat flour"),
        (
            "zone=1 group=IIA ignition=NaN",
            "ignition_c",
            "decimal number",
        ),
        (
            "zone=1 group=IIA ignition=inf",
            "ignition_c",
            "decimal number",
        ),
        ("zone=1 group=IIA ignition=-5", "ignition_c", "outside"),
        ("zone=21 dust_group=IIIB depth=-1", "layer_mm", "outside"),
        ("zone=1 group=D", "gas_group", "with a zone write IIA"),
        (
            "zone=Class_I,_Division_1 group=IIA",
            "gas_group",
            "write A, B, C or D",
        ),
        (
            "zone=Class_II,_Division_1 group=D",
            "gas_group",
            "Class II takes E, F or G",
        ),
        ("zone=1 group=IID", "gas_group", "no gas group"),
        ("zone=1 group=IIIC", "gas_group", "give it as dust_group"),
        ("zone=1 dust=flour", "zone", "only dust is described"),
        ("zone=22 gas=ethanol", "zone", "only gas is described"),
        ("zone=1 group=IIA epl=Db", "epl", "atmosphere"),
        ("zone=1 group=IIA class=T7", "t_class", "T1, T2"),
        ("zone=1 group=IIA ip=IP77", "ip", "IP code"),
        ("zone=1+2 group=IIA", "zone", "no zone"),
    ] {
        let errors = Place::from_fields(&fields(place)).expect_err(place);
        assert!(
            errors
                .iter()
                .any(|e| e.field == field && e.message.contains(words)),
            "{place}: {errors:?}"
        );
        for error in errors {
            assert!(error.message.starts_with(error.field), "{}", error.message);
        }
    }
}

#[test]
fn places_as_people_write_them() {
    for (a, b) in [
        ("zone=Zone_1 group=ii_b", "zone=1 group=IIB"),
        ("zone=zone-21 dust_group=iiib", "zone=21 dust_group=IIIB"),
        (
            "zone=CL_I_DIV_2 group=Group_D",
            "zone=Class_I,_Division_2 group=D",
        ),
        (
            "zone=1 ambient=-20…+40 group=IIA",
            "zone=1 ambient=-20_to_40 group=IIA",
        ),
        (
            "zone=1 ambient=−20..40 group=IIA",
            "zone=1 ambient=-20...40 group=IIA",
        ),
        (
            "zone=1/21 group=IIA dust_group=IIIB",
            "zone=21_and_1 group=IIA dust_group=IIIB",
        ),
        ("zone=1 group=IIB_+_H2", "zone=1 group=IIB+H2"),
        ("zone=1 group=IIA ip=IP65", "zone=1 group=IIA ip=65"),
    ] {
        assert_eq!(
            Place::from_fields(&fields(a)),
            Place::from_fields(&fields(b)),
            "{a}"
        );
        assert!(Place::from_fields(&fields(a)).is_ok(), "{a}");
    }
}
