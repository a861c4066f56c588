//! What a kept answer (schema 1) says, for tables, reports and inspections.
//!
//! A register holds answers of every version that ever wrote into it, so they are looked at
//! key by key: what is not there is empty, never an error.

use crate::inspection::{PlateFacts, PlateGround, Table, tables_for};
use serde_json::Value;
use vetplate_parser::field_name;

/// An answer, looked at key by key.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a>(&'a Value);

/// One line of text on the photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineFacts<'a> {
    /// What was read.
    pub text: &'a str,
    /// Probability that every character is right.
    pub confidence: f64,
    /// Corners in pixels of the upright photo.
    pub quad: Option<[[f64; 2]; 4]>,
}

impl<'a> Facts<'a> {
    /// Looks at `answer`.
    pub const fn new(answer: &'a Value) -> Self {
        Self(answer)
    }

    /// A text of the answer; empty where it has none.
    pub fn text(&self, key: &str) -> &'a str {
        self.0.get(key).map_or("", text_of)
    }

    /// A list of the answer.
    pub fn list(&self, key: &str) -> &'a [Value] {
        self.0
            .get(key)
            .and_then(Value::as_array)
            .map_or(&[], Vec::as_slice)
    }

    /// Texts of a list.
    pub fn texts(&self, key: &str) -> Vec<&'a str> {
        self.list(key).iter().map(text_of).collect()
    }

    /// The markings.
    pub fn markings(&self) -> &'a [Value] {
        self.list("markings")
    }

    /// One text of every marking that has it.
    pub fn of_markings(&self, key: &str) -> Vec<&'a str> {
        self.markings()
            .iter()
            .filter_map(|m| m.get(key).and_then(Value::as_str))
            .collect()
    }

    /// Every certificate with its suffix.
    pub fn certificates(&self) -> Vec<String> {
        self.list("certificates")
            .iter()
            .map(|c| {
                let part = |key| c.get(key).map_or("", text_of);
                format!("{} {}", part("number"), part("suffix"))
                    .trim()
                    .to_owned()
            })
            .collect()
    }

    /// The suffixes of the certificates, each once.
    pub fn suffixes(&self) -> String {
        let mut letters: Vec<char> = self
            .list("certificates")
            .iter()
            .flat_map(|c| c.get("suffix").map_or("", text_of).chars())
            .filter(|c| !c.is_whitespace())
            .collect();
        letters.sort_unstable();
        letters.dedup();
        letters.into_iter().collect()
    }

    /// What each marking says of temperature: class, range, surface, dust.
    pub fn temperatures(&self) -> Vec<String> {
        let mut all = Vec::new();
        for marking in self.markings() {
            if let Some(temperature) = marking.get("temperature") {
                if let Some(class) = temperature.get("class").and_then(Value::as_str) {
                    all.push(class.to_owned());
                }
                if let Some([from, to]) = temperature
                    .get("range")
                    .and_then(Value::as_array)
                    .map(Vec::as_slice)
                {
                    all.push(format!("{} to {}", text_of(from), text_of(to)));
                }
                if let Some(celsius) = temperature.get("max_surface_c") {
                    all.push(format!("{celsius} °C"));
                }
            }
            if let Some(celsius) = marking.get("dust_temperature_c") {
                all.push(format!("T{celsius} °C"));
            }
        }
        all
    }

    /// Every EPL of every marking, each once.
    pub fn levels(&self) -> Vec<&'a str> {
        let mut levels = Vec::new();
        for marking in self.markings() {
            let of_one = marking.get("epl").and_then(Value::as_array);
            for level in of_one.into_iter().flatten().map(text_of) {
                if !levels.contains(&level) {
                    levels.push(level);
                }
            }
        }
        levels
    }

    /// Lowest and highest ambient temperature, °C.
    pub fn ambient_c(&self) -> Option<[f64; 2]> {
        match self.list("ambient_c") {
            [low, high] => Some([low.as_f64()?, high.as_f64()?]),
            _ => None,
        }
    }

    /// Outcome of the verdict; empty where there is none.
    pub fn outcome(&self) -> &'a str {
        self.verdict("outcome").map_or("", text_of)
    }

    /// Share of the plausible readings for which the outcome is not worse.
    pub fn probability(&self) -> Option<f64> {
        self.verdict("probability").and_then(Value::as_f64)
    }

    fn verdict(self, key: &str) -> Option<&'a Value> {
        self.0.get("verdict").and_then(|v| v.get(key))
    }

    /// Every ground, worst first.
    pub fn grounds(&self) -> impl Iterator<Item = (PlateGround<'a>, &'a str)> {
        let grounds = self.verdict("grounds").and_then(Value::as_array);
        grounds.into_iter().flatten().map(|ground| {
            let part = |key| ground.get(key).map_or("", text_of);
            let facts = PlateGround {
                rule: part("rule"),
                outcome: part("outcome"),
                detail: part("detail"),
                source: part("source"),
            };
            (facts, part("next"))
        })
    }

    /// Why a person must look.
    pub fn review_reasons(&self) -> Vec<&'a str> {
        let reasons = self.0.get("review").and_then(|r| r.get("reasons"));
        reasons
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
            .map(text_of)
            .collect()
    }

    /// Contradictions of the plate with itself, with severity and clause.
    pub fn contradictions(&self) -> Vec<String> {
        self.list("suspicions")
            .iter()
            .map(|s| {
                let part = |key| s.get(key).map_or("", text_of);
                format!(
                    "{}: {} [{}]",
                    part("severity"),
                    part("detail"),
                    part("source")
                )
            })
            .collect()
    }

    /// The places of the text on which the outcome depends.
    pub fn deciding(&self) -> &'a [Value] {
        let deciding = self.verdict("decided_by").and_then(Value::as_array);
        deciding.map_or(&[], Vec::as_slice)
    }

    /// The readings that compete for what decides the outcome, in words.
    pub fn competing(&self) -> Vec<String> {
        self.deciding()
            .iter()
            .map(|one| {
                let readings = one.get("readings").and_then(Value::as_array);
                let readings: Vec<String> = readings
                    .into_iter()
                    .flatten()
                    .map(|reading| {
                        let part = |key| reading.get(key).map_or("", text_of);
                        let share = reading.get("probability").and_then(Value::as_f64);
                        format!(
                            "\"{}\" would be {} ({})",
                            part("text"),
                            part("outcome"),
                            chance(share)
                        )
                    })
                    .collect();
                let line = one.get("line").and_then(Value::as_u64).unwrap_or_default();
                format!(
                    "line {}, read as \"{}\": {}",
                    line + 1,
                    one.get("text").map_or("", text_of),
                    readings.join("; ")
                )
            })
            .collect()
    }

    /// For each critical field its next-best values with their probabilities.
    pub fn alternatives(&self) -> Vec<String> {
        let mut all = Vec::new();
        for marking in self.markings() {
            let fields = marking.get("fields").and_then(Value::as_object);
            for (name, field) in fields.into_iter().flatten() {
                let also = field.get("also").and_then(Value::as_array);
                let also: Vec<String> = also
                    .into_iter()
                    .flatten()
                    .map(|other| {
                        let share = other.get("probability").and_then(Value::as_f64);
                        format!(
                            "{} ({})",
                            other.get("value").map_or("", text_of),
                            chance(share)
                        )
                    })
                    .collect();
                if !also.is_empty() {
                    all.push(format!(
                        "{} may also be {}",
                        field_name(name),
                        also.join(" or ")
                    ));
                }
            }
        }
        all
    }

    /// Least confidence of a critical field.
    pub fn confidence(&self) -> Option<f64> {
        self.markings()
            .iter()
            .filter_map(|m| m.get("fields").and_then(Value::as_object))
            .flat_map(serde_json::Map::values)
            .filter_map(|field| field.get("confidence").and_then(Value::as_f64))
            .min_by(f64::total_cmp)
    }

    /// The lines of the photo, or of what was typed.
    pub fn lines(&self) -> impl Iterator<Item = LineFacts<'a>> {
        self.list("lines").iter().map(|line| LineFacts {
            text: line.get("text").map_or("", text_of),
            confidence: line
                .get("confidence")
                .and_then(Value::as_f64)
                .unwrap_or_default(),
            quad: line.get("quad").and_then(quad),
        })
    }

    /// Numbers of the lines on which a marking or the doubt about it stands.
    pub fn marking_lines(&self) -> Vec<usize> {
        let mut lines: Vec<usize> = self
            .markings()
            .iter()
            .filter_map(|m| m.get("spans").and_then(Value::as_array))
            .flatten()
            .filter_map(|span| span.get("line").and_then(Value::as_u64))
            .map(|line| line as usize)
            .collect();
        lines.sort_unstable();
        lines.dedup();
        lines
    }

    /// The inspection tables for the types of protection.
    pub fn tables(&self) -> Vec<Table> {
        let types = self
            .markings()
            .iter()
            .filter_map(|m| m.get("protections").and_then(Value::as_array))
            .flatten()
            .map(|protection| {
                let part = |key| protection.get(key).map_or("", text_of);
                (part("code"), part("level"))
            });
        tables_for(types)
    }

    /// Type, serial number and certificates in words.
    pub fn identity(&self) -> Vec<String> {
        let mut identity = Vec::new();
        for (label, key) in [("type", "type"), ("serial", "serial")] {
            if !self.text(key).is_empty() {
                identity.push(format!("{label} {}", self.text(key)));
            }
        }
        identity.extend(
            self.certificates()
                .into_iter()
                .map(|c| format!("certificate {c}")),
        );
        identity
    }

    /// What an inspection can take over; `identity` is [`Self::identity`] and `conditional` the
    /// certificates that end in X.
    pub fn for_inspection<'b>(
        &self,
        waits_for_review: bool,
        identity: &'b [String],
        conditional: &'b [String],
    ) -> PlateFacts<'b>
    where
        'a: 'b,
    {
        PlateFacts {
            grounds: self.grounds().map(|(ground, _)| ground).collect(),
            waits_for_review,
            identity: identity.iter().map(String::as_str).collect(),
            conditional_certificates: conditional.iter().map(String::as_str).collect(),
        }
    }

    /// Version of the program that made the answer.
    pub fn version(&self) -> &'a str {
        self.0
            .get("versions")
            .and_then(|v| v.get("vetplate"))
            .map_or("", text_of)
    }

    /// What the photo says of itself.
    pub fn photo(&self, key: &str) -> &'a str {
        self.0
            .get("photo")
            .and_then(|p| p.get(key))
            .map_or("", text_of)
    }
}

/// A probability for people: whole hundredths.
fn chance(share: Option<f64>) -> String {
    match share.unwrap_or_default() {
        little if little < 0.005 => "under 1 %".to_owned(),
        most if most > 0.995 => "over 99 %".to_owned(),
        share => format!("{:.0} %", 100.0 * share),
    }
}

fn text_of(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

fn quad(value: &Value) -> Option<[[f64; 2]; 4]> {
    let mut quad = [[0.0; 2]; 4];
    let corners = value.as_array().filter(|corners| corners.len() == 4)?;
    for (corner, to) in corners.iter().zip(&mut quad) {
        to[0] = corner.get(0)?.as_f64()?;
        to[1] = corner.get(1)?.as_f64()?;
    }
    Some(quad)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pipeline::{GivenPlace, read_text};
    use vetplate_parser::place::PlaceFields;

    #[test]
    fn an_answer_is_found_again_key_by_key() {
        let place = GivenPlace::check(PlaceFields {
            zone: Some("1".to_owned()),
            gas: vec!["ethanol".to_owned()],
            ..PlaceFields::default()
        })
        .unwrap();
        let lines = ["II 2 G Ex db eb IIC T4 Gb", "ABC 19 ATEX 1234 X", "IP66"];
        let lines = lines.map(ToOwned::to_owned);
        let answer = serde_json::to_value(read_text(
            &lines,
            place.as_ref(),
            vetplate_parser::Language::English,
        ))
        .unwrap();
        let facts = Facts::new(&answer);
        assert_eq!(facts.of_markings("text"), ["Ex db eb IIC T4 Gb"]);
        assert_eq!(facts.of_markings("group"), ["IIC"]);
        assert_eq!(facts.certificates(), ["ABC 19 ATEX 1234 X"]);
        assert_eq!(facts.suffixes(), "X");
        assert_eq!(facts.temperatures(), ["T4"]);
        assert_eq!(facts.levels(), ["Gb"]);
        assert_eq!(facts.text("ip"), "IP66");
        assert_eq!(facts.outcome(), "conditional");
        assert!(
            facts
                .grounds()
                .any(|(g, _)| g.rule == "level-of-protection")
        );
        assert_eq!(facts.tables(), [Table::D, Table::E]);
        assert_eq!(facts.marking_lines(), [0]);
        assert_eq!(facts.lines().count(), 3);
        assert!(facts.confidence().is_some_and(|c| c > 0.9));
        assert_eq!(facts.version(), env!("CARGO_PKG_VERSION"));
    }

    #[test]
    fn what_is_not_there_is_empty() {
        let nothing = Value::Null;
        let facts = Facts::new(&nothing);
        assert_eq!(facts.outcome(), "");
        assert!(facts.certificates().is_empty());
        assert_eq!(facts.ambient_c(), None);
        assert_eq!(facts.grounds().count(), 0);
        // Without types nothing may be left out of an inspection.
        assert_eq!(facts.tables().len(), 6);
    }

    #[test]
    fn what_else_may_stand_there_is_said_in_words() {
        let answer = serde_json::json!({"markings": [{"fields": {
            "atex": {"confidence": 0.9, "also": [
                {"value": "II 2 GD", "probability": 0.0612},
                {"value": "II 3 G", "probability": 0.0011},
            ]},
            "group": {"confidence": 1.0, "also": []},
        }}]});
        assert_eq!(
            Facts::new(&answer).alternatives(),
            ["category may also be II 2 GD (6 %) or II 3 G (under 1 %)"]
        );
    }
}
