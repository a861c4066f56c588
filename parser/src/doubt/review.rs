//! How sure each critical field is, and why a person should look.

use super::hidden::Unread;
use super::readings::{Plausible, field_weights};
use super::remains;
use super::signature::{FIELDS, field};
use super::{FieldDoubt, ReviewReason};
use crate::checks::Severity;
use crate::marking::Marking;
use crate::{Confidence, Joint, Line, Message, Read, Repair, Span, message};

/// A critical field below this confidence is sent to a person. At 0.9 one doubtful stroke in a
/// field is enough; the cost is a look at the plate, the cost of the other error is not known.
const REVIEW_BELOW: f64 = 0.9;
/// Part of the probability of a field that no known character explains, above which it counts as
/// illegible.
const ILLEGIBLE_ABOVE: f64 = 0.1;
/// A reading of at least this share competes with the best.
const COMPETES: f64 = 0.02;
/// Stands for a reading in which the field is no notation: doubt, but no value that competes.
const NOT_READ: &str = "not read";
/// A repair of shape is right nearly always, not always.
const PER_REPAIR: f64 = 0.97;
/// Only the case was repaired: no other letter is meant.
const PER_CAPITALS: f64 = 0.995;
/// A capital O among small letters was taken for the type o, which is rare: d, q and a zero are drawn
/// much like it.
const PER_CIRCLE: f64 = 0.8;
/// Name of the repair that changes the case alone.
const CAPITALS: &str = "capitals";

/// The confidence of each critical field of the best reading.
pub(super) fn fields(lines: &[Line], found: &Plausible) -> Vec<FieldDoubt> {
    let readings = &found.readings;
    let Some(best) = readings.first() else {
        return Vec::new();
    };
    let weights = field_weights(lines, readings);
    let total: f64 = weights.iter().sum();
    let known = Explained::new(lines);
    let unexplored = Unexplored::new(lines, &found.unexplored);
    let mut doubts = Vec::new();
    for (index, marking) in best.plate.markings.iter().enumerate() {
        let confirmed = confirmed_by_level(marking, &known);
        for name in FIELDS {
            let value = field(marking, name);
            let spans = spans(marking, name);
            if value.is_empty() && spans.is_empty() {
                continue;
            }
            let mut same = 0.0;
            let mut also: Vec<(String, f64)> = Vec::new();
            for (reading, weight) in readings.iter().zip(&weights) {
                let weight = weight / total;
                let other = reading
                    .plate
                    .markings
                    .get(index)
                    .map(|m| field(m, name))
                    .unwrap_or_default();
                let broken = other.is_empty() && name == "atex" && confirmed;
                if other == value || broken {
                    same += weight;
                } else {
                    let other = if other.is_empty() {
                        NOT_READ.to_owned()
                    } else {
                        other
                    };
                    match also.iter_mut().find(|(v, _)| *v == other) {
                        Some((_, sum)) => *sum += weight,
                        None if weight > 0.0 => also.push((other, weight)),
                        None => {}
                    }
                }
            }
            also.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            also.truncate(4);
            let explained = known.of(&spans) * unexplored.left(&spans);
            let kept = after_repairs(marking, name);
            doubts.push(FieldDoubt {
                marking: index,
                field: name,
                confidence: Confidence::new(same * explained * kept),
                also,
                spans,
                illegible: false,
            });
        }
    }
    doubts
}

/// Shares of the characters that were not tried, by line and byte: a text full of doubt has more of
/// them than can be gone through for every field.
struct Unexplored {
    /// Those that take the place of the character that begins at a byte.
    instead: Vec<Vec<f64>>,
    /// Those that are put in before it.
    before: Vec<Vec<f64>>,
}

impl Unexplored {
    fn new(lines: &[Line], unexplored: &[(Span, f64)]) -> Self {
        let mut found = Self {
            instead: vec![Vec::new(); lines.len()],
            before: vec![Vec::new(); lines.len()],
        };
        let length = |line: &Line| line.glyphs().iter().map(|g| g.ch.len_utf8()).sum::<usize>();
        for (span, ratio) in unexplored {
            let shares = if span.start == span.end {
                &mut found.before[span.line]
            } else {
                &mut found.instead[span.line]
            };
            if shares.is_empty() {
                shares.resize(length(&lines[span.line]) + 1, 0.0);
            }
            shares[span.start] += ratio;
        }
        found
    }

    /// What is left of a field's confidence where other characters may stand that were not tried.
    fn left(&self, spans: &[Span]) -> f64 {
        let mut others = 0.0;
        for span in spans {
            let within = |shares: &[Vec<f64>], end: usize| -> f64 {
                let line = shares
                    .get(span.line)
                    .and_then(|line| line.get(span.start..));
                let shares = line.into_iter().flatten();
                shares.take(end - span.start).sum()
            };
            others += within(&self.instead, span.end) + within(&self.before, span.end + 1);
        }
        1.0 / (1.0 + others)
    }
}

/// The part of the probability of each doubtful character that known characters explain, by line
/// and byte, in order.
struct Explained(Vec<Vec<(usize, f64)>>);

impl Explained {
    fn new(lines: &[Line]) -> Self {
        let one = |line: &Line| {
            let mut at = 0;
            let mut found = Vec::new();
            for glyph in line.glyphs() {
                let sum: f64 = f64::from(glyph.probability)
                    + glyph.also.iter().map(|(_, p)| f64::from(*p)).sum::<f64>();
                if sum < 1.0 {
                    found.push((at, sum));
                }
                at += glyph.ch.len_utf8();
            }
            found
        };
        Self(lines.iter().map(one).collect())
    }

    /// The same for all characters in the spans together.
    fn of(&self, spans: &[Span]) -> f64 {
        let mut product = 1.0;
        for span in spans {
            let Some(line) = self.0.get(span.line) else {
                continue;
            };
            let from = line.partition_point(|(at, _)| *at < span.start);
            for (_, sum) in line[from..].iter().take_while(|(at, _)| *at < span.end) {
                product *= sum;
            }
        }
        product
    }
}

fn reads<T>(read: Option<&Read<T>>) -> Option<(Span, Vec<&Repair>)> {
    read.map(|r| (r.span, r.repairs.iter().collect()))
}

/// Place and repairs of everything that a field is made of.
fn parts<'a>(marking: &'a Marking, name: &str) -> Vec<(Span, Vec<&'a Repair>)> {
    match name {
        "protections" => marking
            .protections
            .iter()
            .filter_map(|p| reads(Some(&p.kind)))
            .collect(),
        "group" => reads(marking.group.as_ref())
            .into_iter()
            .chain(reads(marking.unknown_group.as_ref()))
            .chain(reads(marking.only_gas.as_ref()))
            .collect(),
        "temperature" => reads(marking.temperature.as_ref())
            .into_iter()
            .chain(reads(marking.dust_temperature.as_ref()))
            .chain(reads(marking.unknown_class.as_ref()))
            .collect(),
        "epl" => marking.epl.iter().filter_map(|e| reads(Some(e))).collect(),
        _ => marking
            .atex
            .iter()
            .map(|line| {
                let tokens = line.categories.iter().flat_map(|c| &c.repairs);
                (
                    line.raw.span,
                    line.raw.repairs.iter().chain(tokens).collect(),
                )
            })
            .collect(),
    }
}

fn spans(marking: &Marking, name: &str) -> Vec<Span> {
    parts(marking, name).into_iter().map(|(s, _)| s).collect()
}

fn repairs<'a>(marking: &'a Marking, name: &str) -> impl Iterator<Item = &'a Repair> {
    parts(marking, name)
        .into_iter()
        .flat_map(|(_, repairs)| repairs)
}

/// What is left of a field's confidence after its repairs.
fn after_repairs(marking: &Marking, name: &str) -> f64 {
    let read_as = marking.read_as.as_deref().unwrap_or_default();
    // Where all is printed in capitals a capital is no sign of another letter.
    let in_capitals = !read_as.contains('x');
    repairs(marking, name)
        .map(|repair| match (repair.name, repair.from.as_str()) {
            (CAPITALS, "O") if !in_capitals => PER_CIRCLE,
            (CAPITALS, _) => PER_CAPITALS,
            _ => PER_REPAIR,
        })
        .product()
}

/// A critical field in plain words, with its article where the language has one.
pub fn field_name(name: &str) -> Message {
    match name {
        "protections" => message!("field-protections"),
        "group" => message!("field-group"),
        "temperature" => message!("field-temperature"),
        "epl" => message!("field-epl"),
        _ => message!("field-category"),
    }
}

/// True where the printed EPL, itself read clean, names the level of the category: a second fact of
/// the plate that confirms it.
fn confirmed_by_level(marking: &Marking, known: &Explained) -> bool {
    let (Some(line), [epl]) = (&marking.atex, marking.epl.as_slice()) else {
        return false;
    };
    let levels: Vec<_> = line.own_categories().iter().map(|c| c.level()).collect();
    epl.repairs.is_empty()
        && epl.rivals.is_empty()
        && levels == [epl.value.level]
        && known.of(&[epl.span]) >= REVIEW_BELOW
}

/// Pieces of unread text that are looked at for what may hide in them: more than a plate has.
const UNREAD_PIECES: usize = 64;

/// Why a person should look, most serious first.
pub(super) fn reasons(
    lines: &[Line],
    plausible: &Plausible,
    fields: &[FieldDoubt],
) -> Vec<ReviewReason> {
    let Some(best) = plausible.readings.first() else {
        return Vec::new();
    };
    let known = Explained::new(lines);
    let mut found = Vec::new();
    if best.plate.markings.is_empty() {
        found.push(ReviewReason {
            text: message!("review-no-marking"),
            span: None,
            critical: true,
        });
    }
    if plausible.exhausted {
        found.push(ReviewReason {
            text: message!("review-exhausted"),
            span: None,
            critical: true,
        });
    }
    for doubt in fields {
        let span = doubt.spans.first().copied();
        let mut named = field_name(doubt.field);
        if let Some(span) = span {
            named = message!("review-field-on-line", field = named, line = span.line + 1);
        }
        let unexplained = 1.0 - known.of(&doubt.spans);
        if unexplained > ILLEGIBLE_ABOVE {
            found.push(ReviewReason {
                text: message!("review-hard-to-read", field = named),
                span,
                critical: true,
            });
        } else if doubt.confidence.get() < REVIEW_BELOW
            || doubt
                .also
                .iter()
                .any(|(v, p)| *p >= COMPETES && v != NOT_READ)
        {
            let value = best
                .plate
                .markings
                .get(doubt.marking)
                .map(|m| field(m, doubt.field))
                .unwrap_or_default();
            let others: Vec<Message> = doubt
                .also
                .iter()
                .filter(|(_, p)| *p >= COMPETES / 2.0)
                .map(|(v, _)| {
                    if v == NOT_READ {
                        message!("review-not-read")
                    } else {
                        Message::verbatim(v)
                    }
                })
                .collect();
            found.push(ReviewReason {
                text: if others.is_empty() {
                    message!("review-not-surely", field = named, value = value)
                } else {
                    message!(
                        "review-rivals",
                        field = named,
                        value = value,
                        others = Message::list(others, Joint::Or)
                    )
                },
                span,
                critical: false,
            });
        }
    }
    for (index, marking) in best.plate.markings.iter().enumerate() {
        let total = FIELDS
            .iter()
            .flat_map(|name| repairs(marking, name))
            .filter(|repair| repair.name != CAPITALS)
            .count();
        if total > 3 {
            found.push(ReviewReason {
                text: message!("review-repairs", marking = index + 1, repairs = total),
                span: marking.spans.first().copied(),
                critical: true,
            });
        }
    }
    if let Some(ambient) = &best.plate.ambient
        && known.of(&[ambient.span]) < 1.0 - ILLEGIBLE_ABOVE
    {
        found.push(ReviewReason {
            text: message!("review-ambient", line = ambient.span.line + 1),
            span: Some(ambient.span),
            critical: true,
        });
    }
    found.extend(remains::reasons(lines, best));
    // The pieces come line by line.
    let mut starts = (None, Vec::new());
    for span in best.plate.unread.iter().take(UNREAD_PIECES) {
        if starts.0 != Some(span.line) {
            let own = lines.get(span.line).map(Line::starts);
            starts = (Some(span.line), own.unwrap_or_default());
        }
        let piece = Unread::new(lines, &starts.1, *span);
        if let Some(text) = piece.and_then(|piece| piece.may_matter(&best.plate)) {
            found.push(ReviewReason {
                text: message!("review-not-placed", text = text, line = span.line + 1),
                span: Some(*span),
                critical: false,
            });
        }
    }
    for suspicion in &best.suspicions {
        if suspicion.severity == Severity::Critical {
            found.push(ReviewReason {
                text: suspicion.said(),
                span: suspicion.spans.first().copied(),
                critical: false,
            });
        }
    }
    found
}
