//! A plate in the words of the fixtures.
// `parser/tests/*.rs` are crates of their own; this folder is a module of those that name it.

#![allow(dead_code, reason = "each test crate uses its part")]

use serde_json::{Map, Value, json};
use vetplate_parser::marking::{AmbientClass, Atmosphere, Group, Marking, Protection, Temperature};
use vetplate_parser::{Line, Plate, Severity, read};

fn unique(values: impl IntoIterator<Item = String>) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for value in values {
        if !found.contains(&value) {
            found.push(value);
        }
    }
    found
}

fn one_or_many(values: &[String]) -> Option<Value> {
    match values {
        [] => None,
        [one] => Some(json!(one)),
        _ => Some(json!(values)),
    }
}

fn protection(protection: &Protection) -> Value {
    let mut object = json!({
        "code": protection.kind.value.symbol(),
        "associated": protection.associated,
    });
    if !protection.level.is_empty() {
        object["level"] = json!(protection.level);
    }
    if let Some(epl) = protection.epl {
        object["epl"] = json!(epl.to_string());
    }
    object
}

fn groups(markings: &[Marking]) -> Vec<String> {
    unique(markings.iter().flat_map(|m| {
        let second = m.second_group.as_ref().map(Group::to_string);
        let first = m.group.as_ref().map(|g| g.value.to_string());
        second.into_iter().chain(first)
    }))
}

fn temperature(found: &mut Map<String, Value>, marking: &Marking) {
    // Where class and surface temperature contradict each other neither is the value.
    if let Some(read) = &marking.temperature
        && marking.temperature_contradiction().is_none()
    {
        match &read.value {
            Temperature::Class(class) => {
                found.insert("temperature".into(), json!({"class": class.to_string()}));
            }
            Temperature::Range(a, b) => {
                found.insert(
                    "temperature".into(),
                    json!({"range": [a.to_string(), b.to_string()]}),
                );
            }
            Temperature::MaxSurface { celsius, .. } => {
                found.insert(
                    "temperature".into(),
                    json!({"max_surface_c": whole(*celsius)}),
                );
            }
            Temperature::ByAmbient(table) => {
                let row = |c: &AmbientClass| json!({"class": c.class.to_string(), "ambient_max_c": whole(c.ambient_max_c)});
                found.insert("by_ambient".into(), table.iter().map(row).collect());
            }
        }
    }
    if let Some(dust) = &marking.dust_temperature {
        found.insert("dust_temperature_c".into(), whole(dust.value.celsius));
        if let Some(depth) = dust.value.layer_mm {
            found.insert("dust_layer_mm".into(), whole(depth));
        }
    }
}

/// A whole number where it is one, as the fixtures write them.
fn whole(value: f64) -> Value {
    if value.fract() == 0.0 {
        json!(value as i64)
    } else {
        json!(value)
    }
}

fn category(markings: &[Marking]) -> Option<Value> {
    let lines: Vec<_> = markings.iter().filter_map(|m| m.atex.as_ref()).collect();
    let first = lines.first()?;
    let tokens = unique(
        lines
            .iter()
            .flat_map(|l| l.categories.iter().map(|c| c.value.to_string())),
    );
    let letters = unique(lines.iter().flat_map(|l| {
        l.atmospheres.iter().map(|a| match a {
            Atmosphere::Dust => "D".to_owned(),
            _ => "G".to_owned(),
        })
    }));
    let mut object = json!({
        "group": if first.mining { "I" } else { "II" },
        "categories": tokens,
    });
    if !letters.is_empty() {
        object["atmospheres"] = json!(letters);
    }
    Some(object)
}

fn gas_note(markings: &[Marking]) -> Option<String> {
    let mut notes: Vec<String> = Vec::new();
    for marking in markings {
        if marking
            .group
            .as_ref()
            .is_some_and(|g| g.value == Group::IIBPlusH2)
        {
            notes.push("IIB gases and hydrogen".into());
        }
        if let Some(gas) = &marking.only_gas {
            let word = match gas.value.as_str() {
                "NH3" => "ammonia",
                "H2" => "hydrogen",
                other => other,
            };
            notes.push(format!("{word} only"));
        }
        for group in marking
            .protections
            .iter()
            .filter_map(|p| p.circuit_group.as_ref())
        {
            notes.push(format!("intrinsically safe circuit {group}"));
        }
    }
    let notes = unique(notes);
    (!notes.is_empty()).then(|| notes.join("; "))
}

fn rest_of_plate(found: &mut Map<String, Value>, plate: &Plate) {
    if let Some(ambient) = &plate.ambient {
        found.insert(
            "ambient_c".into(),
            json!([whole(ambient.value.low_c), whole(ambient.value.high_c)]),
        );
    }
    if let Some(ip) = &plate.ip {
        found.insert("ip".into(), json!(ip.value.text));
    }
    if !plate.certificates.is_empty() {
        let one = |c: &vetplate_parser::marking::Certificate| {
            json!({
                "number": c.number.value,
                "scheme": c.scheme.to_string(),
                "suffix": c.suffix.to_string(),
            })
        };
        found.insert(
            "certificates".into(),
            plate.certificates.iter().map(one).collect(),
        );
        if let Some(issue) = plate.certificates.iter().find_map(|c| c.issue) {
            found.insert("issue".into(), json!(issue));
        }
    }
    if let Some(body) = plate.notified_body() {
        found.insert("notified_body".into(), json!(body));
    }
    if let Some(year) = &plate.year {
        found.insert("year".into(), json!(year.value));
    }
    if !plate.enclosure.is_empty() {
        let texts: Vec<_> = plate.enclosure.iter().map(|e| &e.value).collect();
        found.insert("enclosure".into(), json!(texts));
    }
    let parameters: Map<String, Value> = plate
        .entity
        .iter()
        .map(|e| (e.quantity.key().to_owned(), json!(e.value.value)))
        .collect();
    if !parameters.is_empty() {
        found.insert("is_parameters".into(), parameters.into());
    }
    let unread: Vec<String> = plate
        .unread
        .iter()
        .map(|s| plate.lines[s.line][s.start..s.end].to_owned())
        .collect();
    if !unread.is_empty() {
        found.insert("unread".into(), json!(unread));
    }
}

/// What is read from a text, one line.
pub(crate) fn decoded(text: &str) -> Value {
    let lines: Vec<Line> = text.split('\n').map(Line::certain).collect();
    let reading = read(&lines);
    let best = reading.best();
    let plate = &best.plate;
    let markings = &plate.markings;
    let mut found = Map::new();
    if let Some(first) = markings.first() {
        found.insert("scheme".into(), json!(first.scheme.to_string()));
    }
    let protections: Vec<Value> = markings
        .iter()
        .flat_map(|m| m.protections.iter().map(protection))
        .collect();
    if !protections.is_empty() {
        found.insert("protections".into(), json!(protections));
    }
    found.extend(one_or_many(&groups(markings)).map(|g| ("group".into(), g)));
    found.extend(gas_note(markings).map(|n| ("gas_note".into(), json!(n))));
    for marking in markings {
        temperature(&mut found, marking);
    }
    let levels = unique(
        markings
            .iter()
            .flat_map(Marking::levels)
            .map(|e| e.to_string()),
    );
    if !levels.is_empty() {
        found.insert("epl".into(), json!(levels));
    }
    found.extend(category(markings).map(|c| ("atex".into(), c)));
    found.insert(
        "zones".into(),
        json!(unique(markings.iter().flat_map(Marking::zones))),
    );
    rest_of_plate(&mut found, plate);
    let mut suspect: Vec<&str> = best
        .suspicions
        .iter()
        .filter(|s| s.severity != Severity::Note)
        .map(|s| s.check)
        .collect();
    suspect.sort_unstable();
    suspect.dedup();
    found.insert("suspect".into(), json!(suspect));
    let asked = !reading.review.is_empty();
    found.insert("review".into(), json!(asked));
    Value::Object(found)
}

/// Keys that must not appear where nothing is expected of them.
const SILENT: [&str; 11] = [
    "group",
    "temperature",
    "dust_temperature_c",
    "dust_layer_mm",
    "ambient_c",
    "ip",
    "certificates",
    "protections",
    "gas_note",
    "atex",
    "unread",
];

/// Where the decoded plate differs from what is expected.
pub(crate) fn differences(expected: &Value, found: &Value, text: &str) -> Vec<String> {
    let expected = expected.as_object().expect("expect is an object");
    let mut wrong = Vec::new();
    for (key, value) in expected {
        let got = match (key.as_str(), &found[key]) {
            ("suspect", _) => {
                let mut names: Vec<&str> = value
                    .as_array()
                    .expect("suspect is a list")
                    .iter()
                    .filter_map(Value::as_str)
                    .collect();
                names.sort_unstable();
                if found["suspect"] != json!(names) {
                    wrong.push(format!("suspect: want {names:?}, got {}", found["suspect"]));
                }
                continue;
            }
            ("epl" | "zones", Value::Null) => json!([]),
            (_, got) => got.clone(),
        };
        if got != *value {
            wrong.push(format!("{key}: want {value}, got {got}"));
        }
    }
    for key in SILENT {
        let named = expected.contains_key(key);
        // Words of a line that are no part of any notation may stay unread.
        let words = key == "unread" && text.contains("gas detector sensor head");
        if !named && !found[key].is_null() && !words {
            wrong.push(format!("{key}: unexpected {}", found[key]));
        }
    }
    let sound = expected["suspect"].as_array().is_some_and(Vec::is_empty);
    if sound && found["review"] == json!(true) {
        wrong.push("review is asked for a sound line".into());
    }
    wrong
}
