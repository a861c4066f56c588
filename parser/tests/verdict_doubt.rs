//! Doubt about characters, all the way from the glyph to the verdict.

use vetplate_parser::place::{Place, PlaceFields};
use vetplate_parser::verdict::{Outcome, Verdict, judge};
use vetplate_parser::{Glyph, Line, read};

/// A typed line in which one character, counted from 0, was read with doubt.
fn doubtful(text: &str, at: usize, probability: f32, also: &[(char, f32)]) -> Line {
    Line::new(
        text.chars()
            .enumerate()
            .map(|(i, ch)| Glyph {
                ch,
                probability: if i == at { probability } else { 1.0 },
                also: if i == at {
                    also.iter().map(|(c, p)| (Some(*c), *p)).collect()
                } else {
                    Vec::new()
                },
            })
            .collect(),
    )
}

fn verdict(line: Line, zone: &str, gas: &str) -> Verdict {
    let place = Place::from_fields(&PlaceFields {
        zone: Some(zone.to_owned()),
        gas: vec![gas.to_owned()],
        ..PlaceFields::default()
    })
    .expect("a place of this test");
    judge(&read(&[line]), &place)
}

const TEXT: &str = "Ex db IIC T6 Gb";
const CLASS_DIGIT: usize = 11;

/// T6 or T5, both are enough for ethanol: the doubt does not matter.
#[test]
fn readings_that_agree() {
    let v = verdict(
        doubtful(TEXT, CLASS_DIGIT, 0.9, &[('5', 0.1)]),
        "1",
        "ethanol",
    );
    assert_eq!(v.outcome, Outcome::Suitable, "{v:#?}");
    assert!(v.decided_by.is_empty());
    assert!(v.probability > 0.999);
    assert!(
        v.notes.iter().any(|n| n.contains("same outcome")),
        "{:?}",
        v.notes
    );
}

/// A third of the class is no known character: what is left may be anything.
#[test]
fn an_illegible_field_decides_nothing() {
    let v = verdict(
        doubtful(TEXT, CLASS_DIGIT, 0.5, &[('5', 0.17)]),
        "1",
        "ethanol",
    );
    assert_eq!(v.outcome, Outcome::Undecided, "{v:#?}");
    let v = verdict(
        doubtful(TEXT, CLASS_DIGIT, 0.5, &[('5', 0.17)]),
        "0",
        "ethanol",
    );
    assert_eq!(
        v.outcome,
        Outcome::Unsuitable,
        "what fails anyway still fails"
    );
}

/// T6 or T5 at carbon disulphide (90 °C): the worse one is said, and the character is named.
#[test]
fn readings_that_differ() {
    let v = verdict(
        doubtful(TEXT, CLASS_DIGIT, 0.9, &[('5', 0.1)]),
        "1",
        "carbon disulphide",
    );
    assert_eq!(v.outcome, Outcome::Unsuitable, "{v:#?}");
    let deciding = v.decided_by.first().expect("a deciding character");
    assert!(
        deciding
            .readings
            .iter()
            .any(|(text, _, o)| text.contains('6') && *o == Outcome::Suitable)
    );
    assert!(
        deciding
            .readings
            .iter()
            .any(|(text, _, o)| text.contains('5') && *o == Outcome::Unsuitable)
    );
    assert!(
        v.grounds[0].detail.contains("if the plate has"),
        "{}",
        v.grounds[0].detail
    );
}

/// The more doubt, the less is promised.
#[test]
fn probability_falls_with_doubt() {
    let mut last = (Outcome::Suitable, 1.0 + f64::EPSILON);
    for also in [0.0_f32, 0.001, 0.01, 0.05, 0.2, 0.4] {
        let line = doubtful(TEXT, CLASS_DIGIT, 1.0 - also, &[('5', also)]);
        let v = verdict(line, "1", "carbon disulphide");
        assert!(
            v.outcome <= last.0,
            "{also}: {} after {}",
            v.outcome,
            last.0
        );
        if v.outcome == last.0 && v.outcome > Outcome::Unsuitable {
            assert!(v.probability <= last.1, "{also}");
        }
        last = (v.outcome, v.probability);
    }
    assert!(last.0 < Outcome::Suitable);
}

/// Gb or Ga at zone 0: the strong reading is never believed alone.
#[test]
fn a_level_in_doubt() {
    let text = "Ex ia IIC T6 Ga";
    let v = verdict(doubtful(text, 14, 0.8, &[('b', 0.2)]), "0", "ethanol");
    assert!(v.outcome < Outcome::Conditional, "{v:#?}");
}
