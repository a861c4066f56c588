//! One reading of a photo: the answer, the evidence it rests on, and what the register finds
//! it by.

use super::{Evidence, PhotoId, ReadingId, urgency};
use crate::answer::{Answer, OutcomeDto};
use crate::pipeline::GivenPlace;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use vetplate_parser::marking::Plate;
use vetplate_parser::{Line, Span, read};

/// From here a serial number or certificate is sure enough to join photos by: a product over
/// its characters. A misread number splits a plate in two, which a person can see; only two
/// numbers that are misread into those of another plate would join what is apart.
const SURE: f64 = 0.9;
/// Shorter serial numbers are no name: `1`, `A2`.
const SHORTEST_SERIAL: usize = 4;

/// What names a piece of equipment: its serial number and one certificate.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Identity {
    /// Serial number, capitals, without blanks.
    pub serial: String,
    /// Certificate, capitals, without blanks.
    pub certificate: String,
}

impl Identity {
    /// By what it is found.
    pub(super) fn key(&self) -> String {
        format!("{}|{}", self.serial, self.certificate)
    }
}

/// What the register finds a reading by and joins it with.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct ReadingFacts {
    /// Values with the probability that every character is right: `maker`, `type`, `serial`,
    /// `year`, `certificate`, `marking`.
    pub fields: BTreeMap<String, (String, f64)>,
    /// One for each certificate where it and the serial number are sure.
    pub identities: Vec<Identity>,
    /// Outcome of the verdict; none where no place is known.
    pub outcome: Option<OutcomeDto>,
    /// A person must look.
    pub review: bool,
    /// How urgent that is.
    pub urgency: i64,
    /// How the picture looks, see [`super::look`].
    pub look: Option<u64>,
}

impl ReadingFacts {
    /// The facts of an answer and the evidence beneath it.
    pub fn new(evidence: &Evidence, answer: &Answer, look: Option<u64>) -> Self {
        let lines: Vec<Line> = evidence.lines.iter().map(|l| l.line.clone()).collect();
        let reading = read(&lines);
        let plate = &reading.best().plate;
        let mut fields = BTreeMap::new();
        let mut put = |name: &str, value: String, confidence: f64| {
            fields.insert(name.to_owned(), (value, confidence));
        };
        for (name, field) in [
            ("maker", &plate.maker),
            ("type", &plate.kind),
            ("serial", &plate.serial),
        ] {
            if let Some(read) = field {
                put(name, read.value.clone(), sure(&lines, &[read.span]));
            }
        }
        if let Some(year) = &plate.year {
            put("year", year.value.to_string(), sure(&lines, &[year.span]));
        }
        if let Some(certificate) = plate.certificates.first() {
            let number = &certificate.number;
            let text = format!("{} {}", number.value, certificate.suffix);
            let sure = sure(&lines, &certificate.spans);
            put("certificate", text.trim().to_owned(), sure);
        }
        if !answer.markings.is_empty() {
            let texts: Vec<&str> = answer.markings.iter().map(|m| m.text.as_str()).collect();
            let confidence = (0..answer.markings.len())
                .map(|index| reading.confidence(index).get())
                .fold(1.0, f64::min);
            put("marking", texts.join("; "), confidence);
        }
        Self {
            identities: identities(plate, &lines),
            fields,
            outcome: answer.verdict.as_ref().map(|v| v.outcome),
            review: answer.review.needed,
            urgency: urgency(answer),
            look,
        }
    }

    /// The value of a field.
    pub fn value(&self, field: &str) -> Option<&str> {
        self.fields.get(field).map(|(value, _)| value.as_str())
    }

    /// The probability that every character of a field is right; 0 where there is none.
    pub fn confidence(&self, field: &str) -> f64 {
        self.fields.get(field).map_or(0.0, |(_, c)| *c)
    }
}

fn identities(plate: &Plate, lines: &[Line]) -> Vec<Identity> {
    let Some(serial) = &plate.serial else {
        return Vec::new();
    };
    let name = squeezed(&serial.value);
    if name.chars().count() < SHORTEST_SERIAL || sure(lines, &[serial.span]) < SURE {
        return Vec::new();
    }
    plate
        .certificates
        .iter()
        .filter(|c| sure(lines, &c.spans) >= SURE)
        .map(|c| Identity {
            serial: name.clone(),
            certificate: squeezed(&c.number.value),
        })
        .collect()
}

/// Capitals without blanks, so that spacing makes no difference.
pub(super) fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<String>().to_uppercase()
}

/// The probability that every character of a span is right, blanks apart.
fn sure(lines: &[Line], spans: &[Span]) -> f64 {
    let mut product = 1.0;
    for span in spans {
        let Some(line) = lines.get(span.line) else {
            return 0.0;
        };
        let mut at = 0;
        for glyph in line.glyphs() {
            // How wide a gap must be to be a blank is a matter of taste.
            if at >= span.start && at < span.end && !glyph.ch.is_whitespace() {
                product *= f64::from(glyph.probability);
            }
            at += glyph.ch.len_utf8();
        }
    }
    product
}

/// A reading that is to be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct NewReading {
    /// What it rests on, packed: see [`Evidence::pack`].
    pub evidence: Vec<u8>,
    /// The whole answer, schema 1.
    pub answer: Value,
    /// What it is found by.
    pub facts: ReadingFacts,
    /// Pixels of the upright photo.
    pub size: (u32, u32),
    /// When it was taken, as the camera wrote it.
    pub taken_at: Option<String>,
    /// Degrees north and east.
    pub gps: Option<[f64; 2]>,
    /// Version of program, tables and rules.
    pub program: String,
    /// Models: name, version, hash, as in the answer.
    pub models: Value,
}

impl NewReading {
    /// The readings of a photo, one for each plate on it, judged for `place`. `answer` is that of the
    /// whole photo for the same place.
    ///
    /// # Errors
    ///
    /// As [`Self::new`].
    pub fn all(
        evidence: Evidence,
        answer: &Answer,
        place: Option<&GivenPlace>,
        look: Option<u64>,
    ) -> Result<Vec<Self>, String> {
        if answer.plates.is_empty() {
            return Ok(vec![Self::new(&evidence, answer, look)?]);
        }
        let one = |evidence: Evidence| Self::new(&evidence, &evidence.answer(place), look);
        evidence.apart().into_iter().map(one).collect()
    }

    /// Everything that is kept of an answer to a photo.
    ///
    /// # Errors
    ///
    /// A sentence where the answer cannot be written as JSON.
    pub fn new(evidence: &Evidence, answer: &Answer, look: Option<u64>) -> Result<Self, String> {
        Ok(Self {
            evidence: evidence.pack()?,
            answer: serde_json::to_value(answer).map_err(|e| e.to_string())?,
            facts: ReadingFacts::new(evidence, answer, look),
            size: (evidence.photo.width, evidence.photo.height),
            taken_at: evidence.photo.taken_at.clone(),
            gps: evidence.photo.gps,
            program: answer.versions.vetplate.to_owned(),
            models: serde_json::to_value(&evidence.models).map_err(|e| e.to_string())?,
        })
    }
}

/// A reading as the register holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingRecord {
    /// Its row.
    pub id: ReadingId,
    /// The photo.
    pub photo: PhotoId,
    /// Which plate of the photo, counted from 0 as they came.
    pub part: u32,
    /// When it was made.
    pub at: Timestamp,
    /// Version of program, tables and rules.
    pub program: String,
    /// Models: name, version, hash.
    pub models: Value,
    /// The whole answer, schema 1.
    pub answer: Value,
    /// What it rests on, packed: see [`Evidence::unpack`].
    pub evidence: Vec<u8>,
    /// What it is found by.
    pub facts: ReadingFacts,
    /// True for the reading of its plate on its photo that counts.
    pub counts: bool,
}
