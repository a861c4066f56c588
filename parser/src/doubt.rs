//! From characters with doubt to the readings that the doubt allows.
//!
//! The best text is parsed first. Then each doubtful character is exchanged for its runner-ups and
//! the text parsed again: what changes nothing that matters is folded into the best reading, what
//! does becomes a reading of its own with its weight. Shapes that allow two values (`llC` may be
//! IIC or IIIC) split a reading in the same way. No reading is chosen because it is handier.

mod covered;
mod exchanges;
mod hidden;
mod numbers;
mod readings;
mod remains;
mod review;
mod rivals;
mod signature;

pub use covered::Covered;
pub use numbers::{NumberDoubt, NumberKind};
pub use review::field_name;

use crate::checks::{self, Suspicion};
use crate::{Confidence, Line, Message, Plate, Span};

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
    /// The field, or a further part of it, may stand in a place that nobody can see: where nothing
    /// of it was read, it is illegible, not absent.
    pub illegible: bool,
}

/// Why a person should look.
#[derive(Debug, Clone, PartialEq)]
pub struct ReviewReason {
    /// A sentence that names the field and what to look at.
    pub text: Message,
    /// Where to look.
    pub span: Option<Span>,
    /// True where a critical field is illegible, so that nothing better than undecided can rest
    /// on it. Doubt between known readings is not critical by itself: each reading is judged.
    pub critical: bool,
}

/// What the lines say, with every plausible way to read them.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Best first; never empty; the weights add up to 1.
    pub readings: Vec<Weighted>,
    /// Confidence by marking and field of the best reading.
    pub fields: Vec<FieldDoubt>,
    /// Numbers of the best reading that may be others.
    pub numbers: Vec<NumberDoubt>,
    /// Empty where nobody needs to look.
    pub review: Vec<ReviewReason>,
    /// Places where something may stand that nobody can see and that a verdict may rest on.
    pub covered: Vec<Covered>,
}

impl Reading {
    /// The most probable reading.
    #[expect(clippy::missing_panics_doc, reason = "a reading is never empty")]
    #[expect(clippy::expect_used, reason = "a reading is never empty")]
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
///
/// # Example
///
/// ```
/// use vetplate_parser::{Line, read};
///
/// let reading = read(&[Line::certain("Ex db llC T4 Gb")]);
/// let group = reading.best().plate.markings[0].group.as_ref().unwrap();
/// assert_eq!((group.value.to_string(), group.raw.as_str()), ("IIC".to_owned(), "llC"));
/// ```
pub fn read(lines: &[Line]) -> Reading {
    let found = readings::plausible(lines);
    let mut fields = review::fields(lines, &found);
    let mut review = review::reasons(lines, &found, &fields);
    let readings = readings::notations(found.readings);
    let covered = readings
        .first()
        .map(|best| covered::places(lines, best))
        .unwrap_or_default();
    for place in &covered {
        place.lower(&mut fields);
    }
    review.splice(0..0, covered.iter().map(Covered::reason));
    let numbers = readings
        .first()
        .map(|best| numbers::numbers(lines, &best.plate))
        .unwrap_or_default();
    review.extend(numbers::reasons(&numbers));
    Reading {
        readings,
        fields,
        numbers,
        review,
        covered,
    }
}

/// What the checks of a plate cost beside its text, in the units of the grammar.
fn checking_work(reading: &Weighted) -> usize {
    const FINDING: usize = 8;
    FINDING * reading.suspicions.len()
}

/// A plate with its findings, not yet weighed.
fn weigh(plate: Plate, weight: f64, changes: Vec<(Span, String)>) -> Weighted {
    let suspicions = checks::run(&plate);
    Weighted {
        plate,
        suspicions,
        weight,
        changes,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Glyph;

    fn doubtful(text: &str, at: usize, probability: f32, also: &[(Option<char>, f32)]) -> Line {
        let mut glyphs = Line::certain(text).glyphs().to_vec();
        glyphs[at] = Glyph {
            ch: glyphs[at].ch,
            probability,
            also: also.to_vec(),
        };
        Line::new(glyphs)
    }

    #[test]
    fn what_cannot_be_read_in_a_marking_is_covered() {
        for text in ["Ex tb IIIC T80°C \u{fffd}", "Ex d IIC T4\u{fffd}"] {
            let reading = read(&[Line::certain(text)]);
            assert_eq!(reading.covered.len(), 1, "{text}");
            assert!(!reading.review.is_empty(), "{text}");
        }
        // Elsewhere on the plate it decides nothing.
        let lines = [
            Line::certain("Ex db IIC T4 Gb"),
            Line::certain("Serial \u{fffd}"),
        ];
        assert!(read(&lines).review.is_empty());
    }

    #[test]
    fn a_capital_o_among_small_letters_may_be_another_type() {
        let asked = |text: &str| {
            let reading = read(&[Line::certain(text)]);
            let about_types = |r: &&ReviewReason| r.text.contains("type of protection");
            reading.review.iter().filter(about_types).count()
        };
        assert_eq!(asked("EEx O IIB T4"), 1);
        assert_eq!(asked("EEx o IIB T4"), 0);
        // Where all is in capitals this one is none but theirs.
        assert_eq!(asked("EEX O IIB T4"), 0);
    }

    #[test]
    fn certain_text_is_one_reading() {
        let reading = read(&[Line::certain("Ex db IIC T4 Gb")]);
        assert_eq!(reading.readings.len(), 1);
        assert_eq!(reading.confidence(0), Confidence::CERTAIN);
        assert!(reading.review.is_empty(), "{:?}", reading.review);
    }

    #[test]
    fn a_doubtful_group_letter_keeps_both() {
        let line = doubtful("Ex db IIC T4 Gb", 8, 0.7, &[(Some('B'), 0.25)]);
        let reading = read(&[line]);
        let groups: Vec<_> = reading
            .readings
            .iter()
            .map(|r| {
                r.plate.markings[0]
                    .group
                    .as_ref()
                    .map(|g| g.value.to_string())
            })
            .collect();
        assert_eq!(groups, [Some("IIC".to_owned()), Some("IIB".to_owned())]);
        let total: f64 = reading.readings.iter().map(|r| r.weight).sum();
        assert!((total - 1.0).abs() < 1e-9);
        assert!((reading.confidence(0).get() - 0.7).abs() < 0.02);
        assert!(!reading.review.is_empty());
    }

    #[test]
    fn a_rival_shape_is_a_reading() {
        // Two strokes and C with no clean fact of gas or dust.
        let reading = read(&[Line::certain("Ex h llC")]);
        let groups: Vec<_> = reading
            .readings
            .iter()
            .filter_map(|r| r.plate.markings[0].group.as_ref())
            .map(|g| g.value.to_string())
            .collect();
        assert!(groups.contains(&"IIC".to_owned()) && groups.contains(&"IIIC".to_owned()));
        assert!(!reading.review.is_empty());
    }

    #[test]
    fn an_overlooked_character_is_a_reading() {
        let missed = crate::Missed {
            before: 15,
            ch: 'X',
            probability: 0.3,
        };
        let line = Line::certain("Ex h IIC T4 Gb ").with_missed(vec![missed]);
        let reading = read(&[line]);
        assert_eq!(reading.readings.len(), 2);
        assert!(reading.readings[1].plate.has_x());
    }

    #[test]
    fn what_is_no_notation_lowers_confidence_but_is_no_reading() {
        let line = doubtful("Ex db IIC T4 Gb", 8, 0.95, &[(Some('G'), 0.04)]);
        let reading = read(&[line]);
        assert_eq!(reading.readings.len(), 1);
        assert!(reading.confidence(0).get() < 0.96);
        // Where the other shape is likely, it stays, and nobody can say what is printed.
        let line = doubtful("Ex db IIC T4 Gb", 8, 0.7, &[(Some('G'), 0.25)]);
        let reading = read(&[line]);
        assert_eq!(reading.readings.len(), 2);
        assert!(!reading.review.is_empty());
    }

    #[test]
    fn doubt_that_changes_nothing_is_folded() {
        let line = doubtful("Ex db IIC T4 Gb", 5, 0.6, &[(Some('-'), 0.3)]);
        let reading = read(&[line]);
        assert!(reading.readings[0].weight > 0.95, "{reading:?}");
    }
}
