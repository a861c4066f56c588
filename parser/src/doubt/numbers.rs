//! Doubt about the characters of numbers: certificates, serial and body numbers.
//!
//! A number changes no finding and no rule of the marking, so its runner-ups make no readings of
//! their own. But another number is another certificate: who compares it must know.

use super::ReviewReason;
use crate::{Glyph, Line, Plate, Span, message};

/// Other numbers together above this share send a plate to a person: another certificate has other
/// conditions.
const REVIEW_ABOVE: f64 = 0.1;
/// The same for a serial number, of which no verdict takes anything.
const SERIAL_ABOVE: f64 = 0.3;
/// Other numbers of less than this share are not named.
const LEAST: f64 = 0.005;
/// Other numbers that are named, likeliest first.
const MOST: usize = 4;

/// Numbers that are looked at: more than a plate has. It bounds the time.
const NUMBERS: usize = 12;

/// Which number of the plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NumberKind {
    /// The certificate of this index.
    Certificate(usize),
    /// The serial number.
    Serial,
    /// The number of the body beside the conformity mark of this index.
    Body(usize),
}

impl NumberKind {
    /// Is this the letter that a figure is drawn like, in a number whose figures are never letters?
    /// Then it is a matter of shape, and no other number: no certificate ends in `508I`. The same the
    /// other way round where the letter stands beside a figure.
    fn is_shape_only(self, read: char, other: Option<char>, beside_figure: bool) -> bool {
        let alike = |figure, letter| match figure {
            '0' => matches!(letter, 'O' | 'o' | 'Q' | 'D'),
            '1' => is_bar(letter),
            _ => false,
        };
        let twins =
            |a, b| alike(a, b) || (beside_figure && (alike(b, a) || (is_bar(a) && is_bar(b))));
        self != Self::Serial && other.is_some_and(|other| twins(read, other))
    }

    fn review_above(self) -> f64 {
        match self {
            Self::Serial => SERIAL_ABOVE,
            Self::Certificate(_) | Self::Body(_) => REVIEW_ABOVE,
        }
    }
}

/// Letters drawn as a bar, as a one is.
fn is_bar(c: char) -> bool {
    matches!(c, 'I' | 'i' | 'l' | 'L')
}

/// A number of the plate that may be another.
#[derive(Debug, Clone, PartialEq)]
pub struct NumberDoubt {
    /// Which.
    pub kind: NumberKind,
    /// As read, to the letter.
    pub read: String,
    /// Where it stands; the more doubtful line where it goes over two.
    pub span: Span,
    /// What it may be instead with one character exchanged, likeliest first, each with its share.
    pub also: Vec<(String, f64)>,
    /// Share of all other numbers together, those that are not named and those that no known
    /// character explains included.
    pub others: f64,
}

/// The numbers of the best reading that may be others.
pub(super) fn numbers(lines: &[Line], plate: &Plate) -> Vec<NumberDoubt> {
    let certificates = plate
        .certificates
        .iter()
        .enumerate()
        .map(|(i, c)| (NumberKind::Certificate(i), c.spans.clone()));
    let serial = plate.serial.iter();
    let serial = serial.map(|s| (NumberKind::Serial, vec![s.span]));
    let bodies = plate
        .marks
        .iter()
        .enumerate()
        .filter_map(|(i, m)| Some((NumberKind::Body(i), vec![m.body.as_ref()?.span])));
    certificates
        .chain(serial)
        .chain(bodies)
        .take(NUMBERS)
        .filter_map(|(kind, spans)| of(lines, kind, &spans))
        .collect()
}

/// The doubt about a number; where it goes on in the next line it has a span in each.
fn of(lines: &[Line], kind: NumberKind, spans: &[Span]) -> Option<NumberDoubt> {
    let parts: Vec<Part> = spans
        .iter()
        .map(|span| Part::new(lines.get(span.line)?, kind, *span))
        .collect::<Option<_>>()?;
    let others = 1.0 - parts.iter().map(|part| part.same).product::<f64>();
    if others < LEAST {
        return None;
    }
    let with = |number: usize, text: &str| {
        let texts = parts.iter().enumerate();
        let texts: Vec<&str> = texts
            .map(|(i, part)| if i == number { text } else { &part.read })
            .collect();
        texts.join(" ")
    };
    let mut also: Vec<(String, f64)> = parts
        .iter()
        .enumerate()
        .flat_map(|(i, part)| part.also.iter().map(move |(text, share)| (i, text, *share)))
        .map(|(i, text, share)| (with(i, text), share))
        .collect();
    also.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    also.truncate(MOST);
    let doubtful = parts.iter().min_by(|a, b| a.same.total_cmp(&b.same))?;
    Some(NumberDoubt {
        kind,
        read: with(parts.len(), ""),
        span: doubtful.span,
        also,
        others,
    })
}

/// A number, or what of it stands in one line.
struct Part {
    read: String,
    span: Span,
    /// What stands there instead with one character exchanged, each with its share.
    also: Vec<(String, f64)>,
    /// The share of what was read.
    same: f64,
}

impl Part {
    fn new(line: &Line, kind: NumberKind, span: Span) -> Option<Self> {
        let read = line.text().get(span.start..span.end)?.to_owned();
        let mut also: Vec<(String, f64)> = Vec::new();
        let mut same = 1.0;
        let mut at = 0;
        let is_figure = |glyph: Option<&Glyph>| glyph.is_some_and(|g| g.ch.is_ascii_digit());
        for (index, glyph) in line.glyphs().iter().enumerate() {
            let end = at + glyph.ch.len_utf8();
            if at >= span.end {
                break;
            }
            if at >= span.start && end <= span.end && glyph.ch.is_alphanumeric() {
                let mut kept = f64::from(glyph.probability);
                let before = index.checked_sub(1).and_then(|i| line.glyphs().get(i));
                let beside = is_figure(before) || is_figure(line.glyphs().get(index + 1));
                for (to, share) in &glyph.also {
                    let share = f64::from(*share);
                    if kind.is_shape_only(glyph.ch, *to, beside) {
                        kept += share;
                        continue;
                    }
                    // Another case is no other number, and a lost character is a shape.
                    if let Some(to) = to
                        && to.is_alphanumeric()
                        && !to.to_uppercase().eq(glyph.ch.to_uppercase())
                        && share >= LEAST
                    {
                        let (before, after) = (at - span.start, end - span.start);
                        let other = format!("{}{to}{}", &read[..before], &read[after..]);
                        also.push((other, share));
                    }
                }
                same *= kept.min(1.0);
            }
            at = end;
        }
        Some(Self {
            read,
            span,
            also,
            same,
        })
    }
}

/// Why a person should look at a number.
pub(super) fn reasons(doubts: &[NumberDoubt]) -> impl Iterator<Item = ReviewReason> {
    doubts
        .iter()
        .filter(|doubt| doubt.others > doubt.kind.review_above() && !doubt.also.is_empty())
        .map(|doubt| {
            let others: Vec<&str> = doubt.also.iter().map(|(text, _)| text.as_str()).collect();
            let (read, others) = (&doubt.read, others.join(", "));
            let line = doubt.span.line + 1;
            ReviewReason {
                text: match doubt.kind {
                    NumberKind::Certificate(_) => message!(
                        "review-certificate-number",
                        number = read,
                        line = line,
                        others = others
                    ),
                    NumberKind::Serial => message!(
                        "review-serial-number",
                        number = read,
                        line = line,
                        others = others
                    ),
                    NumberKind::Body(_) => message!(
                        "review-body-number",
                        number = read,
                        line = line,
                        others = others
                    ),
                },
                span: Some(doubt.span),
                critical: false,
            }
        })
}

#[cfg(test)]
mod tests {
    use crate::{Glyph, Line, NumberKind, read};

    fn doubtful(text: &str, at: usize, probability: f32, to: char) -> Line {
        let mut glyphs = Line::certain(text).glyphs().to_vec();
        glyphs[at] = Glyph {
            ch: glyphs[at].ch,
            probability,
            also: vec![(Some(to), 1.0 - probability)],
        };
        Line::new(glyphs)
    }

    #[test]
    fn doubt_in_either_line_of_a_broken_number_counts() {
        let whole = [
            doubtful("ABC 14 ATEX", 1, 0.9, '8'),
            doubtful("1284X", 2, 0.8, '3'),
            Line::certain("Ex db IIC T4 Gb"),
        ];
        let reading = read(&whole);
        let doubt = &reading.numbers[0];
        assert_eq!(doubt.read, "ABC 14 ATEX 1284X");
        let also: Vec<&str> = doubt.also.iter().map(|(text, _)| text.as_str()).collect();
        assert_eq!(also, ["ABC 14 ATEX 1234X", "A8C 14 ATEX 1284X"]);
        assert!((doubt.others - 0.28).abs() < 1e-6, "{}", doubt.others);
        assert_eq!(doubt.span.line, 1);
        assert!(reading.best().plate.has_x());
    }

    #[test]
    fn a_doubtful_digit_of_a_certificate_is_named() {
        let lines = [
            Line::certain("Ex db IIC T4 Gb"),
            doubtful("ABC 14 ATEX 1284", 14, 0.8, '3'),
        ];
        let reading = read(&lines);
        let doubt = &reading.numbers[0];
        assert_eq!(doubt.kind, NumberKind::Certificate(0));
        assert_eq!(doubt.also[0].0, "ABC 14 ATEX 1234");
        assert!((doubt.others - 0.2).abs() < 1e-6);
        assert!(reading.review.iter().any(|r| r.text.contains("1234")));
    }

    #[test]
    fn the_letter_that_a_figure_is_drawn_like_is_no_other_certificate() {
        let lines = [
            Line::certain("Ex db IIC T4 Gb"),
            doubtful("ABC 14 ATEX 1284", 12, 0.8, 'I'),
        ];
        assert!(read(&lines).numbers.is_empty());
        let marking = Line::certain("Ex db IIC T4 Gb");
        for (text, at) in [("ABC I4 ATEX 1284", 4), ("IECEx ABC 08.000IX", 16)] {
            let lines = [marking.clone(), doubtful(text, at, 0.6, '1')];
            assert!(read(&lines).numbers.is_empty(), "{text}");
        }
        // Among letters it is a letter, and another one is another body.
        let lines = [marking, doubtful("AIC 14 ATEX 1284", 1, 0.8, '1')];
        assert!(!read(&lines).numbers.is_empty());
        let serial = [
            Line::certain("Ex db IIC T4 Gb"),
            doubtful("S/N: 7201/22", 7, 0.8, 'O'),
        ];
        let reading = read(&serial);
        assert_eq!(reading.numbers[0].kind, NumberKind::Serial);
        assert!(!reading.review.iter().any(|r| r.text.contains("serial")));
    }

    #[test]
    fn case_and_certain_numbers_are_no_doubt() {
        let lines = [
            Line::certain("Ex db IIC T4 Gb"),
            doubtful("ABC 14 ATEX 1284 X", 17, 0.8, 'x'),
        ];
        assert!(read(&lines).numbers.iter().all(|n| n.also.is_empty()));
        let certain = [Line::certain("Ex db IIC T4 Gb ABC 14 ATEX 1284")];
        assert!(read(&certain).numbers.is_empty());
    }
}
