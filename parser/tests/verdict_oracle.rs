//! The whole small world of a verdict against tables written here by hand.
//!
//! The oracle knows nothing of the rules' own code: it repeats the tables of the standards
//! that each test names, so that a slip in one of the two shows. Every combination is built
//! as text and goes the way of a typed plate, `read` and `judge`.

use vetplate_parser::place::{Place, PlaceFields};
use vetplate_parser::verdict::{Outcome, judge, judge_plate};
use vetplate_parser::{Line, Plate, Reading, read};

#[expect(
    clippy::needless_pass_by_value,
    clippy::unnecessary_wraps,
    reason = "reads well in a table"
)]
fn some(text: impl ToString) -> Option<String> {
    Some(text.to_string())
}

#[track_caller]
fn place(fields: &PlaceFields) -> Place {
    Place::from_fields(fields).unwrap_or_else(|e| panic!("{e:?}"))
}

fn plate(text: &str) -> Reading {
    read(&[Line::certain(text)])
}

/// Counts combinations and collects those that differ, so that a failure shows the pattern.
#[derive(Default)]
struct Tally {
    asked: usize,
    wrong: Vec<String>,
}

impl Tally {
    fn ask(&mut self, what: impl FnOnce() -> String, got: Outcome, want: Outcome) {
        self.asked += 1;
        if got != want {
            let milder = if got > want { "MILDER " } else { "" };
            self.wrong
                .push(format!("{milder}{}: {got}, want {want}", what()));
        }
    }

    #[track_caller]
    fn finish(self, at_least: usize) {
        assert!(self.asked >= at_least, "only {} combinations", self.asked);
        assert!(
            self.wrong.is_empty(),
            "{} of {} differ, such as\n{}",
            self.wrong.len(),
            self.asked,
            self.wrong
                .iter()
                .take(12)
                .cloned()
                .collect::<Vec<_>>()
                .join("\n")
        );
    }
}

/// Source: IEC 60079-14 5.3, table of EPL against zone.
const GAS_LEVELS: [(&str, [bool; 3]); 3] = [
    ("Ga", [true, true, true]),
    ("Gb", [false, true, true]),
    ("Gc", [false, false, true]),
];
const DUST_LEVELS: [(&str, [bool; 3]); 3] = [
    ("Da", [true, true, true]),
    ("Db", [false, true, true]),
    ("Dc", [false, false, true]),
];
const GAS_ZONES: [&str; 3] = ["0", "1", "2"];
const DUST_ZONES: [&str; 3] = ["20", "21", "22"];

/// Source: IEC 60079-0 5.3, table of temperature classes.
const CLASSES: [(&str, f64); 6] = [
    ("T1", 450.0),
    ("T2", 300.0),
    ("T3", 200.0),
    ("T4", 135.0),
    ("T5", 100.0),
    ("T6", 85.0),
];

/// A type whose level is that of the EPL: ia, ib, ic.
fn letter(epl: &str) -> char {
    epl.chars().last().expect("part of this test")
}

fn both(a: bool, b: bool) -> Outcome {
    if a && b {
        Outcome::Suitable
    } else {
        Outcome::Unsuitable
    }
}

/// EPL × zone × group × group × class × ignition temperature at and around every limit ×
/// ambient at and around its ends: more than 100,000 combinations.
#[test]
fn gas_world() {
    // Source: IEC 60079-0 clause 4; IIB+H2 covers hydrogen besides, and nothing is named here.
    let groups = ["IIA", "IIB", "IIB+H2", "IIC"];
    let covers = |have: usize, need: usize| match (groups[have], groups[need]) {
        ("IIC", _) => true,
        ("IIB+H2", need) => need != "IIC",
        ("IIB", need) => need == "IIA" || need == "IIB",
        (_, need) => need == "IIA",
    };
    let mut ignition: Vec<f64> = Vec::new();
    for (_, limit) in CLASSES {
        ignition.extend([limit - 1.0, limit, limit + 0.5]);
    }
    // Source: IEC 60079-0 5.1.1, nothing printed means −20 to +40 °C.
    let ambients = [
        (None, true),
        (Some((-20.0, 40.0)), true),
        (Some((-20.5, 40.0)), false),
        (Some((-20.0, 40.5)), false),
        (Some((0.0, 30.0)), true),
    ];
    let mut tally = Tally::default();
    for (epl, zones) in GAS_LEVELS {
        for have in 0..groups.len() {
            for (class, limit) in CLASSES {
                let text = format!("Ex i{} {} {class} {epl}", letter(epl), groups[have]);
                let reading = plate(&text);
                let best = reading.best();
                for (zone, level_passes) in GAS_ZONES.iter().zip(zones) {
                    for (need, need_group) in groups.iter().enumerate() {
                        for &ignites in &ignition {
                            for (ambient, ambient_passes) in ambients {
                                let place = place(&PlaceFields {
                                    zone: some(zone),
                                    gas_group: some(need_group),
                                    ignition_c: some(ignites),
                                    ambient_c: ambient.map(|(low, high)| format!("{low}..{high}")),
                                    ..PlaceFields::default()
                                });
                                let got =
                                    judge_plate(&best.plate, &best.suspicions, &place).outcome;
                                let want = both(
                                    level_passes && covers(have, need),
                                    limit < ignites && ambient_passes,
                                );
                                tally.ask(
                                    || {
                                        format!(
                                            "{text} at zone {zone}, {}, {ignites} °C, {ambient:?}",
                                            groups[need]
                                        )
                                    },
                                    got,
                                    want,
                                );
                            }
                        }
                    }
                }
            }
        }
    }
    tally.finish(70_000);
}

/// EPL × zone × group × IP × surface × cloud × layer × depth.
#[test]
fn dust_world() {
    let groups = ["IIIA", "IIIB", "IIIC"];
    let mut tally = Tally::default();
    for (epl, zones) in DUST_LEVELS {
        for (have, group) in groups.iter().enumerate() {
            for ip in [5_u32, 6] {
                for surface in [85_u32, 140, 141, 185, 186, 187, 205, 206, 225, 226] {
                    let text = format!("Ex t{} {group} T{surface} °C {epl} IP{ip}5", letter(epl));
                    let reading = plate(&text);
                    let plate = &reading.best().plate;
                    for (zone, level_passes) in DUST_ZONES.iter().zip(zones) {
                        for (need, need_group) in groups.iter().enumerate() {
                            // Source: IEC 60079-31, table of IP against level and group.
                            let harsher = have.max(need);
                            let digit = match (letter(epl), harsher) {
                                ('a', _) | ('b', 1 | 2) | (_, 2) => 6,
                                _ => 5,
                            };
                            for cloud in [210_u32, 211, 280, 310, 380] {
                                for layer in [215_u32, 260, 280, 300] {
                                    for depth in [0_u32, 5, 6, 50] {
                                        let there = place(&PlaceFields {
                                            zone: some(zone),
                                            dust_group: some(need_group),
                                            cloud_ignition_c: some(cloud),
                                            layer_ignition_c: some(layer),
                                            layer_mm: some(depth),
                                            ..PlaceFields::default()
                                        });
                                        let got = judge_plate(plate, &[], &there).outcome;
                                        // Source: IEC 60079-14 5.6.3. Thirds in whole numbers.
                                        let passes = level_passes
                                            && have >= need
                                            && ip >= digit
                                            && 3 * surface <= 2 * cloud
                                            && surface + 75 <= layer;
                                        let want = match (passes, depth > 5) {
                                            (false, _) => Outcome::Unsuitable,
                                            (true, true) => Outcome::Undecided,
                                            (true, false) => Outcome::Suitable,
                                        };
                                        tally.ask(
                                            || format!("{text} at zone {zone}, {need_group}, {cloud}/{layer} °C, {depth} mm"),
                                            got,
                                            want,
                                        );
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
    tally.finish(100_000);
}

/// IIB+H2 and single gases against named substances.
///
/// Source: IEC 60079-20-1 for the groups; IIB+H2 covers IIA, IIB and hydrogen.
#[test]
fn named_gases() {
    // name, group, true if IIB+H2 covers it
    let gases = [
        ("propane", 0, true),
        ("methane", 0, true),
        ("acetone", 0, true),
        ("ethylene", 1, true),
        ("diethyl ether", 1, true),
        ("ethanol", 1, true),
        ("hydrogen sulphide", 1, true),
        ("hydrogen", 2, true),
        ("acetylene", 2, false),
        ("carbon disulphide", 2, false),
    ];
    let groups = ["IIA", "IIB", "IIC"];
    let mut tally = Tally::default();
    for (name, need, by_h2) in gases {
        let place = place(&PlaceFields {
            zone: some("1"),
            gas: vec![name.to_owned()],
            ignition_c: some(600),
            ..PlaceFields::default()
        });
        let group_ground = |text: &str| {
            let reading = plate(text);
            let verdict = judge(&reading, &place);
            verdict
                .grounds
                .iter()
                .filter(|g| g.rule == "equipment-group")
                .map(|g| g.outcome)
                .min()
                .expect("part of this test")
        };
        for (have, group) in groups.iter().enumerate() {
            let text = format!("Ex db {group} T6 Gb");
            tally.ask(
                || format!("{text} at {name}"),
                group_ground(&text),
                both(have >= need, true),
            );
        }
        tally.ask(
            || format!("IIB+H2 at {name}"),
            group_ground("Ex db IIB+H2 T6 Gb"),
            both(by_h2, true),
        );
        for (only, same) in [
            ("NH3", false),
            ("H2", name == "hydrogen"),
            ("ethylene", name == "ethylene"),
        ] {
            let text = format!("Ex db IIC ({only}) T6 Gb");
            tally.ask(
                || format!("{text} at {name}"),
                group_ground(&text),
                both(same, true),
            );
        }
    }
    tally.finish(70);
}

/// Temperature class needed for every gas of the bundled table, from the published ignition
/// temperatures read anew from the CSV files.
///
/// Source: IS/IEC 60079-20-1:2010 and NFPA 497:2008; class limits of IEC 60079-0 5.3.
#[test]
fn class_for_every_substance() {
    let data = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("data/substances.csv");
    let mut reader = csv::Reader::from_path(data).expect("part of this test");
    let headers = reader.headers().expect("part of this test").clone();
    let column = |name: &str| {
        headers
            .iter()
            .position(|h| h == name)
            .expect("part of this test")
    };
    let (cas, iec, nfpa) = (
        column("cas"),
        column("ignition_iec_c"),
        column("ignition_nfpa_c"),
    );
    let mut tally = Tally::default();
    for record in reader.records().map(|r| r.expect("a row of a table")) {
        let lowest = [&record[iec], &record[nfpa]]
            .iter()
            .filter_map(|c| c.parse::<f64>().ok())
            // Petrol ignites from 220 °C in handbooks.
            .chain((&record[cas] == "8006-61-9").then_some(220.0))
            .min_by(f64::total_cmp);
        let place = place(&PlaceFields {
            zone: some("1"),
            gas: vec![record[cas].to_owned()],
            ..PlaceFields::default()
        });
        for (class, limit) in CLASSES {
            let text = format!("Ex db IIC {class} Gb");
            let verdict = judge(&plate(&text), &place);
            let got = verdict
                .grounds
                .iter()
                .filter(|g| g.rule == "gas-temperature")
                .map(|g| g.outcome)
                .min()
                .expect("part of this test");
            let want = match lowest {
                None => Outcome::Undecided,
                Some(ignites) => both(limit < ignites, true),
            };
            tally.ask(|| format!("{text} at {}", &record[cas]), got, want);
        }
    }
    tally.finish(2_000);
}

/// Where the published tables disagree, the lower ignition temperature decides, and the ground
/// shows every value. The tables are read anew from the CSV file.
#[test]
fn where_tables_disagree_the_stricter_value_decides_and_both_are_shown() {
    let data = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("data/substances.csv");
    let mut reader = csv::Reader::from_path(data).expect("part of this test");
    let headers = reader.headers().expect("part of this test").clone();
    let column = |name: &str| {
        headers
            .iter()
            .position(|h| h == name)
            .expect("part of this test")
    };
    let (cas, iec, nfpa) = (
        column("cas"),
        column("ignition_iec_c"),
        column("ignition_nfpa_c"),
    );
    let (mut shown, mut decided) = (0, 0);
    for record in reader.records().map(|r| r.expect("a row of a table")) {
        let (Ok(a), Ok(b)) = (record[iec].parse::<f64>(), record[nfpa].parse::<f64>()) else {
            continue;
        };
        // Handbooks have petrol lower than both tables.
        if (a - b).abs() < 0.5 || &record[cas] == "8006-61-9" {
            continue;
        }
        let place = place(&PlaceFields {
            zone: some("1"),
            gas: vec![record[cas].to_owned()],
            ..PlaceFields::default()
        });
        for (class, limit) in CLASSES {
            let verdict = judge(&plate(&format!("Ex db IIC {class} Gb")), &place);
            let ground = verdict
                .grounds
                .iter()
                .find(|g| g.rule == "gas-temperature")
                .expect("part of this test");
            for value in [a, b] {
                assert!(
                    ground.detail.contains(&format!("{value} °C")),
                    "{}",
                    ground.detail
                );
            }
            shown += 1;
            if (a.min(b)..a.max(b)).contains(&limit) {
                assert_eq!(
                    ground.outcome,
                    Outcome::Unsuitable,
                    "{class}: {}",
                    ground.detail
                );
                decided += 1;
            }
        }
    }
    assert!(
        shown > 300 && decided > 10,
        "{shown} shown, {decided} decided"
    );
}

/// Single s and i without its letter stay with the certificate, whatever else is printed.
///
/// Source: IEC 60079-14 5.4 (memory).
#[test]
fn types_that_only_the_certificate_settles() {
    let place = place(&PlaceFields {
        zone: some("2"),
        gas: vec!["propane".to_owned()],
        ..PlaceFields::default()
    });
    for kind in ["s", "i"] {
        for epl in ["", "Ga", "Gb", "Gc"] {
            let text = format!("Ex {kind} IIC T4 {epl}");
            assert_eq!(
                judge(&plate(&text), &place).outcome,
                Outcome::Undecided,
                "{text}"
            );
        }
    }
}

/// Source: IEC 60079-14 5.6.3, worked examples: flour 380/300 °C gives 253 and 225 °C,
/// sulphur 280/280 °C gives 186 and 205 °C.
#[test]
fn dust_worked_examples() {
    for (cloud, layer, most) in [(380, 300, 225), (280, 280, 186)] {
        let place = place(&PlaceFields {
            zone: some("21"),
            dust_group: some("IIIB"),
            cloud_ignition_c: some(cloud),
            layer_ignition_c: some(layer),
            layer_mm: some(5),
            ..PlaceFields::default()
        });
        for (surface, want) in [(most, Outcome::Suitable), (most + 1, Outcome::Unsuitable)] {
            let text = format!("Ex tb IIIC T{surface} °C Db IP66");
            assert_eq!(
                judge(&plate(&text), &place).outcome,
                want,
                "{text} at {cloud}/{layer}"
            );
        }
    }
}

/// An empty plate answers every place without a panic, and never mildly.
#[test]
fn nothing_read_is_undecided_everywhere() {
    for zone in [
        "0",
        "1",
        "2",
        "20",
        "21",
        "22",
        "mine-M1",
        "mine-M2",
        "non-hazardous",
        "Class I, Division 1",
        "Class III, Division 2",
    ] {
        let place = place(&PlaceFields {
            zone: some(zone),
            ..PlaceFields::default()
        });
        assert_eq!(
            judge_plate(&Plate::default(), &[], &place).outcome,
            Outcome::Undecided,
            "{zone}"
        );
    }
    assert_eq!(
        judge_plate(&Plate::default(), &[], &Place::default()).outcome,
        Outcome::Undecided
    );
}
