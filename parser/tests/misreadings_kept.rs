//! What a camera makes of a plate: confusions that are never settled in silence.
//!
//! **Source:** common practice of reading plates. Both readings are valid, or the repair would go
//! the permissive way: both are kept, the confidence falls, and a person is asked to look.

mod misreadings_support;

use misreadings_support::{Row, lacking, rows};
use vetplate_parser::{Confidence, Glyph, Line, Reading, Severity, read};

/// A line in which every character that the other text has otherwise is doubtful, seven to three.
fn doubtful(text: &str, other: &str) -> Line {
    let glyphs = text.chars().zip(other.chars()).map(|(ch, to)| Glyph {
        ch,
        probability: if ch == to { 1.0 } else { 0.7 },
        also: if ch == to {
            vec![]
        } else {
            vec![(Some(to), 0.3)]
        },
    });
    Line::new(glyphs.collect())
}

fn both(row: &Row) -> Reading {
    let (text, other) = (&row["read"], &row["other"]);
    assert_eq!(text.chars().count(), other.chars().count(), "{text}");
    let lines = text.split(';').zip(other.split(';'));
    let lines: Vec<Line> = lines.map(|(a, b)| doubtful(a, b)).collect();
    read(&lines)
}

#[test]
fn no_confusion_of_meaning_is_settled_in_silence() {
    let mut wrong = Vec::new();
    for row in rows("confusions") {
        let lines: Vec<Line> = row["read"].split(';').map(Line::certain).collect();
        let found = read(&lines);
        let suspicious = found
            .best()
            .suspicions
            .iter()
            .any(|s| s.severity != Severity::Note);
        if found.readings.len() < 2 && found.review.is_empty() && !suspicious {
            wrong.push(format!("{} {}", row["row"], row["read"]));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Texts that are valid both ways: as read, and as the doubt allows. Only characters differ, one
/// for one; a blank stands for a character that may be none.
#[test]
fn where_both_values_are_valid_both_are_kept_and_a_look_is_asked() {
    let mut wrong = Vec::new();
    for row in rows("doubts") {
        let found = both(&row);
        let of_marking = (0..found.best().plate.markings.len())
            .any(|index| found.confidence(index) < Confidence::CERTAIN);
        // Ambient, IP, entity values and X stand beside the marking: there the readings tell.
        let falls = of_marking || found.readings[0].weight < 0.999;
        for (holds, what) in [
            (
                found.readings.len() > 1 || !found.review.is_empty(),
                "one reading",
            ),
            (falls, "the confidence does not fall"),
            (
                found.readings.len() > 1 || of_marking,
                "nothing is kept of the other",
            ),
        ] {
            if !holds {
                wrong.push(format!(
                    "{} {} / {}: {what}",
                    row["row"], row["read"], row["other"]
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Numbers change no reading, but another number is another certificate.
#[test]
fn a_number_that_may_be_another_is_asked_about() {
    let mut wrong = Vec::new();
    for row in rows("numbers") {
        let found = both(&row);
        let named = found.numbers.iter().any(|number| {
            number.others > 0.2
                && number.also.iter().any(|(text, _)| {
                    let in_other = row["other"].contains(text.as_str());
                    in_other && !row["read"].contains(text.as_str())
                })
        });
        if !named || found.review.is_empty() {
            wrong.push(format!(
                "{} {}: {:?}",
                row["row"], row["read"], found.numbers
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_row_of_confusions_has_a_case() {
    assert!(lacking(40, &["confusions", "doubts", "numbers"]).is_empty());
}
