//! Edge cases of the verdict, one line each: marking, place, outcome, words of the worst
//! ground, and the clause that the line rests on.

use vetplate_parser::place::{Place, PlaceFields};
use vetplate_parser::verdict::{Outcome, Verdict, judge};
use vetplate_parser::{Line, read};

/// Reads `zone=1 gas=ethanol,hydrogen ignition_c=400`; blanks within a value are written `_`.
fn fields(text: &str) -> PlaceFields {
    let mut fields = PlaceFields::default();
    for pair in text.split_whitespace() {
        let (key, value) = pair.split_once('=').expect("key=value");
        let value = value.replace('_', " ");
        let list = || value.split(',').map(str::to_owned).collect();
        let some = Some(value.clone());
        match key {
            "zone" => fields.zone = some,
            "epl" => fields.epl = some,
            "gas" => fields.gas = list(),
            "group" => fields.gas_group = some,
            "ignition" => fields.ignition_c = some,
            "class" => fields.t_class = some,
            "dust" => fields.dust = list(),
            "dust_group" => fields.dust_group = some,
            "cloud" => fields.cloud_ignition_c = some,
            "layer" => fields.layer_ignition_c = some,
            "depth" => fields.layer_mm = some,
            "surface" => fields.max_surface_c = some,
            "ambient" => fields.ambient_c = some,
            "ip" => fields.ip = some,
            other => panic!("unknown key {other}"),
        }
    }
    fields
}

fn verdict(text: &str, place: &str) -> Verdict {
    let place = Place::from_fields(&fields(place)).unwrap_or_else(|e| panic!("{place}: {e:?}"));
    let lines: Vec<Line> = text.split('\n').map(Line::certain).collect();
    judge(&read(&lines), &place)
}

const DUST: &str = "dust_group=IIIB cloud=400 layer=300 depth=5";

#[track_caller]
fn hold(cases: &[(&str, &str, Outcome, &str, &str)]) {
    let mut wrong = Vec::new();
    for (text, place, want, words, source) in cases {
        assert!(!source.is_empty());
        let place = place.replace("DUST", DUST);
        let got = verdict(text, &place);
        let worst = got.grounds.iter().filter(|g| g.outcome == got.outcome);
        let said = worst.clone().any(|g| g.detail.contains(words));
        if got.outcome != *want || !said {
            let all: Vec<String> = got
                .grounds
                .iter()
                .map(|g| format!("    {} {}: {}", g.outcome, g.rule, g.detail))
                .collect();
            wrong.push(format!(
                "{text} at {place}: {} (want {want}, '{words}')\n{}",
                got.outcome,
                all.join("\n")
            ));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {} differ:\n{}",
        wrong.len(),
        cases.len(),
        wrong.join("\n")
    );
}

use Outcome::{Conditional as C, Suitable as S, Undecided as U, Unsuitable as X};

#[test]
fn level() {
    hold(&[
        (
            "Ex db eb IIC T4 Gb",
            "zone=1 group=IIB ignition=440",
            S,
            "",
            "IEC 60079-14 5.3",
        ),
        (
            "Ex ia IIC T4 Gb",
            "zone=0 group=IIB ignition=440",
            X,
            "EPL Gb is not enough",
            "IEC 60079-14 5.3",
        ),
        (
            "Ex ib IIC T4 Gb",
            "zone=1 group=IIB ignition=440",
            S,
            "",
            "IEC 60079-14 5.4",
        ),
        (
            "Ex ec IIC T4 Gc",
            "zone=1 group=IIB ignition=440 epl=Gc",
            C,
            "risk assessment",
            "IEC 60079-14 5.3",
        ),
        (
            "Ex ec IIC T4 Gc",
            "zone=2 group=IIB ignition=440 epl=Gb",
            X,
            "risk assessment",
            "IEC 60079-14 5.3",
        ),
        (
            "Ex ec IIC T4 Gc",
            "zone=2 group=IIB ignition=440 epl=Gc",
            S,
            "",
            "IEC 60079-14 5.3",
        ),
        (
            "Ex db+mb IIB T4 Ga",
            "zone=0 group=IIB ignition=440",
            C,
            "joined by +",
            "IEC 60079-26",
        ),
        (
            "Ex da IIC T4 Ga",
            "zone=0 group=IIB ignition=440",
            X,
            "counts as db",
            "IEC 60079-1",
        ),
        (
            "Ex da IIC T4 Ga",
            "zone=1 group=IIB ignition=440",
            U,
            "",
            "IEC 60079-1",
        ),
        (
            "Ex i IIC T4",
            "zone=2 group=IIB ignition=440",
            U,
            "i without a, b or c",
            "IEC 60079-14 5.4",
        ),
        (
            "Ex s IIC T4",
            "zone=2 group=IIB ignition=440",
            U,
            "special protection",
            "IEC 60079-33",
        ),
        (
            "Ex vb IIC T4 Gb",
            "zone=1 group=IIB ignition=440",
            U,
            "",
            "IEC 60079-13",
        ),
        (
            "II 1/2 G Ex ia/db IIC T4 Ga/Gb",
            "zone=0 group=IIB ignition=440",
            C,
            "boundary wall",
            "IEC 60079-26",
        ),
        (
            "II 1/2 G Ex ia/db IIC T4 Ga/Gb",
            "zone=2 group=IIB ignition=440",
            S,
            "",
            "IEC 60079-26",
        ),
        (
            "II 1 G Ex db IIC T6 Gb",
            "zone=0 group=IIB ignition=440",
            X,
            "not enough",
            "weaker reading",
        ),
        (
            "II 1 G Ex db IIC T6 Gb",
            "zone=1 group=IIB ignition=440",
            U,
            "disagree",
            "weaker reading",
        ),
        (
            "II 2 D Ex eb IIC T6 Gb",
            "zone=1 group=IIB ignition=440",
            X,
            "category line",
            "weaker reading",
        ),
        (
            "Ex op is IIC T6 Ga",
            "zone=0 group=IIB ignition=440",
            C,
            "beam alone",
            "IEC 60079-28",
        ),
        (
            "Ex nA IIC T4 Gb",
            "zone=2 group=IIA ignition=400",
            U,
            "EPL stronger",
            "weaker reading",
        ),
        (
            "EEx ed [ia] IIC T4",
            "zone=1 group=IIB ignition=440",
            S,
            "",
            "IEC 60079-14 5.4",
        ),
        (
            "[EEx ia] IIC",
            "zone=2 group=IIB ignition=440",
            X,
            "associated apparatus",
            "IEC 60079-11",
        ),
        ("[EEx ia] IIC", "zone=non-hazardous", S, "", "IEC 60079-11"),
        (
            "[Ex ia Ga] IIC ABC 19 ATEX 1234 X",
            "zone=non-hazardous",
            C,
            "ABC 19 ATEX 1234",
            "IEC 60079-0 29",
        ),
        (
            "Ex eb IIC Gb ABC 18 ATEX 1000 U",
            "zone=non-hazardous",
            X,
            "Ex component",
            "IEC 60079-0 13",
        ),
        ("Ex db I Mb", "zone=mine-M2", S, "", "IEC 60079-0"),
        ("Ex ia I Ma", "zone=mine-M1", S, "", "IEC 60079-0"),
        (
            "I M2 Ex db I Mb",
            "zone=mine-M1",
            X,
            "Mb",
            "2014/34/EU Annex I",
        ),
        (
            "hello world",
            "zone=1 group=IIA ignition=400",
            U,
            "no marking",
            "IEC 60079-0 29",
        ),
    ]);
}

#[test]
fn group() {
    hold(&[
        (
            "Ex db IIA T4 Gb",
            "zone=1 group=IIB ignition=440",
            X,
            "IIA does not cover IIB",
            "IEC 60079-14 5.5",
        ),
        (
            "Ex db IIB T2 Gb",
            "zone=1 gas=ethanol",
            S,
            "",
            "IEC 60079-20-1",
        ),
        (
            "Ex db IIA T2 Gb",
            "zone=1 gas=ethanol",
            X,
            "ethanol is IIB",
            "IEC 60079-20-1",
        ),
        (
            "Ex db IIA T2 Gb",
            "zone=1 gas=ethanol group=IIA",
            C,
            "only with the group given",
            "stricter group",
        ),
        (
            "Ex db IIB T2 Gb",
            "zone=1 gas=ethanol group=IIA",
            S,
            "",
            "stricter group",
        ),
        (
            "Ex db IIB T2 Gb",
            "zone=1 gas=ethanol,hydrogen",
            X,
            "hydrogen is IIC",
            "strictest of several",
        ),
        (
            "Ex db IIB+H2 T1 Gb",
            "zone=1 gas=methane,hydrogen",
            S,
            "",
            "IEC 60079-0 4",
        ),
        (
            "Ex db IIB+H2 T2 Gb",
            "zone=1 gas=hydrogen,acetylene",
            X,
            "acetylene",
            "IEC 60079-0 4",
        ),
        (
            "Ex db IIB+H2 T2 Gb",
            "zone=1 gas=trial_mixture group=IIC ignition=500",
            X,
            "trial mixture",
            "IEC 60079-0 4",
        ),
        (
            "Ex db II (NH3) T1 Gb",
            "zone=1 gas=ammonia",
            S,
            "",
            "IEC 60079-0 29",
        ),
        (
            "Ex db II (NH3) T1 Gb",
            "zone=1 gas=methane",
            X,
            "NH3 only",
            "IEC 60079-0 29",
        ),
        (
            "Ex db II (NH3) T1 Gb",
            "zone=1 group=IIA ignition=630",
            U,
            "not named",
            "IEC 60079-0 29",
        ),
        (
            "EEx m II T6",
            "zone=1 group=IIC ignition=560",
            S,
            "",
            "group rule",
        ),
        (
            "EEx de II T4",
            "zone=1 group=IIA ignition=400",
            U,
            "group letter missing",
            "group rule",
        ),
        (
            "Ex nA II T3",
            "zone=2 group=IIC ignition=560",
            S,
            "",
            "group rule",
        ),
        (
            "II 2 G c T4",
            "zone=1 group=IIA ignition=400",
            U,
            "",
            "EN 13463 without a letter",
        ),
        (
            "Ex db IIC T4 Gb",
            "zone=1 ignition=400",
            U,
            "gas group of the place",
            "IEC 60079-14 5.5",
        ),
        (
            "Ex db IIC T4 Gb",
            "zone=1 gas=1-pentanol",
            U,
            "group of 1-pentanol",
            "unknown stays unknown",
        ),
        (
            "Ex ia IID T4 Ga",
            "zone=1 group=IIA ignition=400",
            U,
            "does not exist",
            "IEC 60079-0 4",
        ),
    ]);
}

#[test]
fn gas_temperature() {
    hold(&[
        (
            "Ex db IIC T2 Gb",
            "zone=1 gas=ethanol",
            S,
            "",
            "IEC 60079-14 5.6.2",
        ),
        (
            "Ex db IIC T1 Gb",
            "zone=1 gas=ethanol",
            X,
            "363 °C (NFPA 497:2008; 400 °C in IEC 60079-20-1:2010)",
            "stricter table",
        ),
        (
            "Ex db IIC T1 Gb",
            "zone=1 gas=ethanol ignition=500",
            C,
            "only by the value given",
            "user outranks, said so",
        ),
        (
            "Ex db IIC T3 Gb",
            "zone=1 gas=diethyl_ether",
            X,
            "160 °C",
            "IEC 60079-20-1",
        ),
        (
            "Ex db IIC T4 Gb",
            "zone=1 group=IIA",
            U,
            "ignition temperature",
            "IEC 60079-14 5.6.2",
        ),
        (
            "Ex db IIC T4 Gb",
            "zone=1 group=IIA class=T3",
            S,
            "",
            "class asked for",
        ),
        (
            "Ex db IIC T2 Gb",
            "zone=1 group=IIA class=T3",
            X,
            "more than the place permits",
            "class asked for",
        ),
        (
            "Ex db IIC T4 Gb",
            "zone=1 group=IIA ignition=400 surface=120",
            X,
            "120 °C",
            "site limit",
        ),
        (
            "Ex db IIC 95 °C (T4) Gb",
            "zone=1 group=IIA ignition=100",
            S,
            "",
            "IEC 60079-0 5.3",
        ),
        (
            "Ex db IIC T4...T6 Gb",
            "zone=1 group=IIB ignition=100",
            U,
            "certificate",
            "range",
        ),
        (
            "Ex db IIC T6...T4 Gb",
            "zone=1 group=IIB ignition=136",
            S,
            "",
            "range",
        ),
        (
            "Ex db IIC T6...T4 Gb",
            "zone=1 group=IIB ignition=85",
            X,
            "even the coldest",
            "range",
        ),
        (
            "Ex eb IIC T6 (T120 °C) Gb",
            "zone=1 group=IIA ignition=110",
            X,
            "120 °C",
            "weaker reading",
        ),
        (
            "Ex db IIB T3C Gb",
            "zone=1 group=IIA ignition=190",
            X,
            "200 °C",
            "weaker reading",
        ),
        (
            "Ex db IIC T6 (Ta ≤ +40 °C) / T4 (Ta ≤ +60 °C) Gb",
            "zone=1 group=IIC ignition=90 ambient=-20..65",
            X,
            "+65 °C",
            "IEC 60079-14 5.6.2",
        ),
        (
            "Ex db IIC T4 Gb Ta -20 °C to +60 °C",
            "zone=1 group=IIB ignition=400 ambient=-20..60",
            S,
            "",
            "IEC 60079-0 5.1",
        ),
        (
            "Ex db IIC T4 Gb",
            "zone=1 group=IIB ignition=400 ip=54",
            U,
            "no IP code",
            "IEC 60529",
        ),
        (
            "Ex db IIC T4 Gb IP66/67",
            "zone=1 group=IIB ignition=400 ip=67",
            S,
            "",
            "IEC 60529",
        ),
        (
            "Ex db IIC T4 Gb IP67",
            "zone=1 group=IIB ignition=400 ip=66",
            X,
            "IP67 does not meet IP66",
            "IEC 60529",
        ),
    ]);
}

#[test]
fn dust() {
    hold(&[
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 DUST",
            S,
            "",
            "IEC 60079-14 5.6.3",
        ),
        (
            "Ex tb IIIC T120 °C Db",
            "zone=21 DUST",
            U,
            "no IP code",
            "IEC 60079-31",
        ),
        (
            "Ex ib IIIC T120 °C Db",
            "zone=21 DUST",
            S,
            "",
            "IEC 60079-11",
        ),
        (
            "Ex tb IIIA T120 °C Db IP54",
            "zone=21 dust_group=IIIB cloud=400 layer=300 depth=5",
            X,
            "IIIA does not cover IIIB",
            "IEC 60079-0 4",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 cloud=400 layer=300 depth=5",
            S,
            "",
            "IIIC covers every dust",
        ),
        (
            "Ex tb IIIB T120 °C Db IP66",
            "zone=21 cloud=400 layer=300 depth=5",
            U,
            "dust group",
            "IEC 60079-14 5.5",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 dust_group=IIIB cloud=400 depth=5",
            U,
            "dust layer",
            "IEC 60079-14 5.6.3",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 dust_group=IIIB cloud=400 layer=melts depth=5",
            C,
            "melts",
            "IEC 60079-14 5.6.3",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 dust_group=IIIB cloud=400 layer=300",
            U,
            "depth",
            "no stated default",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 dust_group=IIIB cloud=400 layer=300 depth=20 surface=130",
            S,
            "",
            "permitted for that depth",
        ),
        (
            "Ex ta IIIC T200 110 °C Da IP68",
            "zone=20 dust_group=IIIB cloud=420 layer=260 depth=5",
            S,
            "",
            "IEC 60079-14 5.6.3",
        ),
        (
            "Ex ta IIIC T200 110 °C Da IP68",
            "zone=20 dust_group=IIIB cloud=420 layer=260 depth=250",
            U,
            "deeper than the 200 mm",
            "IEC 60079-14 5.6.3",
        ),
        (
            "Ex tD B21 IP66 T200 °C",
            "zone=21 dust_group=IIIB cloud=270 layer=300 depth=5",
            X,
            "cloud limit",
            "cloud rule holds for both practices",
        ),
        (
            "Ex tD A20 IP66 T100 °C",
            "zone=20 DUST",
            C,
            "zone 20",
            "IEC 60079-14 5.4",
        ),
        (
            "Ex tD A20 IP66 T100 °C",
            "zone=21 DUST",
            S,
            "",
            "IEC 60079-14 5.4",
        ),
        (
            "DIP A21 T120 °C IP54",
            "zone=21 DUST",
            X,
            "below IP6X",
            "IEC 61241",
        ),
        (
            "II 3 D T125 °C IP66",
            "zone=22 dust_group=IIIC cloud=530 layer=280 depth=5",
            X,
            "category 3 D",
            "EN 50281-1-2",
        ),
        (
            "II 2 D T125 °C IP66",
            "zone=22 dust_group=IIIC cloud=530 layer=280 depth=5",
            S,
            "",
            "EN 50281-1-2",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 dust=flour depth=5",
            C,
            "lower end",
            "table alone is conditional",
        ),
        (
            "Ex tb IIIC T240 °C Db IP66",
            "zone=21 dust=flour depth=5",
            X,
            "225 °C",
            "never the upper end",
        ),
        (
            "Ex db IIC T4 Gb\nEx tb IIIC T120 °C Db IP66",
            "zone=1+21 gas=ethanol DUST",
            C,
            "gas and dust together",
            "hybrid",
        ),
        (
            "Ex db IIC T4 Gb",
            "zone=1+21 gas=ethanol DUST",
            X,
            "the place has dust",
            "worst of the two",
        ),
        ("Ex h IIIC T125°C Db", "zone=21 DUST", S, "", "ISO 80079-36"),
    ]);
}

#[test]
fn north_america() {
    hold(&[
        (
            "Class I, Division 2, Groups A, B, C, D T4",
            "zone=Class_I,_Division_2 group=D ignition=280",
            S,
            "",
            "NEC 500",
        ),
        (
            "Class I, Groups C, D T4",
            "zone=Class_I,_Division_1 group=D ignition=280",
            S,
            "",
            "no division: both",
        ),
        (
            "Class I, Division 1, Group A T4",
            "zone=Class_I,_Division_1 gas=hydrogen group=B",
            X,
            "group B",
            "A is not enough for B",
        ),
        (
            "Class II, Division 1, Groups E, F, G T3B",
            "zone=Class_II,_Division_1 group=G cloud=400 layer=300",
            S,
            "",
            "NEC 500.8(D)",
        ),
        (
            "Class II, Division 1, Groups E, F, G T3A",
            "zone=Class_II,_Division_1 group=G cloud=400 layer=300",
            X,
            "165 °C",
            "NEC 500.8(D)",
        ),
        (
            "Class II, Division 1, Groups E, F, G T3B",
            "zone=Class_II,_Division_1 dust=grain group=G layer=220",
            S,
            "",
            "lower of cloud and layer",
        ),
        (
            "Class II, Division 1, Groups E, F, G T3B",
            "zone=Class_II,_Division_1 dust=grain group=G cloud=450",
            C,
            "lower end in tables",
            "lower of cloud and layer",
        ),
        (
            "Class II, Division 1, Groups E, F, G T3A",
            "zone=Class_II,_Division_1 group=E cloud=400 layer=300",
            S,
            "",
            "metal does not carbonise",
        ),
        (
            "Class II, Division 1, Groups E, F T3B",
            "zone=Class_II,_Division_1 group=G cloud=400 layer=300",
            X,
            "group G",
            "NEC 500.6",
        ),
        (
            "Class I, Division 1, Groups A, B, C, D T4",
            "zone=Class_II,_Division_1 group=G cloud=400 layer=300",
            X,
            "the place has dust",
            "NEC 500.5",
        ),
        (
            "Class I, Division 2, Groups A, B, C, D T4",
            "zone=1 group=IIA ignition=400",
            X,
            "Division 2",
            "NEC 505.20",
        ),
        (
            "Class I, Division 2, Groups A, B, C, D T4",
            "zone=2 group=IIA ignition=400",
            C,
            "only under the NEC",
            "NEC 505.20",
        ),
        (
            "Class I, Division 1, Groups A, B, C, D T4",
            "zone=0 group=IIA ignition=400",
            X,
            "intrinsically safe",
            "NEC 505.20",
        ),
        (
            "Class I, Division 1, Group D T4",
            "zone=1 gas=hydrogen group=IIC ignition=560",
            X,
            "group B",
            "NEC 505.20",
        ),
        (
            "Class I, Zone 1, AEx db IIC T4 Gb",
            "zone=1 group=IIB ignition=400",
            C,
            "North American",
            "approval not shown",
        ),
        (
            "Class I, Zone 1, AEx db IIC T4 Gb",
            "zone=0 group=IIB ignition=400",
            X,
            "not enough",
            "NEC 505.9",
        ),
        (
            "Class I, Zone 1, AEx db IIC T4 Gb",
            "zone=Class_I,_Division_2 gas=propane group=D",
            C,
            "Division 2",
            "zone 1 equipment in Division 2",
        ),
        (
            "Class I, Zone 0, AEx ia IIA T4 Ga",
            "zone=Class_I,_Division_1 gas=hydrogen group=B",
            X,
            "IIA does not cover IIC",
            "NEC 505.6",
        ),
        (
            "Ex db IIC T4 Gb",
            "zone=Class_I,_Division_1 group=D ignition=400",
            X,
            "not accepted in Division 1",
            "NEC 501.5",
        ),
        (
            "Ex ec IIC T4 Gc",
            "zone=Class_I,_Division_2 group=D ignition=400",
            U,
            "no approval",
            "doors open under NEC only",
        ),
    ]);
}

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
    assert_eq!(v.outcome, U);
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
