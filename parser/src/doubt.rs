//! From characters with doubt to the readings that the doubt allows.

use crate::checks::{self, Suspicion};
use crate::{Confidence, Line, Plate, Span};

/// One plausible reading of the whole plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighted {
    /// The plate in this reading.
    pub plate: Plate,
    /// What contradicts itself in this reading.
    pub suspicions: Vec<Suspicion>,
    /// Share of this reading, 0 to 1; all readings together make 1.
    pub weight: f64,
    /// Where it differs from the best reading: place, characters there in this reading.
    pub changes: Vec<(Span, String)>,
}

/// Confidence of one critical field of one marking.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldDoubt {
    /// Index of the marking in the best reading.
    pub marking: usize,
    /// `protections`, `group`, `temperature`, `epl` or `atex`.
    pub field: &'static str,
    /// Probability that the field's value is the one printed.
    pub confidence: Confidence,
    /// Next-best values with their probabilities.
    pub also: Vec<(String, f64)>,
    /// Where the field stands.
    pub spans: Vec<Span>,
}

/// Why a person should look.
#[derive(Debug, Clone, PartialEq)]
pub struct ReviewReason {
    /// A sentence that names the field and what to look at.
    pub text: String,
    /// Where to look.
    pub span: Option<Span>,
    /// True where a critical field is illegible or below its threshold, so that nothing
    /// better than undecided can rest on it unless every reading agrees.
    pub critical: bool,
}

/// What the lines say, with every plausible way to read them.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Best first; never empty; the weights add up to 1.
    pub readings: Vec<Weighted>,
    /// Confidence by marking and field of the best reading.
    pub fields: Vec<FieldDoubt>,
    /// Empty where nobody needs to look.
    pub review: Vec<ReviewReason>,
}

impl Reading {
    /// The most probable reading.
    #[expect(clippy::missing_panics_doc, reason = "a reading is never empty")]
    pub fn best(&self) -> &Weighted {
        self.readings.first().expect("a reading is never empty")
    }

    /// Confidence of one marking: that of its weakest critical field.
    pub fn confidence(&self, marking: usize) -> Confidence {
        self.fields
            .iter()
            .filter(|f| f.marking == marking)
            .fold(Confidence::CERTAIN, |least, f| least.min(f.confidence))
    }
}

/// Reads a plate from its lines.
pub fn read(lines: &[Line]) -> Reading {
    let texts: Vec<String> = lines.iter().map(Line::text).collect();
    let plate = crate::parse(&texts);
    let suspicions = checks::run(&plate);
    Reading {
        readings: vec![Weighted {
            plate,
            suspicions,
            weight: 1.0,
            changes: Vec::new(),
        }],
        fields: Vec::new(),
        review: Vec::new(),
    }
}
