//! Markings and places with the verdict that the rules must reach, from text to answer.
//!
//! **Source:** the clause named in each row of `fixtures/cases/verdicts.jsonl`; markings and places
//! are invented.

use serde_json::Value;
use std::path::Path;
use vetplate::pipeline::{GivenPlace, read_text};
use vetplate_parser::Language;
use vetplate_parser::place::PlaceFields;
use vetplate_tests::accuracy::place_fields;

fn cases() -> Vec<Value> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/cases/verdicts.jsonl");
    std::fs::read_to_string(&path)
        .expect("the cases are part of the repository")
        .lines()
        .map(|line| serde_json::from_str(line).expect("a case is JSON"))
        .collect()
}

#[test]
fn every_case_reaches_its_verdict() {
    let cases = cases();
    assert!(cases.len() >= 80, "{} cases", cases.len());
    let mut wrong = Vec::new();
    for case in &cases {
        let marking = case["marking"].as_str().expect("a marking").to_owned();
        let fields: PlaceFields = place_fields(&case["location"]);
        let place = GivenPlace::check(fields).unwrap_or_else(|e| panic!("{}: {e:?}", case["id"]));
        let answer = serde_json::to_value(read_text(&[marking], place.as_ref(), Language::English))
            .expect("JSON");
        let got = &answer["verdict"]["outcome"];
        if got != &case["verdict"] {
            wrong.push(format!(
                "{} {} at {}: {got} instead of {}",
                case["id"], case["marking"], case["location"], case["verdict"]
            ));
        }
        // Every answer with a verdict defers to certificate, code and competent person.
        assert_eq!(answer["cautions"].as_array().map(Vec::len), Some(6));
        for ground in answer["verdict"]["grounds"].as_array().expect("grounds") {
            assert!(
                ground["source"].as_str().is_some_and(|s| !s.is_empty()),
                "a ground without a source: {ground}"
            );
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
