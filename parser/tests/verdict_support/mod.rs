//! Cases of the verdict, one line each: marking, place, outcome, words of the worst ground, and the
//! clause that the line rests on.
// `parser/tests/*.rs` are crates of their own; this folder is a module of those that name it.

#![allow(dead_code, reason = "each test crate uses its part")]

use vetplate_parser::place::{Place, PlaceFields};
use vetplate_parser::verdict::{Outcome, Verdict, judge};
use vetplate_parser::{Line, read};

/// Reads `zone=1 gas=ethanol,hydrogen ignition_c=400`; blanks within a value are written `_`.
pub(crate) fn fields(text: &str) -> PlaceFields {
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

/// The verdict on a typed plate.
pub(crate) fn verdict(text: &str, place: &str) -> Verdict {
    let place = Place::from_fields(&fields(place)).unwrap_or_else(|e| panic!("{place}: {e:?}"));
    let lines: Vec<Line> = text.split('\n').map(Line::certain).collect();
    judge(&read(&lines), &place)
}

/// What `DUST` stands for in a place.
const DUST: &str = "dust_group=IIIB cloud=400 layer=300 depth=5";

/// Asks every case and reports all that differ.
#[track_caller]
pub(crate) fn hold(cases: &[(&str, &str, Outcome, &str, &str)]) {
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
