//! Photos with transcripts against what the program reads.
//!
//! The transcript goes through the same parser as the photo's lines, so that what is compared is
//! the reading, field by field, and not the spelling.

use serde::Deserialize;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use vetplate::answer::Answer;
use vetplate::pipeline::{GivenPlace, PhotoReader, read_photo, read_text};
use vetplate_ocr::{ILLEGIBLE, Limits, TextLine};
use vetplate_parser::Language;
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
    /// Fields that may or may not be read.
    #[serde(default)]
    pub borderline: Vec<String>,
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
    /// Characters to change, add or drop until the marking strings are right, and their
    /// characters in all; blanks ignored.
    pub characters: (usize, usize),
    /// Every marking string stands in the lines exactly, blanks ignored.
    pub marking_exact: bool,
    /// Every critical field of every marking as in the transcript.
    pub fields_right: bool,
    /// The program asks a person to look.
    pub review: bool,
    /// Nothing is hidden, and the text as printed gives no reason to look.
    pub sound: bool,
    /// Fields wrong and nobody asked to look.
    pub confident_wrong: bool,
    /// A marking where there is none.
    pub invented: bool,
    /// A verdict milder than every acceptable one.
    pub too_mild: bool,
    /// Something critical cannot be read by a person.
    pub illegible: bool,
    /// It was claimed, and nobody asked to look.
    pub not_admitted: bool,
    /// Lines in which something is said to be hidden, and lines in all, where nothing is hidden.
    pub accused: (usize, usize),
    /// Something hidden is told of, where something is hidden.
    pub caught: Option<bool>,
    /// Confidence of each critical field and whether it is right, where the number of
    /// markings is.
    pub confidences: Vec<(f64, bool)>,
    /// The lines as read.
    pub read: Vec<String>,
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

/// Lines in which something is said to be hidden or illegible.
fn hidden_lines(answer: &Value) -> usize {
    let lines = answer["lines"].as_array().map_or(&[][..], |lines| lines);
    let tells = |line: &&Value| {
        let illegible = line["text"]
            .as_str()
            .unwrap_or_default()
            .contains(ILLEGIBLE);
        illegible || line["hidden"].as_array().is_some_and(|h| !h.is_empty())
    };
    lines.iter().filter(tells).count()
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

/// Fewest characters to change, add or drop so that `part` stands somewhere in `text`.
fn distance_within(part: &str, text: &str) -> usize {
    let part: Vec<char> = part.chars().collect();
    let mut column: Vec<usize> = (0..=part.len()).collect();
    let mut least = part.len();
    for ch in text.chars() {
        // The part may begin anywhere in the text.
        let mut diagonal = 0;
        column[0] = 0;
        for (i, own) in part.iter().enumerate() {
            let changed = diagonal + usize::from(*own != ch);
            diagonal = column[i + 1];
            column[i + 1] = changed.min(column[i] + 1).min(diagonal + 1);
        }
        least = least.min(column[part.len()]);
    }
    least
}

/// Confidence of the critical fields of markings that stand in the same place of the transcript's,
/// with whether they are right.
fn confidences(got: &Value, want: &Value) -> Vec<(f64, bool)> {
    let (Some(got), Some(want)) = (got["markings"].as_array(), want["markings"].as_array()) else {
        return Vec::new();
    };
    if got.len() != want.len() {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (got, want) in got.iter().zip(want) {
        for (name, field) in got["fields"].as_object().into_iter().flatten() {
            let Some(confidence) = field["confidence"].as_f64() else {
                continue;
            };
            let same = match name.as_str() {
                "protections" => {
                    got[name]
                        .as_array()
                        .map(|p| p.iter().map(bare).collect::<Vec<_>>())
                        == want[name].as_array().map(|p| p.iter().map(bare).collect())
                }
                "temperature" => {
                    got[name] == want[name]
                        && got["dust_temperature_c"] == want["dust_temperature_c"]
                }
                _ => got[name] == want[name],
            };
            found.push((confidence, same));
        }
    }
    found
}

/// A type of protection without what depends on how it was read.
fn bare(protection: &Value) -> [Value; 3] {
    ["code", "level", "associated"].map(|key| protection[key].clone())
}

/// Expected calibration error: the mean distance between confidence and share right in ten bands
/// of confidence, weighted by their size.
pub fn calibration_error(confidences: &[(f64, bool)]) -> f64 {
    let mut bands = [(0.0, 0.0, 0.0); 10];
    for &(confidence, right) in confidences {
        let band = &mut bands[((confidence * 10.0) as usize).min(9)];
        band.0 += confidence;
        band.1 += f64::from(u8::from(right));
        band.2 += 1.0;
    }
    let sum: f64 = bands.iter().map(|(c, r, _)| (c - r).abs()).sum();
    sum / bands.iter().map(|b| b.2).sum::<f64>().max(1.0)
}

/// The place of a transcript, checked.
fn given_place(truth: &Truth) -> Option<GivenPlace> {
    let scenario = truth.scenario.as_ref()?;
    GivenPlace::check(place_fields(scenario)).ok().flatten()
}

/// Reads one photo and holds it against its transcript.
///
/// # Errors
///
/// A sentence naming the photo that cannot be read.
pub fn score(reader: &dyn PhotoReader, folder: &Path, truth: &Truth) -> Result<Score, String> {
    let path: PathBuf = folder.join(&truth.file);
    let bytes = std::fs::read(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    let place = given_place(truth);
    let start = Instant::now();
    let read = read_photo(
        reader,
        &bytes,
        &Limits::default(),
        Some(&truth.file),
        place.as_ref(),
        Language::English,
    )
    .map_err(|e| format!("{}: {e}", path.display()))?;
    let time = start.elapsed();
    let lines: Vec<String> = read.lines.lines.iter().map(TextLine::text).collect();
    let pieces = tightened(&lines);
    held_against(truth, lines, &pieces, &read.answer, time)
}

/// Holds lines that another program read in `time` against the transcript; our parser decodes them.
/// `pieces` are the same text as it was found, before it was joined to rows.
///
/// # Errors
///
/// Where the answer cannot be written as JSON, which is our fault.
pub fn score_lines(
    truth: &Truth,
    lines: Vec<String>,
    pieces: &[String],
    time: Duration,
) -> Result<Score, String> {
    let answer = read_text(&lines, given_place(truth).as_ref(), Language::English);
    held_against(truth, lines, &tightened(pieces), &answer, time)
}

fn tightened(lines: &[String]) -> Vec<String> {
    lines.iter().map(|l| tight(l)).collect()
}

/// Whether a line of the transcript was found exactly: as one piece, or as up to four that follow each
/// other. Transcripts differ in whether a caption and its value are one line.
fn stands_in(line: &str, pieces: &[String]) -> bool {
    (1..=4).any(|count| pieces.windows(count).any(|run| run.concat() == line))
}

fn held_against(
    truth: &Truth,
    read: Vec<String>,
    pieces: &[String],
    answer: &Answer,
    time: Duration,
) -> Result<Score, String> {
    let place = given_place(truth);
    let value =
        |answer: &Answer| serde_json::to_value(answer).map_err(|e| format!("{}: {e}", truth.file));
    let got = value(answer)?;
    let want = value(&read_text(&truth.lines, place.as_ref(), Language::English))?;
    let all = tightened(&read).concat();
    let marking: Vec<String> = truth.marking.iter().map(|m| tight(m)).collect();
    let characters = marking.iter().fold((0, 0), |(wrong, of), m| {
        (wrong + distance_within(m, &all), of + m.chars().count())
    });
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
        .filter(|l| stands_in(&tight(l), pieces))
        .count();
    let (got_fields, want_fields) = (fields(&got), fields(&want));
    let fields_right = got_fields == want_fields;
    let review = got["review"]["needed"].as_bool().unwrap_or(true);
    let marked = got["markings"].as_array().is_some_and(|m| !m.is_empty());
    let illegible = truth.illegible.iter().any(|f| is_critical(f));
    let outcome = got["verdict"]["outcome"].as_str().unwrap_or("undecided");
    // An honest undecided is never too mild.
    let allowed = allowed(truth, &want);
    let too_mild = place.is_some()
        && outcome != "undecided"
        && allowed.iter().all(|a| rank(outcome) > rank(a));
    let hidden = hidden_lines(&got);
    let clean = truth.illegible.is_empty() && truth.borderline.is_empty();
    let is_due = want["review"]["needed"].as_bool().unwrap_or(true);
    let mut detail = String::new();
    if hidden > 0 {
        detail = format!("hidden in {hidden} lines ");
    }
    if !missing.is_empty() {
        missing.truncate(3);
        detail = format!("{detail}missing {missing:?}");
    }
    if !fields_right {
        detail = format!("{detail}\n    want {want_fields:?}\n    got  {got_fields:?}");
    }
    if too_mild {
        detail = format!("{detail}\n    verdict {outcome}, acceptable {allowed:?}");
    }
    if review {
        detail = format!("{detail}\n    review {}", got["review"]["reasons"]);
    }
    Ok(Score {
        file: truth.file.clone(),
        grade: truth.difficulty.clone().unwrap_or_else(|| "-".to_owned()),
        lines: (exact, truth.lines.len()),
        characters,
        marking_exact,
        fields_right,
        review,
        sound: clean && !is_due,
        confident_wrong: truth.has_marking && !fields_right && !review,
        invented: !truth.has_marking && marked,
        too_mild,
        illegible,
        not_admitted: illegible && marked && !review,
        accused: if clean { (hidden, read.len()) } else { (0, 0) },
        caught: (!truth.illegible.is_empty()).then_some(hidden > 0),
        confidences: confidences(&got, &want),
        read,
        detail,
        time,
    })
}

impl Score {
    /// A person is asked to look at a plate on which nothing is to be looked at.
    pub fn is_in_vain(&self) -> bool {
        self.review && self.sound
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_is_looked_for_anywhere_in_the_text() {
        assert_eq!(distance_within("IIC", "ExdbIICT4"), 0);
        assert_eq!(distance_within("IIC", "ExdbI1CT4"), 1);
        assert_eq!(distance_within("IIC", "ExdbICT4"), 1);
        assert_eq!(distance_within("IIC", ""), 3);
    }

    #[test]
    fn a_line_may_be_found_in_pieces_that_follow_each_other() {
        let pieces = ["Serial", "No.", "4711", "IP66"].map(ToOwned::to_owned);
        assert!(stands_in("IP66", &pieces));
        assert!(stands_in("SerialNo.4711", &pieces));
        assert!(!stands_in("SerialNo.", &pieces[1..]));
        assert!(!stands_in("4711Serial", &pieces));
        assert!(!stands_in("", &pieces));
    }

    #[test]
    fn calibration_error_is_the_distance_from_the_share_right() {
        assert!(calibration_error(&[(0.95, true), (0.95, true)]) - 0.05 < 1e-9);
        let half = [(0.5, true), (0.5, false)];
        assert!(calibration_error(&half) < 1e-9);
        assert!((calibration_error(&[(1.0, false)]) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn the_hexagon_mark_is_no_text_of_a_line() {
        assert_eq!(tight("⬢ II 2 G"), "II2G");
    }
}
