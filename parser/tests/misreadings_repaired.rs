//! What a camera makes of a plate: shapes that may be repaired.
//!
//! **Source:** common practice of reading plates. A repair completes a shape (`l` to `I`) where the
//! grammar allows one class of token, one valid token is near, and a second fact that was read clean
//! stands beside it. It never completes a meaning (`b` to `a`).

mod markings_support;
mod misreadings_support;

use markings_support::decoded;
use misreadings_support::{lacking, rows};
use serde_json::Value;
use vetplate_parser::{Confidence, Line, Plate, Reading, read};

/// How the reading of a misread text shows what was done to it.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Shown {
    /// Another character is meant: the repair is named and the text as read is kept.
    Repair,
    /// The same characters with other blanks, or other signs for the same thing: nothing to show.
    Same,
}
use Shown::{Repair, Same};

fn reading(text: &str) -> Reading {
    let lines: Vec<Line> = text.split('\n').map(Line::certain).collect();
    read(&lines)
}

/// Names of all repairs on a plate.
fn repairs(plate: &Plate) -> Vec<&'static str> {
    let mut names = Vec::new();
    let mut add = |list: &[vetplate_parser::Repair]| names.extend(list.iter().map(|r| r.name));
    for marking in &plate.markings {
        for protection in &marking.protections {
            add(&protection.kind.repairs);
        }
        marking.group.iter().for_each(|r| add(&r.repairs));
        marking.temperature.iter().for_each(|r| add(&r.repairs));
        marking
            .dust_temperature
            .iter()
            .for_each(|r| add(&r.repairs));
        marking.epl.iter().for_each(|r| add(&r.repairs));
        marking
            .american
            .division
            .iter()
            .for_each(|r| add(&r.repairs));
        marking.american.zone.iter().for_each(|r| add(&r.repairs));
        if let Some(line) = &marking.atex {
            add(&line.raw.repairs);
            line.categories.iter().for_each(|r| add(&r.repairs));
        }
    }
    plate.ambient.iter().for_each(|r| add(&r.repairs));
    plate.ip.iter().for_each(|r| add(&r.repairs));
    plate.enclosure.iter().for_each(|r| add(&r.repairs));
    plate
        .certificates
        .iter()
        .for_each(|c| add(&c.number.repairs));
    plate.entity.iter().for_each(|e| add(&e.value.repairs));
    for mark in &plate.marks {
        mark.body.iter().for_each(|r| add(&r.repairs));
    }
    names
}

/// The values of a decoded plate that a repair must get right.
fn values(text: &str) -> Value {
    let mut found = decoded(text);
    let object = found.as_object_mut().expect("a decoded plate is an object");
    object.remove("review");
    object.remove("enclosure");
    found
}

/// Everything that a repair must do, as a list of what it did not.
fn missing(misread: &str, correct: &str, shown: Shown) -> Vec<String> {
    let mut wrong = Vec::new();
    let (got, want) = (values(misread), values(correct));
    if got != want {
        wrong.push(format!("want {want}\n      got  {got}"));
    }
    let found = reading(misread);
    let plate = &found.best().plate;
    if found.readings.len() > 1 {
        wrong.push(format!("{} readings compete", found.readings.len()));
    }
    if !found.review.is_empty() {
        wrong.push(format!("review is asked: {:?}", found.review[0].text));
    }
    let names = repairs(plate);
    let read_as = plate.markings.iter().any(|m| m.read_as.is_some());
    if shown == Repair && names.is_empty() && !read_as {
        wrong.push("no repair is shown".into());
    }
    let critical = plate.markings.iter().enumerate().any(|(index, m)| {
        let own: Vec<_> = m
            .protections
            .iter()
            .flat_map(|p| &p.kind.repairs)
            .chain(m.group.iter().flat_map(|r| &r.repairs))
            .chain(m.temperature.iter().flat_map(|r| &r.repairs))
            .chain(m.dust_temperature.iter().flat_map(|r| &r.repairs))
            .chain(m.epl.iter().flat_map(|r| &r.repairs))
            .collect();
        !own.is_empty() && (found.confidence(index) == Confidence::CERTAIN || m.read_as.is_none())
    });
    if critical {
        wrong.push("a repaired field is certain, or the text as read is not shown".into());
    }
    wrong
}

#[test]
fn every_repair_of_shape_is_made_and_shown() {
    let mut wrong = Vec::new();
    for row in rows("repairs") {
        let (misread, correct) = (&row["read"], &row["printed"]);
        let shown = match row["shown"].as_str() {
            "repair" => Repair,
            "same" => Same,
            other => panic!("{misread}: {other:?} is neither repair nor same"),
        };
        let found = missing(misread, correct, shown);
        if !found.is_empty() {
            wrong.push(format!(
                "{} {misread}\n      {}",
                row["row"],
                found.join("\n      ")
            ));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} wrong:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn every_row_of_repairs_has_a_case() {
    // Row 49 was moved to the confusions: its repair is none.
    let missing = lacking(75, &["repairs"]);
    assert_eq!(missing, [49]);
}
