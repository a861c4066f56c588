//! Which texts the doubt allows, and what each of them says.

use super::exchanges::{self, Exchange};
use super::rivals::split_rivals;
use super::signature::signature;
use super::{Weighted, weigh};
use crate::checks::Severity;
use crate::{Line, Span, grammar};
use std::collections::{BTreeMap, BTreeSet};

/// Readings that are kept.
pub(super) const KEPT: usize = 24;
/// Exchanges that make a difference and are kept as readings of their own.
const EFFECTIVE: usize = 24;
/// The work on all texts of a plate together, as the grammar counts it: some four hundred times that of a
/// usual plate. It bounds the time whatever comes in. With half of it one photo in thirteen had more
/// doubtful characters than could be looked into.
const WORK: usize = 180_000;

/// The work that a plate is worth: length alone takes its part.
pub(super) fn budget(lines: &[Line]) -> usize {
    let length: usize = lines.iter().map(|line| line.glyphs().len()).sum();
    WORK.saturating_sub(length)
}

/// What the doubt allows.
#[derive(Debug)]
pub(super) struct Plausible {
    /// Every plausible reading, best first, weights adding up to 1.
    pub(super) readings: Vec<Weighted>,
    /// Where other characters may stand that were not looked into, each with its share against the
    /// best one.
    pub(super) unexplored: Vec<(Span, f64)>,
    /// There was more doubt than could be looked into.
    pub(super) exhausted: bool,
    /// The work that was done.
    #[cfg_attr(
        not(test),
        expect(dead_code, reason = "the bound on the work is tested")
    )]
    pub(super) work: usize,
}

/// Parses the texts of a plate until the work is done.
struct Reader<'a> {
    lines: &'a [Line],
    work: usize,
    budget: usize,
    /// There was more to look into than the work allowed.
    exhausted: bool,
}

impl Reader<'_> {
    /// The reading with a set of exchanges made; nothing where there was enough work.
    fn read(&mut self, set: &[Exchange], weight: f64) -> Option<Weighted> {
        if self.work >= self.budget {
            self.exhausted = true;
            return None;
        }
        let (texts, changes) = exchanges::texts(self.lines, set);
        let counted = grammar::parse_counted(&texts);
        let reading = weigh(counted.plate, weight, changes);
        self.work += counted.work + super::checking_work(&reading);
        Some(reading)
    }

    /// The same for several exchanges together; not all of them are looked into as a rule.
    fn more(&mut self, set: &[Exchange]) -> Option<Weighted> {
        let exhausted = self.exhausted;
        let reading = self.read(set, exchanges::weight(set));
        self.exhausted = exhausted;
        reading
    }

    /// One reading for each value that the shapes of a reading allow.
    fn split(&mut self, reading: Weighted) -> Vec<Weighted> {
        // A variant costs a plate that is copied and checked.
        let each = 100 + grammar::length_work(&reading.plate.lines);
        let room = self.budget.saturating_sub(self.work) / each;
        let (split, cut) = split_rivals(reading, room);
        self.work += (split.len() - 1) * each;
        self.exhausted |= cut;
        split
    }
}

/// Looks for every plausible reading.
pub(super) fn plausible(lines: &[Line]) -> Plausible {
    let (texts, _) = exchanges::texts(lines, &[]);
    let counted = grammar::parse_counted(&texts);
    let best = weigh(counted.plate, 1.0, Vec::new());
    let base = signature(&best);
    let mut reader = Reader {
        lines,
        work: counted.work,
        budget: budget(lines),
        exhausted: counted.cut,
    };
    let mut merged: BTreeMap<String, Weighted> = BTreeMap::new();
    let mut effective: Vec<Exchange> = Vec::new();
    let mut idle: Vec<Exchange> = Vec::new();
    // What single exchanges make of the plate.
    let mut alone: BTreeSet<String> = BTreeSet::new();
    let mut folded = 0.0;
    let (singles, mut unexplored) = exchanges::singles(lines);
    reader.exhausted |= singles.is_empty() && !unexplored.is_empty();
    for exchange in singles {
        let Some(reading) = reader.read(std::slice::from_ref(&exchange), exchange.ratio) else {
            unexplored.push((exchange.span, exchange.ratio));
            continue;
        };
        let key = signature(&reading);
        if key == base {
            folded += exchange.ratio;
            idle.push(exchange);
        } else {
            if effective.len() < EFFECTIVE {
                add(&mut merged, key.clone(), reading);
            } else {
                unexplored.push((exchange.span, exchange.ratio));
            }
            alone.insert(key);
            effective.push(exchange);
        }
    }
    for set in exchanges::neighbours(&effective, &idle) {
        let Some(reading) = reader.more(&set) else {
            break;
        };
        // An exchange without consequence beside one with consequence says nothing new, and would
        // only make the latter heavier than it is.
        let key = signature(&reading);
        if key != base && !alone.contains(&key) {
            add(&mut merged, key, reading);
        }
    }
    for set in exchanges::joint(&effective) {
        let weight = exchanges::weight(&set);
        let Some(reading) = reader.more(&set) else {
            break;
        };
        let key = signature(&reading);
        if key == base {
            folded += weight;
        } else {
            add(&mut merged, key, reading);
        }
    }
    // A character that may be another one without consequence makes the best reading no weaker.
    let best = Weighted {
        weight: 1.0 + folded,
        ..best
    };
    merged.insert(base, best);
    let mut by_signature: BTreeMap<String, Weighted> = BTreeMap::new();
    for reading in merged.into_values() {
        for reading in reader.split(reading) {
            add(&mut by_signature, signature(&reading), reading);
        }
    }
    Plausible {
        readings: ranked(by_signature.into_values().collect()),
        unexplored,
        exhausted: reader.exhausted,
        work: reader.work,
    }
}

/// The likeliest readings, best first, with weights that add up to 1.
///
/// Texts that are no notation add up to much; one of them comes first only where it is
/// overwhelming. The reading of the best characters stays first among equals.
fn ranked(mut readings: Vec<Weighted>) -> Vec<Weighted> {
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

fn add(merged: &mut BTreeMap<String, Weighted>, key: String, reading: Weighted) {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Glyph;

    /// Pieces that begin everything and end nothing, every character doubtful.
    const NASTY: [&str; 9] = [
        "Ex ",
        "[Ex ia ",
        "II 2 G Ex d ",
        "Ex d IIC T4 Gb\n",
        "Ta -20 ",
        "Ui = 1 V ",
        "|",
        "1",
        "IIIIIIII ",
    ];

    fn doubtful(text: &str) -> Vec<Line> {
        let glyph = |ch| Glyph {
            ch,
            probability: 0.8,
            also: vec![(Some('B'), 0.1), (Some('l'), 0.05)],
        };
        text.split('\n')
            .map(|line| Line::new(line.chars().map(glyph).collect()))
            .collect()
    }

    #[test]
    fn the_work_is_bounded_however_long_and_doubtful() {
        for piece in NASTY {
            for length in [2_048, 65_536] {
                let lines = doubtful(&piece.repeat(length / piece.len()));
                let texts: Vec<String> = lines.iter().map(Line::text).collect();
                // One text costs at most its words, its length, its lines and its markings.
                let once = grammar::parse_counted(&texts).work;
                let most = grammar::most_work(&texts);
                assert!(once <= most, "{piece:?}: {once}");
                let found = plausible(&lines);
                // The last text may go over by what one text costs, and the first is always read.
                let limit = budget(&lines).max(once) + most;
                assert!(found.work <= limit, "{piece:?}: {}", found.work);
                // What was not looked into is known.
                assert!(!found.unexplored.is_empty(), "{piece:?}");
                assert!(found.exhausted || length < 65_536, "{piece:?}");
                assert!(found.readings.len() <= KEPT);
            }
        }
    }

    #[test]
    fn two_misread_characters_of_one_word_are_found_together() {
        let mut glyphs = Line::certain("IEGEz XYZ 14.8403X").glyphs().to_vec();
        for (at, to) in [(2, 'C'), (4, 'x')] {
            glyphs[at].probability = 0.6;
            glyphs[at].also = vec![(Some(to), 0.4)];
        }
        let lines = [Line::certain("Ex h IIC T4 Gb"), Line::new(glyphs)];
        let found = plausible(&lines);
        assert!(found.readings.iter().any(|r| r.plate.has_x()));
    }
}
