//! Which texts the doubt allows, and what each of them says.

use super::signature::signature;
use super::{Weighted, weigh};
use crate::checks::Severity;
use crate::marking::Marking;
use crate::{Line, Plate, Read, Span, grammar};
use std::collections::BTreeMap;

/// A runner-up is looked at if it is at least this likely against the best character. Below it,
/// even all the characters of a plate together stay under one plate in ten thousand only with the
/// share of critical characters that a plate has (about forty).
const LEAST_RATIO: f64 = 0.0005;
/// Characters that are exchanged one at a time, most doubtful first.
const SINGLES: usize = 64;
/// Characters that are exchanged together: two to the eighth texts at most.
const JOINT: usize = 8;
/// Readings that are kept.
const KEPT: usize = 24;
/// Combinations of less than this share of the best are not parsed.
const LEAST_WEIGHT: f64 = 0.0002;

/// One possible exchange.
#[derive(Debug, Clone)]
struct Exchange {
    line: usize,
    glyph: usize,
    to: Option<char>,
    /// The character is put before the glyph and takes no place of another.
    insert: bool,
    ratio: f64,
}

impl Exchange {
    fn place(&self) -> (usize, usize, bool) {
        (self.line, self.glyph, self.insert)
    }
}

/// Every plausible reading, best first, weights adding up to 1.
pub(super) fn plausible(lines: &[Line]) -> Vec<Weighted> {
    let best = parsed(lines, &[], 1.0);
    let base = signature(&best);
    let mut merged: BTreeMap<String, Weighted> = BTreeMap::new();
    let mut effective: Vec<Exchange> = Vec::new();
    let mut folded = 0.0;
    for exchange in exchanges(lines) {
        let reading = parsed(lines, std::slice::from_ref(&exchange), exchange.ratio);
        if signature(&reading) == base {
            folded += exchange.ratio;
        } else {
            effective.push(exchange);
        }
    }
    // A character that may be another one without consequence makes the best reading no weaker.
    let best = Weighted {
        weight: 1.0 + folded,
        ..best
    };
    merged.insert(base.clone(), best);
    effective.truncate(JOINT * 3);
    for set in combinations(&effective) {
        let weight: f64 = set.iter().map(|e| e.ratio).product();
        let reading = parsed(lines, &set, weight);
        add(&mut merged, reading);
    }
    let mut readings: Vec<Weighted> = merged.into_values().flat_map(split_rivals).collect();
    let mut by_signature: BTreeMap<String, Weighted> = BTreeMap::new();
    for reading in readings.drain(..) {
        add(&mut by_signature, reading);
    }
    let mut readings: Vec<Weighted> = by_signature.into_values().collect();
    // Texts that are no notation add up to much; one of them comes first only where it is
    // overwhelming. The reading of the best characters stays first among equals.
    let most = readings.iter().map(pieces).max().unwrap_or(0);
    let rank = |r: &Weighted| {
        if pieces(r) < most {
            r.weight * BROKEN_COUNTS
        } else {
            r.weight
        }
    };
    readings.sort_by(|a, b| {
        rank(b)
            .total_cmp(&rank(a))
            .then(a.changes.len().cmp(&b.changes.len()))
    });
    readings.truncate(KEPT);
    let total: f64 = readings.iter().map(|r| r.weight).sum();
    for reading in &mut readings {
        reading.weight /= total;
    }
    readings
}

/// A text that is no notation counts as a reading of its own from this share on.
///
/// Below it, it is doubt about a shape: it has lowered the confidence of its field already, but no
/// plate says `I 2 G` or `IIG`, so it is nothing that the verdict could be asked of. Texts that are
/// notation and contradict themselves are never set aside here: plates do contradict themselves.
const BROKEN_COUNTS: f64 = 0.05;

/// How much rarer plates are that contradict themselves than plates that do not: at least one in
/// twenty is reckoned with, which is far more than are met (common practice, no source).
///
/// It weighs a reading only against a best one that is free of the contradiction: a doubtful
/// stroke that would turn a sound marking into one that contradicts itself is most likely a
/// misread stroke. Where the best reading itself contradicts itself nothing is weighed.
const CONTRADICTS: f64 = 0.05;

/// Sets aside the unlikely readings that are no notation where the best one is; weights again add
/// up to 1.
pub(super) fn notations(mut readings: Vec<Weighted>) -> Vec<Weighted> {
    let least = readings.first().map_or(0, pieces);
    let leftover = readings.first().map_or(0, unread);
    let illegible = readings.first().map_or(0, lost);
    let mut first = true;
    readings.retain(|r| {
        // One marking where the best reading has two is no loss if nothing more is left over.
        let whole = unread(r) <= leftover && lost(r) <= illegible;
        let keep = first || r.weight >= BROKEN_COUNTS || pieces(r) >= least || whole;
        first = false;
        keep
    });
    let known = readings.first().map(contradictions).unwrap_or_default();
    for reading in readings.iter_mut().skip(1) {
        if contradicts(reading, &known) {
            reading.weight *= CONTRADICTS;
        }
    }
    let total: f64 = readings.iter().map(|r| r.weight).sum();
    for reading in &mut readings {
        reading.weight /= total;
    }
    readings
}

/// The names of the findings that weigh in a verdict.
fn contradictions(reading: &Weighted) -> Vec<&'static str> {
    reading
        .suspicions
        .iter()
        .filter(|s| s.severity != Severity::Note)
        .map(|s| s.check)
        .collect()
}

fn contradicts(reading: &Weighted, known: &[&'static str]) -> bool {
    contradictions(reading)
        .iter()
        .any(|name| !known.contains(name))
}

/// Weights for the confidence of a field, reading by reading.
///
/// Strokes (`I`, `l`, `1`, `|`) carry their number and nothing else. Where another number of
/// strokes gives no notation, or one that the clean rest of the plate contradicts, it is no doubt
/// about a value: the grammar may complete shape. For every other character the glyph's own
/// probability stands, whatever the grammar makes of the alternatives.
pub(super) fn field_weights(lines: &[Line], readings: &[Weighted]) -> Vec<f64> {
    let texts: Vec<String> = lines.iter().map(Line::text).collect();
    let known = readings.first().map(contradictions).unwrap_or_default();
    let most = readings.first().map_or(0, pieces);
    readings
        .iter()
        .enumerate()
        .map(|(index, reading)| {
            if index == 0 || !strokes_only(reading, &texts) {
                reading.weight
            } else if pieces(reading) < most {
                0.0
            } else if contradicts(reading, &known) {
                reading.weight * CONTRADICTS
            } else {
                reading.weight
            }
        })
        .collect()
}

/// True where a reading differs from the best characters in strokes alone.
fn strokes_only(reading: &Weighted, texts: &[String]) -> bool {
    let stroke = |c: char| {
        matches!(
            c,
            'I' | 'l' | '1' | '|' | '!' | 'i' | '/' | '<' | '>' | '[' | ']' | ' '
        )
    };
    !reading.changes.is_empty()
        && reading.changes.iter().all(|(span, to)| {
            let was = texts
                .get(span.line)
                .and_then(|t| t.get(span.start..span.end))
                .unwrap_or_default();
            was.chars().chain(to.chars()).all(stroke)
        })
}

/// How much of the plate is notation: markings and category lines, less what could not be read.
fn pieces(reading: &Weighted) -> i64 {
    let markings = &reading.plate.markings;
    let read = markings.len() as i64
        + markings.iter().filter(|m| m.atex.is_some()).count() as i64
        + markings
            .iter()
            .filter(|m| !m.protections.is_empty())
            .count() as i64;
    read - lost(reading) as i64
}

/// Pieces of markings that could not be read.
fn lost(reading: &Weighted) -> usize {
    reading
        .plate
        .markings
        .iter()
        .map(|m| {
            m.illegible.len()
                + usize::from(m.unknown_group.is_some())
                + usize::from(m.unknown_class.is_some())
                + usize::from(m.unbalanced)
        })
        .sum()
}

/// Bytes that no notation took.
fn unread(reading: &Weighted) -> usize {
    reading.plate.unread.iter().map(|s| s.end - s.start).sum()
}

fn add(merged: &mut BTreeMap<String, Weighted>, reading: Weighted) {
    let key = signature(&reading);
    match merged.get_mut(&key) {
        Some(known) => {
            known.weight += reading.weight;
            if reading.changes.len() < known.changes.len() {
                known.changes = reading.changes;
                known.plate = reading.plate;
                known.suspicions = reading.suspicions;
            }
        }
        None => {
            merged.insert(key, reading);
        }
    }
}

/// Single exchanges worth a look, most likely first.
fn exchanges(lines: &[Line]) -> Vec<Exchange> {
    let mut found = Vec::new();
    for (line, content) in lines.iter().enumerate() {
        for (glyph, g) in content.glyphs().iter().enumerate() {
            let top = f64::from(g.probability).max(1e-6);
            for &(to, probability) in &g.also {
                let ratio = f64::from(probability) / top;
                if to != Some(g.ch) && ratio >= LEAST_RATIO {
                    found.push(Exchange {
                        line,
                        glyph,
                        to,
                        insert: false,
                        ratio: ratio.min(1.0),
                    });
                }
            }
        }
        for missed in content.missed() {
            let probability = f64::from(missed.probability).clamp(0.0, 0.999);
            let ratio = probability / (1.0 - probability);
            if ratio >= LEAST_RATIO && missed.before <= content.glyphs().len() {
                found.push(Exchange {
                    line,
                    glyph: missed.before,
                    to: Some(missed.ch),
                    insert: true,
                    ratio: ratio.min(1.0),
                });
            }
        }
    }
    found.sort_by(|a, b| {
        b.ratio
            .total_cmp(&a.ratio)
            .then(a.line.cmp(&b.line))
            .then(a.glyph.cmp(&b.glyph))
            .then(a.to.cmp(&b.to))
    });
    found.truncate(SINGLES);
    found
}

/// Sets of exchanges, one a character at most: every single one, and the joint ones of the most
/// doubtful characters.
fn combinations(effective: &[Exchange]) -> Vec<Vec<Exchange>> {
    let mut sets: Vec<Vec<Exchange>> = effective.iter().map(|e| vec![e.clone()]).collect();
    let joint = &effective[..effective.len().min(JOINT)];
    for mask in 1_u32..(1 << joint.len()) {
        if mask.count_ones() < 2 {
            continue;
        }
        let set: Vec<Exchange> = joint
            .iter()
            .enumerate()
            .filter(|(i, _)| mask >> i & 1 == 1)
            .map(|(_, e)| e.clone())
            .collect();
        let weight: f64 = set.iter().map(|e| e.ratio).product();
        let distinct = set
            .iter()
            .enumerate()
            .all(|(i, a)| set[..i].iter().all(|b| a.place() != b.place()));
        if distinct && weight >= LEAST_WEIGHT {
            sets.push(set);
        }
    }
    sets
}

fn parsed(lines: &[Line], set: &[Exchange], weight: f64) -> Weighted {
    let mut changes = Vec::new();
    let texts: Vec<String> = lines
        .iter()
        .enumerate()
        .map(|(line, content)| {
            let mut text = String::new();
            let mut original = 0;
            let glyphs = content.glyphs();
            for glyph in 0..=glyphs.len() {
                let here = |insert: bool| {
                    set.iter()
                        .find(|e| e.place() == (line, glyph, insert))
                        .map(|e| e.to.into_iter().collect::<String>())
                };
                if let Some(more) = here(true) {
                    text.push_str(&more);
                    let span = Span {
                        line,
                        start: original,
                        end: original,
                    };
                    changes.push((span, more));
                }
                let Some(g) = glyphs.get(glyph) else {
                    break;
                };
                let width = g.ch.len_utf8();
                match here(false) {
                    Some(to) => {
                        text.push_str(&to);
                        let span = Span {
                            line,
                            start: original,
                            end: original + width,
                        };
                        changes.push((span, to));
                    }
                    None => text.push(g.ch),
                }
                original += width;
            }
            text
        })
        .collect();
    weigh(grammar::parse(&texts), weight, changes)
}

/// A reading whose shapes allow other values becomes one reading for each value, in equal shares:
/// the grammar has no ground to prefer one.
fn split_rivals(reading: Weighted) -> Vec<Weighted> {
    let variants = variants(&reading.plate);
    if variants.is_empty() {
        return vec![reading];
    }
    let share = reading.weight / (variants.len() + 1) as f64;
    let mut split: Vec<Weighted> = variants
        .into_iter()
        .map(|(plate, span, to)| {
            let mut changes = reading.changes.clone();
            changes.push((span, to));
            weigh(plate, share, changes)
        })
        .collect();
    split.insert(
        0,
        Weighted {
            // A breath more, so that the value named first stays first.
            weight: share * 1.0001,
            ..reading
        },
    );
    split
}

type Variant = (Plate, Span, String);

/// The plate with one rival in the place of its value, for every rival.
fn variants(plate: &Plate) -> Vec<Variant> {
    let mut found: Vec<Variant> = Vec::new();
    for index in 0..plate.markings.len() {
        let marking = &plate.markings[index];
        let mut push = |span: Span, to: String, change: &dyn Fn(&mut Marking)| {
            if found.len() < KEPT {
                let mut variant = plate.clone();
                change(&mut variant.markings[index]);
                grammar::settle_worth(&mut variant.markings[index]);
                found.push((variant, span, to));
            }
        };
        if let Some(group) = &marking.group {
            for rival in &group.rivals {
                push(group.span, rival.to_string(), &|m| {
                    set(&mut m.group, rival.clone());
                });
            }
        }
        if let Some(temperature) = &marking.temperature {
            for rival in &temperature.rivals {
                push(temperature.span, rival.to_string(), &|m| {
                    set(&mut m.temperature, rival.clone());
                });
            }
        }
        if let Some(dust) = &marking.dust_temperature {
            for rival in &dust.rivals {
                push(dust.span, rival.to_string(), &|m| {
                    set(&mut m.dust_temperature, *rival);
                });
            }
        }
        for (at, epl) in marking.epl.iter().enumerate() {
            for rival in &epl.rivals {
                push(epl.span, rival.to_string(), &|m| m.epl[at].value = *rival);
            }
        }
        for (at, protection) in marking.protections.iter().enumerate() {
            for rival in &protection.kind.rivals {
                push(protection.kind.span, rival.to_string(), &|m| {
                    m.protections[at].kind.value = *rival;
                });
            }
        }
        if let Some(line) = &marking.atex {
            for (at, token) in line.categories.iter().enumerate() {
                for rival in &token.rivals {
                    push(token.span, rival.to_string(), &|m| {
                        if let Some(line) = &mut m.atex {
                            line.categories[at].value = *rival;
                        }
                    });
                }
            }
        }
        if let Some(division) = &marking.american.division {
            for rival in &division.rivals {
                push(division.span, rival.to_string(), &|m| {
                    set(&mut m.american.division, *rival);
                });
            }
        }
        if let Some(zone) = &marking.american.zone {
            for rival in &zone.rivals {
                push(zone.span, rival.to_string(), &|m| {
                    set(&mut m.american.zone, *rival);
                });
            }
        }
    }
    for (at, entity) in plate.entity.iter().enumerate() {
        for rival in &entity.value.rivals {
            let mut variant = plate.clone();
            variant.entity[at].value.value = *rival;
            let unit = entity.quantity.unit();
            found.push((
                variant,
                entity.value.span,
                format!("{} = {rival} {unit}", entity.quantity),
            ));
        }
    }
    if let Some(ambient) = &plate.ambient {
        for rival in &ambient.rivals {
            let mut variant = plate.clone();
            set(&mut variant.ambient, *rival);
            found.push((
                variant,
                ambient.span,
                format!("{} to {} °C", rival.low_c, rival.high_c),
            ));
        }
    }
    found
}

fn set<T>(slot: &mut Option<Read<T>>, value: T) {
    if let Some(read) = slot {
        read.value = value;
    }
}
