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

/// Where classes are tied to ambients, the class of the place's ambient speaks, or nobody does.
#[test]
fn the_class_of_the_ambient() {
    // Carbon disulphide asks for T6, diethyl ether for T4.
    let expected = [
        (
            "Ex db IIC T6 (Ta=40°C), T5 (Ta=55°C) Gb",
            "40",
            Outcome::Suitable,
        ),
        (
            "Ex db IIC T6 (Ta=40°C), T5 (Ta=55°C) Gb",
            "50",
            Outcome::Unsuitable,
        ),
        (
            "Ex db IIC T5 Ta ≤ 55 °C / T6 Ta ≤ 40 °C Gb",
            "50",
            Outcome::Unsuitable,
        ),
        (
            "Ex db IIC T6 @ 40 °C, T5 @ 55 °C Gb",
            "50",
            Outcome::Unsuitable,
        ),
        (
            "Ex db IIC T6/T5 Gb\nT6: Ta -20 to +40 °C\nT5: Ta -20 to +55 °C",
            "40",
            Outcome::Suitable,
        ),
        (
            "Ex db IIC T6/T5 Gb\nT6: Ta -20 to +40 °C\nT5: Ta -20 to +55 °C",
            "50",
            Outcome::Unsuitable,
        ),
        (
            "Ex db IIC T6 Gb\nTa 40 °C: T6\nTa 55 °C: T5",
            "50",
            Outcome::Unsuitable,
        ),
        (
            "Ex db IIC T5 Gb\nTa=40°C T6\nTa=55°C T5\nTa=70°C T4",
            "50",
            Outcome::Unsuitable,
        ),
        (
            "Ex db IIC T5 Gb\nTa=40°C, T6\nTa=55°C, T5\nTa=70°C, T4",
            "50",
            Outcome::Unsuitable,
        ),
        (
            "Ex db IIC T6 (Ta ≤ 40°C) T5 (40°C < Ta ≤ 55°C) Gb",
            "40",
            Outcome::Suitable,
        ),
        // A table that contradicts itself: the hotter class speaks.
        (
            "Ex db IIC T5 (Ta 40 °C), T6 (Ta 55 °C) Gb",
            "40",
            Outcome::Unsuitable,
        ),
        (
            "Ex db IIC T5 (Ta 40 °C), T6 (Ta 55 °C) Gb",
            "50",
            Outcome::Unsuitable,
        ),
        // The lower end is printed too, and the place goes below it.
        (
            "Ex db IIC T6 (0 °C ≤ Ta ≤ 40 °C), T5 (0 °C ≤ Ta ≤ 55 °C) Gb",
            "40",
            Outcome::Unsuitable,
        ),
        // Either class may hold.
        ("Ex db IIC T6 or T5 Gb", "40", Outcome::Undecided),
        ("Ex db IIC T6, T5 Gb", "40", Outcome::Undecided),
        ("Ex db IIC T6 Gb T5", "40", Outcome::Undecided),
        ("Ex db IIC T6 Gb\nT4 for type B", "40", Outcome::Undecided),
        // A table without the class of the string is none of it.
        (
            "Ex db IIC T6 Gb\nT4: Ta 40 °C\nT3: Ta 55 °C",
            "40",
            Outcome::Undecided,
        ),
        (
            "Ex db IIC T6 Gb\nTa 40 °C: T4\nTa 55 °C: T3",
            "40",
            Outcome::Undecided,
        ),
        // Of two markings the table fits neither alone nor both.
        (
            "Ex db IIC T6 Gb\nEx ia IIC T4 Ga\nIP66 Ta -20...+55 °C\nT6: Ta 40 °C\nT5: Ta 55 °C",
            "50",
            Outcome::Undecided,
        ),
    ];
    let mut wrong = Vec::new();
    for (text, high, outcome) in expected {
        let v = verdict(
            text,
            &format!("zone=1 gas=carbon_disulphide ambient=-20..{high}"),
        );
        if v.outcome != outcome {
            wrong.push(format!("{text} at {high} °C: {:?}", v.outcome));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let american = "CL I DIV 2 GP ABCD T4 Ta ≤ 60 °C / T5 Ta ≤ 40 °C";
    let at = |high: &str| {
        verdict(
            american,
            &format!("zone=Class_I,_Division_2 group=D ignition=120 ambient=-20..{high}"),
        )
    };
    assert!(at("40").outcome > Outcome::Undecided, "{:?}", at("40"));
    assert_eq!(at("50").outcome, Outcome::Unsuitable);
}

/// A class in the place of °C behind an old dust type is its limit, and the certificate must confirm it.
#[test]
fn a_class_behind_an_old_dust_type() {
    let place = "zone=21 cloud=400 layer=200 depth=5 dust_group=IIIB";
    for text in [
        "DIP A21 TA,T6 IP65",
        "DIP A21 TA T6 IP65",
        "Ex tD A21 IP65 T6",
    ] {
        assert_eq!(verdict(text, place).outcome, Outcome::Conditional, "{text}");
    }
    // 200 °C is more than 75 K under the layer's temperature allows.
    assert_eq!(
        verdict("DIP A21 TA,T3 IP65", place).outcome,
        Outcome::Unsuitable
    );
    // `TA 170 °C` behind the IP code is no ambient.
    assert_eq!(
        verdict("Ex tD A21 IP65 TA 170 °C", place).outcome,
        Outcome::Unsuitable
    );
}
