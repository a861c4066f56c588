//! Markings of every notation against what the tables and clauses say of them.
//!
//! The lines in `fixtures/markings` and `fixtures/cases/markings.jsonl` are invented; the expected
//! values follow `parser/data` and the clauses named beside each line.

mod markings_support;

use markings_support::{decoded, differences};
use serde_json::Value;
use std::path::Path;

/// Reads every case of a file and answers what differs from what is expected.
fn wrong_in(file: &Path) -> (usize, Vec<String>) {
    let content = std::fs::read_to_string(file).expect("the fixtures are committed");
    let mut wrong = Vec::new();
    let mut count = 0;
    for line in content.lines().filter(|l| !l.trim().is_empty()) {
        let case: Value = serde_json::from_str(line).expect("each line is JSON");
        let text = case["text"].as_str().expect("each case has a text");
        count += 1;
        let found = differences(&case["expect"], &decoded(text), text);
        if !found.is_empty() {
            wrong.push(format!("{text}\n    {}", found.join("\n    ")));
        }
    }
    (count, wrong)
}

#[track_caller]
fn hold(folder: &str, files: &[(&str, usize)]) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures")
        .join(folder);
    let mut all = Vec::new();
    for (file, at_least) in files {
        let (count, wrong) = wrong_in(&folder.join(file));
        assert!(count >= *at_least, "{file} holds {count} cases only");
        all.extend(wrong.into_iter().map(|w| format!("{file}: {w}")));
    }
    assert!(all.is_empty(), "{} wrong:\n{}", all.len(), all.join("\n"));
}

#[test]
fn iec_markings_of_today() {
    hold("markings", &[("iec.jsonl", 90)]);
}

#[test]
fn older_generations() {
    hold("markings", &[("older.jsonl", 70)]);
}

#[test]
fn category_lines() {
    hold("markings", &[("directive.jsonl", 50)]);
}

#[test]
fn north_america() {
    hold("markings", &[("american.jsonl", 30)]);
}

#[test]
fn the_rest_of_the_plate() {
    hold("markings", &[("plate.jsonl", 40)]);
}

#[test]
fn plates_that_contradict_themselves() {
    hold("markings", &[("suspect.jsonl", 80)]);
}

#[test]
fn mixed_cases() {
    hold("cases", &[("markings.jsonl", 120)]);
}
