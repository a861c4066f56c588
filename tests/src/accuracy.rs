//! Photos with transcripts against what the program reads.
//!
//! The transcript goes through the same parser as the photo's lines, so that what is compared is
//! the reading, field by field, and not the spelling.

use serde::Deserialize;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use vetplate::pipeline::{GivenPlace, PhotoReader, read_photo, read_text};
use vetplate_ocr::Limits;
use vetplate_parser::place::PlaceFields;

/// One photo with its transcript, a line of `truth.jsonl`.
#[derive(Debug, Clone, Deserialize)]
pub struct Truth {
    /// File name, beside the transcript.
    pub file: String,
    /// `easy`, `medium`, `hard`, `unreadable`; absent in sets without grades.
    #[serde(default)]
    pub difficulty: Option<String>,
    /// Every text line in reading order.
    pub lines: Vec<String>,
    /// Type-of-protection strings.
    #[serde(default)]
    pub marking: Vec<String>,
    /// Fields that a person cannot read.
    #[serde(default)]
    pub illegible: Vec<String>,
    /// False for photos without any marking.
    #[serde(default = "yes")]
    pub has_marking: bool,
    /// A place to judge the plate for.
    #[serde(default)]
    pub scenario: Option<Value>,
    /// Verdicts that are right there.
    #[serde(default)]
    pub acceptable_verdicts: Vec<String>,
}

fn yes() -> bool {
    true
}

/// What came out for one photo.
#[derive(Debug, Clone)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "one column of the table each"
)]
pub struct Score {
    /// File name.
    pub file: String,
    /// Grade, `-` if none.
    pub grade: String,
    /// Lines of the transcript found exactly, blanks ignored, and lines in all.
    pub lines: (usize, usize),
    /// Every marking string stands in the lines exactly, blanks ignored.
    pub marking_exact: bool,
    /// Every critical field of every marking as in the transcript.
    pub fields_right: bool,
    /// The program asks a person to look.
    pub review: bool,
    /// Fields wrong and nobody asked to look.
    pub confident_wrong: bool,
    /// A marking where there is none.
    pub invented: bool,
    /// A verdict milder than every acceptable one.
    pub too_mild: bool,
    /// Something that a person cannot read was not admitted.
    pub not_admitted: bool,
    /// What differs, for people.
    pub detail: String,
    /// Time of the whole photo.
    pub time: Duration,
}

/// The transcripts of a folder.
///
/// # Errors
///
/// A sentence naming the file that cannot be read or the line that is no transcript.
pub fn truths(folder: &Path) -> Result<Vec<Truth>, String> {
    let path = folder.join("truth.jsonl");
    let text = std::fs::read_to_string(&path).map_err(|e| {
        format!(
            "{}: {e}; name a folder with photos and truth.jsonl",
            path.display()
        )
    })?;
    text.lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty())
        .map(|(number, line)| {
            serde_json::from_str(line)
                .map_err(|e| format!("{} line {}: {e}", path.display(), number + 1))
        })
        .collect()
}

fn tight(text: &str) -> String {
    text.chars()
        // The hexagon mark is no text in the transcripts.
        .filter(|c| !c.is_whitespace() && *c != '⬢')
        .map(|c| match c {
            '−' | '–' => '-',
            '…' => '.',
            other => other,
        })
        .collect::<String>()
        .replace("...", ".")
}

/// The critical fields of an answer's markings, as comparable text, in no order.
fn fields(answer: &Value) -> Vec<String> {
    let mut found: Vec<String> = answer["markings"]
        .as_array()
        .map(|markings| {
            markings
                .iter()
                .map(|m| {
                    let types: Vec<String> = m["protections"]
                        .as_array()
                        .map(|p| {
                            p.iter()
                                .map(|p| format!("{}{}{}", p["code"], p["level"], p["associated"]))
                                .collect()
                        })
                        .unwrap_or_default();
                    format!(
                        "{} | {} | {} {} | {} | {}",
                        types.join(" "),
                        m["group"],
                        m["temperature"],
                        m["dust_temperature_c"],
                        m["epl"],
                        m["atex"]
                    )
                })
                .collect()
        })
        .unwrap_or_default();
    found.sort();
    found
}

/// The fields of a place from its JSON, numbers and ranges as text.
pub fn place_fields(scenario: &Value) -> PlaceFields {
    let text = |key: &str| match &scenario[key] {
        Value::String(s) => Some(s.clone()),
        Value::Number(n) => Some(n.to_string()),
        Value::Array(ends) if ends.len() == 2 => Some(format!("{}..{}", ends[0], ends[1])),
        _ => None,
    };
    PlaceFields {
        zone: text("zone"),
        epl: text("epl"),
        gas: text("gas").into_iter().collect(),
        gas_group: text("gas_group"),
        ignition_c: text("ignition_c"),
        t_class: text("t_class"),
        dust: text("dust").into_iter().collect(),
        dust_group: text("dust_group"),
        cloud_ignition_c: text("cloud_ignition_c"),
        layer_ignition_c: text("layer_ignition_c"),
        layer_mm: text("layer_mm"),
        max_surface_c: text("max_surface_c"),
        ambient_c: text("ambient_c"),
        ip: text("ip"),
    }
}

/// Fields that a verdict rests on; a serial number that cannot be read decides nothing.
fn is_critical(field: &str) -> bool {
    !matches!(
        field,
        "serial" | "certificate" | "certificates" | "type" | "maker" | "year"
    )
}

/// Rank of an outcome, mildest highest.
fn rank(outcome: &str) -> u8 {
    match outcome {
        "unsuitable" => 0,
        "undecided" => 1,
        "conditional" => 2,
        _ => 3,
    }
}

/// The verdict on the exact transcript, the mildest that a reading of the photo may reach.
fn allowed(truth: &Truth, want: &Value) -> Vec<String> {
    if truth.acceptable_verdicts.is_empty() {
        want["verdict"]["outcome"]
            .as_str()
            .map(ToOwned::to_owned)
            .into_iter()
            .collect()
    } else {
        truth.acceptable_verdicts.clone()
    }
}

/// Reads one photo and holds it against its transcript.
///
/// # Errors
///
/// A sentence naming the photo that cannot be read.
pub fn score(reader: &dyn PhotoReader, folder: &Path, truth: &Truth) -> Result<Score, String> {
    let path: PathBuf = folder.join(&truth.file);
    let bytes = std::fs::read(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    let place = truth
        .scenario
        .as_ref()
        .and_then(|scenario| GivenPlace::check(place_fields(scenario)).ok().flatten());
    let start = Instant::now();
    let read = read_photo(
        reader,
        &bytes,
        &Limits::default(),
        Some(&truth.file),
        place.as_ref(),
    )
    .map_err(|e| format!("{}: {e}", path.display()))?;
    let time = start.elapsed();
    let value = |answer: &vetplate::answer::Answer| {
        serde_json::to_value(answer).map_err(|e| format!("{}: {e}", truth.file))
    };
    let got = value(&read.answer)?;
    let want = value(&read_text(&truth.lines, place.as_ref()))?;
    let lines: Vec<String> = read.lines.lines.iter().map(|l| tight(&l.text())).collect();
    let all = lines.concat();
    let mut missing: Vec<&str> = truth
        .marking
        .iter()
        .filter(|m| !all.contains(&tight(m)))
        .map(String::as_str)
        .collect();
    let marking_exact = missing.is_empty();
    let exact = truth
        .lines
        .iter()
        .filter(|l| lines.contains(&tight(l)))
        .count();
    let (got_fields, want_fields) = (fields(&got), fields(&want));
    let fields_right = got_fields == want_fields;
    let review = got["review"]["needed"].as_bool().unwrap_or(true);
    let marked = got["markings"].as_array().is_some_and(|m| !m.is_empty());
    let outcome = got["verdict"]["outcome"].as_str().unwrap_or("undecided");
    // An honest undecided is never too mild.
    let allowed = allowed(truth, &want);
    let too_mild = place.is_some()
        && outcome != "undecided"
        && allowed.iter().all(|a| rank(outcome) > rank(a));
    let mut detail = String::new();
    if !missing.is_empty() {
        missing.truncate(3);
        detail = format!("missing {missing:?}");
    }
    if !fields_right {
        detail = format!("{detail}\n    want {want_fields:?}\n    got  {got_fields:?}");
    }
    if too_mild {
        detail = format!("{detail}\n    verdict {outcome}, acceptable {allowed:?}");
    }
    Ok(Score {
        file: truth.file.clone(),
        grade: truth.difficulty.clone().unwrap_or_else(|| "-".to_owned()),
        lines: (exact, truth.lines.len()),
        marking_exact,
        fields_right,
        review,
        confident_wrong: truth.has_marking && !fields_right && !review,
        invented: !truth.has_marking && marked,
        too_mild,
        not_admitted: truth.illegible.iter().any(|f| is_critical(f)) && marked && !review,
        detail,
        time,
    })
}
