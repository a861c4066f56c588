//! Plates against a site's list of certificates.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use vetplate_parser::certificates::{CertificateEntry, CertificateFields, CertificateList};
use vetplate_parser::place::{Place, PlaceFields};
use vetplate_parser::verdict::{Ground, Outcome, judge, judge_with};
use vetplate_parser::{Line, Reading, read};

/// Number, issue, type, marking, ambient, conditions.
type Row = [&'static str; 6];

const MOTOR: Row = [
    "ABC 19 ATEX 1234 X",
    "1",
    "BX 132?-4",
    "II 2 G Ex db eb IIB T4 Gb",
    "-20..50",
    "Flamepaths must not be repaired|Glands rated 80 °C",
];
const PLATE: &str = "ABC 19 ATEX 1234 X; II 2 G Ex db eb IIB T4 Gb; Ta -20 to +50 °C; \
                     Type: BX 132M-4; CE 9999; 2021";

fn entry(row: &Row) -> CertificateEntry {
    let [number, issue, kind, marking, ambient, conditions] = row.map(ToOwned::to_owned);
    CertificateEntry::from_fields(&CertificateFields {
        number,
        issue,
        kind,
        marking,
        ambient,
        conditions,
    })
    .unwrap_or_else(|e| panic!("{row:?}: {e:?}"))
}

fn list(rows: &[Row]) -> CertificateList {
    CertificateList::new(rows.iter().map(entry).collect()).unwrap()
}

fn plate(text: &str) -> Reading {
    let lines: Vec<Line> = text.split(';').map(|l| Line::certain(l.trim())).collect();
    read(&lines)
}

fn place(gas: &str) -> Place {
    Place::from_fields(&PlaceFields {
        zone: Some("1".to_owned()),
        gas: vec![gas.to_owned()],
        ..PlaceFields::default()
    })
    .unwrap()
}

/// Grounds of the rule, and the outcome of the whole.
fn held(text: &str, gas: &str, rows: &[Row]) -> (Outcome, Vec<Ground>) {
    let verdict = judge_with(&plate(text), &place(gas), Some(&list(rows)));
    let grounds = verdict
        .grounds
        .into_iter()
        .filter(|g| g.rule == "certificate")
        .collect();
    (verdict.outcome, grounds)
}

fn details(grounds: &[Ground]) -> String {
    let details: Vec<String> = grounds
        .iter()
        .map(|g| format!("{}: {}", g.outcome, g.detail))
        .collect();
    details.join("\n")
}

#[test]
fn a_plate_that_agrees_gets_the_conditions_in_their_own_words() {
    let (outcome, grounds) = held(PLATE, "ethanol", &[MOTOR]);
    assert_eq!(outcome, Outcome::Conditional);
    assert_eq!(
        details(&grounds),
        "conditional: condition 1 of 2 of ABC 19 ATEX 1234 X, Issue 1: \"Flamepaths must not be \
         repaired\"\n\
         conditional: condition 2 of 2 of ABC 19 ATEX 1234 X, Issue 1: \"Glands rated 80 °C\"\n\
         suitable: the plate agrees with ABC 19 ATEX 1234 X, Issue 1"
    );
}

#[test]
fn without_a_list_nothing_is_said_of_certificates() {
    let verdict = judge(&plate(PLATE), &place("ethanol"));
    assert!(verdict.grounds.iter().all(|g| g.rule != "certificate"));
}

/// Every field in turn: what the plate has instead, what the ground names, what it comes to.
#[test]
fn every_difference_is_a_ground() {
    use Outcome::{Conditional, Undecided};
    for (from, to, what, expected) in [
        ("IIB", "IIC", "group: the plate has IIC", Undecided),
        ("T4 Gb", "T5 Gb", "temperature: the plate has T5", Undecided),
        (
            "T4 Gb",
            "T3 Gb",
            "temperature: the plate has T3",
            Conditional,
        ),
        (
            "db eb",
            "db",
            "type of protection: the plate has db",
            Undecided,
        ),
        (
            "db eb",
            "db mb",
            "type of protection: the plate has db mb",
            Undecided,
        ),
        (
            "II 2 G",
            "II 1 G",
            "category: the plate has II 1 G",
            Undecided,
        ),
        (
            "-20 to +50",
            "-20 to +60",
            "ambient range: the plate has −20 °C to +60 °C",
            Undecided,
        ),
        (
            "-20 to +50",
            "-30 to +50",
            "ambient range: the plate has −30 °C to +50 °C",
            Undecided,
        ),
        (
            "-20 to +50",
            "-20 to +45",
            "ambient range: the plate has −20 °C to +45 °C",
            Conditional,
        ),
        (
            "BX 132M-4",
            "BX 132M-6",
            "equipment type: the plate has BX 132M-6",
            Undecided,
        ),
        (
            "Type: BX 132M-4; ",
            "",
            "equipment type: the plate has nothing",
            Conditional,
        ),
        ("1234 X", "1234", "X or U: the plate has neither", Undecided),
        (
            "1234 X",
            "1234 X Issue 0",
            "the plate names Issue 0",
            Undecided,
        ),
    ] {
        let changed = PLATE.replace(from, to);
        assert_ne!(changed, PLATE);
        let (outcome, grounds) = held(&changed, "propane", &[MOTOR]);
        let ground = grounds
            .iter()
            .find(|g| g.detail.to_string().starts_with(what))
            .unwrap_or_else(|| panic!("{changed}:\n{}", details(&grounds)));
        assert_eq!(ground.outcome, expected, "{changed}");
        assert!(outcome <= expected, "{changed}: {outcome}");
    }
}

#[test]
fn level_of_protection_and_epl() {
    let row = ["ABC 20 ATEX 77", "", "", "Ex ib IIC T4 Gb", "", ""];
    for (marking, expected) in [
        ("Ex ia IIC T4 Ga", Outcome::Undecided),
        ("Ex ia IIC T4 Gb", Outcome::Undecided),
        ("Ex ic IIC T4 Gc", Outcome::Conditional),
        ("Ex ib IIC T4 Gb", Outcome::Suitable),
    ] {
        let (_, grounds) = held(&format!("ABC 20 ATEX 77; {marking}"), "ethanol", &[row]);
        let worst = grounds.iter().map(|g| g.outcome).min().unwrap();
        assert_eq!(worst, expected, "{marking}:\n{}", details(&grounds));
    }
}

#[test]
fn what_the_certificate_does_not_certify_is_judged_by_the_weaker_of_both() {
    // IIC is printed, IIB certified, hydrogen present: the certificate fails.
    let text = PLATE.replace("IIB", "IIC");
    let (outcome, grounds) = held(&text, "hydrogen", &[MOTOR]);
    assert_eq!(outcome, Outcome::Unsuitable);
    assert!(details(&grounds).contains(
        "unsuitable: what ABC 19 ATEX 1234 X, Issue 1 certifies does not suit the place: \
         group IIB does not cover IIC"
    ));
    // For propane the certificate would do, but the plate is still wrong.
    assert_eq!(held(&text, "propane", &[MOTOR]).0, Outcome::Undecided);
}

#[test]
fn numbers_are_the_same_whatever_their_shape_and_never_when_merely_near() {
    for shape in ["ABC19ATEX1234X", "ABC 19 ATEX 1234X", "ABC 19 ATEX1234 X"] {
        let text = PLATE.replace("ABC 19 ATEX 1234 X", shape);
        let (_, grounds) = held(&text, "ethanol", &[MOTOR]);
        assert!(
            details(&grounds).contains("the plate agrees with ABC 19 ATEX 1234 X"),
            "{shape}:\n{}",
            details(&grounds)
        );
    }
    for (number, differ) in [
        ("ABC 19 ATEX 1284 X", "'8' on the plate, '3' in the list"),
        ("ABC 18 ATEX 1234 X", "'8' on the plate, '9' in the list"),
        ("ABC 19 ATEX 123 X", "nothing on the plate, '4' in the list"),
        ("ABD 19 ATEX 1234 X", "'D' on the plate, 'C' in the list"),
    ] {
        let text = PLATE.replace("ABC 19 ATEX 1234 X", number);
        let (outcome, grounds) = held(&text, "ethanol", &[MOTOR]);
        assert_eq!(outcome, Outcome::Undecided, "{number}");
        assert!(details(&grounds).contains(differ), "{}", details(&grounds));
    }
}

#[test]
fn a_number_without_an_entry_and_a_plate_without_a_number_are_said() {
    let text = PLATE.replace("ABC 19 ATEX 1234", "XYZ 07 ATEX 9001");
    let (outcome, grounds) = held(&text, "ethanol", &[MOTOR]);
    assert_eq!(outcome, Outcome::Conditional);
    assert!(details(&grounds).starts_with("conditional: XYZ 07 ATEX 9001 is not in the list"));
    let (outcome, grounds) = held("Ex db IIC T4 Gb", "ethanol", &[MOTOR]);
    assert_eq!(outcome, Outcome::Conditional);
    assert!(details(&grounds).starts_with("conditional: no certificate number was read"));
}

#[test]
fn of_two_printed_numbers_one_entry_is_enough() {
    let text = format!("IECEx ABC 19.0042X; {PLATE}");
    let (_, grounds) = held(&text, "ethanol", &[MOTOR]);
    let details = details(&grounds);
    assert!(
        details.contains("suitable: IECEx ABC 19.0042 is printed too"),
        "{details}"
    );
    assert!(
        details.contains("the plate agrees with ABC 19 ATEX 1234 X"),
        "{details}"
    );
}

#[test]
fn the_printed_issue_counts_and_else_the_latest() {
    let mut older = MOTOR;
    older[1] = "0";
    older[4] = "-20..40";
    let rows = [older, MOTOR];
    // Nothing printed: the latest, which allows 50 °C.
    let (_, grounds) = held(PLATE, "ethanol", &rows);
    assert!(details(&grounds).contains("agrees with ABC 19 ATEX 1234 X, Issue 1"));
    // Issue 0 printed: that one, which allows 40 °C, and a later one is named.
    let text = PLATE.replace("1234 X", "1234 X Issue 0");
    let (outcome, grounds) = held(&text, "ethanol", &rows);
    assert_eq!(outcome, Outcome::Undecided);
    let details = details(&grounds);
    assert!(
        details.contains("ambient range: the plate has −20 °C to +50 °C"),
        "{details}"
    );
    assert!(details.contains("the list has a later issue"), "{details}");
}

#[test]
fn a_dust_marking_that_no_certificate_speaks_of() {
    let text = format!("{PLATE}; II 2 D Ex tb IIIC T100 °C Db; IP66");
    let (_, grounds) = held(&text, "ethanol", &[MOTOR]);
    assert!(details(&grounds).contains("undecided: 'Ex tb IIIC T100 °C Db' is for an atmosphere"));
    // With a certificate of its own for dust, both are in order.
    let dust = [
        "ABC 19 ATEX 8888",
        "",
        "BX 132?-4",
        "II 2 D Ex tb IIIC T100 °C Db",
        "-20..50",
        "",
    ];
    let (_, grounds) = held(
        &format!("{text}; ABC 19 ATEX 8888"),
        "ethanol",
        &[MOTOR, dust],
    );
    assert!(
        grounds.iter().all(|g| g.outcome >= Outcome::Conditional),
        "{}",
        details(&grounds)
    );
}

#[test]
fn one_issue_of_one_certificate_stands_once() {
    let rows = [MOTOR, MOTOR];
    let twice = CertificateList::new(rows.iter().map(entry).collect()).unwrap_err();
    assert_eq!((twice.first, twice.second), (0, 1));
}

/// A list never makes a verdict milder, whatever it holds.
#[test]
fn a_list_never_improves_a_verdict() {
    let rows = [
        MOTOR,
        [
            "XYZ 16 ATEX 0781",
            "",
            "",
            "II 1 G Ex ia IIC T6 Ga",
            "-60..80",
            "",
        ],
        ["ABC 14 ATEX 5", "", "", "", "", ""],
    ];
    let all = list(&rows);
    for number in [
        "ABC 19 ATEX 1234 X",
        "XYZ 16 ATEX 0781",
        "ABC 14 ATEX 5",
        "ABC 1 ATEX 1",
        "",
    ] {
        for marking in [
            "Ex db eb IIB T4 Gb",
            "Ex ia IIC T6 Ga",
            "Ex ec IIA T3 Gc",
            "Ex db IIC",
            "Ex tb IIIC T100 °C Db",
            "[Ex ia Ga] IIC",
        ] {
            for gas in ["ethanol", "hydrogen", "acetylene", "diesel"] {
                let reading = plate(&format!("{number}; {marking}"));
                let alone = judge(&reading, &place(gas)).outcome;
                let with = judge_with(&reading, &place(gas), Some(&all)).outcome;
                assert!(
                    with <= alone,
                    "{number} {marking} {gas}: {with} after {alone}"
                );
            }
        }
    }
}
