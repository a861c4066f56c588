//! Characters that may be others: which exchanges of them are worth a look, and the texts they give.

use crate::{Line, Missed, Span};

/// A runner-up is looked at if it is at least this likely against the best character. Below it,
/// even all the characters of a plate together stay under one plate in ten thousand only with the
/// share of critical characters that a plate has (about forty).
const LEAST_RATIO: f64 = 0.0005;
/// Combinations of less than this share of the best are not parsed.
const LEAST_WEIGHT: f64 = 0.0002;
/// Characters that are exchanged one at a time, most doubtful first.
const SINGLES: usize = 64;
/// Runner-ups of a plate that are put in order: some twenty times what a worn plate has.
const MOST: usize = 16_384;
/// Characters that are exchanged together wherever they stand: two to the eighth texts at most.
const JOINT: usize = 8;
/// Characters so near to each other may belong to one piece: a word, a range, a pair of brackets.
const NEAR: usize = 12;
/// Sets of neighbours that are exchanged together, most likely first.
const NEIGHBOURS: usize = 96;

/// One possible exchange.
#[derive(Debug, Clone)]
pub(super) struct Exchange {
    line: usize,
    glyph: usize,
    to: Option<char>,
    /// The character is put before the glyph and takes no place of another.
    insert: bool,
    /// Share against the best character, at most 1.
    pub(super) ratio: f64,
    /// Where it stands.
    pub(super) span: Span,
}

impl Exchange {
    fn place(&self) -> (usize, usize, bool) {
        (self.line, self.glyph, self.insert)
    }
}

/// Product of the shares of a set.
pub(super) fn weight(set: &[Exchange]) -> f64 {
    set.iter().map(|e| e.ratio).product()
}

/// Where characters may stand that are not looked into, each with its share against the best one.
pub(super) type Unexplored = Vec<(Span, f64)>;

/// Single exchanges worth a look, most likely first, and those that are more than can be looked at:
/// all of them where there are too many to be put in order.
pub(super) fn singles(lines: &[Line]) -> (Vec<Exchange>, Unexplored) {
    let many: usize = lines
        .iter()
        .map(|line| line.missed().len() + line.glyphs().iter().map(|g| g.also.len()).sum::<usize>())
        .sum();
    if many > MOST {
        return (Vec::new(), shares(lines));
    }
    let mut found = Vec::new();
    for (line, content) in lines.iter().enumerate() {
        let starts = content.starts();
        for (glyph, g) in content.glyphs().iter().enumerate() {
            let top = f64::from(g.probability).max(1e-6);
            let (start, end) = (starts[glyph], starts[glyph + 1]);
            for &(to, probability) in &g.also {
                let ratio = f64::from(probability) / top;
                if to != Some(g.ch) && ratio >= LEAST_RATIO {
                    found.push(Exchange {
                        line,
                        glyph,
                        to,
                        insert: false,
                        ratio: ratio.min(1.0),
                        span: Span { line, start, end },
                    });
                }
            }
        }
        for missed in content.missed() {
            let ratio = share_of(missed);
            let Some(&at) = starts.get(missed.before) else {
                continue;
            };
            if ratio >= LEAST_RATIO {
                found.push(Exchange {
                    line,
                    glyph: missed.before,
                    to: Some(missed.ch),
                    insert: true,
                    ratio: ratio.min(1.0),
                    span: Span {
                        line,
                        start: at,
                        end: at,
                    },
                });
            }
        }
    }
    let likelier = |a: &Exchange, b: &Exchange| {
        b.ratio
            .total_cmp(&a.ratio)
            .then(a.line.cmp(&b.line))
            .then(a.glyph.cmp(&b.glyph))
            .then(a.to.cmp(&b.to))
    };
    // Of a text full of doubt only the likeliest are put in order.
    let more: Vec<Exchange> = if found.len() > SINGLES {
        found.select_nth_unstable_by(SINGLES, likelier);
        found.split_off(SINGLES)
    } else {
        Vec::new()
    };
    found.sort_by(likelier);
    (found, more.iter().map(|e| (e.span, e.ratio)).collect())
}

/// The share of all other characters together, place by place.
fn shares(lines: &[Line]) -> Unexplored {
    let mut found = Vec::new();
    for (line, content) in lines.iter().enumerate() {
        let starts = content.starts();
        for (glyph, ends) in content.glyphs().iter().zip(starts.windows(2)) {
            let others: f32 = glyph.also.iter().map(|(_, p)| p).sum();
            if others > 0.0 {
                let top = f64::from(glyph.probability).max(1e-6);
                let (start, end) = (ends[0], ends[1]);
                found.push((Span { line, start, end }, f64::from(others) / top));
            }
        }
        for missed in content.missed() {
            if let Some(&at) = starts.get(missed.before) {
                let span = Span {
                    line,
                    start: at,
                    end: at,
                };
                found.push((span, share_of(missed)));
            }
        }
    }
    found
}

/// The share of a character that may have been overlooked against there being none.
fn share_of(missed: &Missed) -> f64 {
    let probability = f64::from(missed.probability).clamp(0.0, 0.999);
    probability / (1.0 - probability)
}

/// Joint exchanges of the most doubtful characters of which each alone makes a difference.
pub(super) fn joint(effective: &[Exchange]) -> Vec<Vec<Exchange>> {
    let joint = &effective[..effective.len().min(JOINT)];
    let mut sets = Vec::new();
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
        let distinct = set
            .iter()
            .enumerate()
            .all(|(i, a)| set[..i].iter().all(|b| a.place() != b.place()));
        if distinct && weight(&set) >= LEAST_WEIGHT {
            sets.push(set);
        }
    }
    sets
}

/// Two or three exchanges close together of which at least one makes no difference alone: a word
/// with two misread characters is no word with either of them mended, and only both mended show
/// what is printed. Most likely sets first.
pub(super) fn neighbours(effective: &[Exchange], idle: &[Exchange]) -> Vec<Vec<Exchange>> {
    let mut all: Vec<(&Exchange, bool)> = effective
        .iter()
        .map(|e| (e, true))
        .chain(idle.iter().map(|e| (e, false)))
        .collect();
    all.sort_by_key(|(e, _)| (e.place(), e.to));
    let near = |a: &Exchange, b: &Exchange| {
        a.line == b.line && a.place() != b.place() && b.glyph - a.glyph <= NEAR
    };
    let mut sets: Vec<Vec<Exchange>> = Vec::new();
    for (i, (a, alone_a)) in all.iter().enumerate() {
        for (j, (b, alone_b)) in all.iter().enumerate().skip(i + 1) {
            if b.line != a.line || b.glyph - a.glyph > NEAR {
                break;
            }
            let pair = a.ratio * b.ratio;
            if !near(a, b) || pair < LEAST_WEIGHT {
                continue;
            }
            if !(*alone_a && *alone_b) {
                sets.push(vec![(*a).clone(), (*b).clone()]);
            }
            for (c, alone_c) in &all[j + 1..] {
                if c.line != a.line || c.glyph - a.glyph > NEAR {
                    break;
                }
                let triple = pair * c.ratio >= LEAST_WEIGHT && near(b, c);
                if triple && !(*alone_a && *alone_b && *alone_c) {
                    sets.push(vec![(*a).clone(), (*b).clone(), (*c).clone()]);
                }
            }
        }
    }
    // The order of the text breaks ties: the sort is stable.
    sets.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    sets.truncate(NEIGHBOURS);
    sets
}

/// The lines with a set of exchanges made, and where they differ from the best characters.
pub(super) fn texts(lines: &[Line], set: &[Exchange]) -> (Vec<String>, Vec<(Span, String)>) {
    let mut changes = Vec::new();
    let texts = lines
        .iter()
        .enumerate()
        .map(|(line, content)| {
            let mut here: Vec<&Exchange> = set.iter().filter(|e| e.line == line).collect();
            if here.is_empty() {
                return content.text();
            }
            // What is put in stands before what takes the place of a character.
            here.sort_by_key(|e| (e.glyph, !e.insert));
            let mut here = here.into_iter().peekable();
            let mut text = String::new();
            for glyph in 0..=content.glyphs().len() {
                let mut replaced = false;
                while let Some(exchange) = here.next_if(|e| e.glyph == glyph) {
                    let to: String = exchange.to.into_iter().collect();
                    text.push_str(&to);
                    changes.push((exchange.span, to));
                    replaced |= !exchange.insert;
                }
                if let Some(g) = content.glyphs().get(glyph).filter(|_| !replaced) {
                    text.push(g.ch);
                }
            }
            text
        })
        .collect();
    (texts, changes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Glyph;

    /// Each character doubtful, with the same runner-up.
    fn doubtful(text: &str) -> Line {
        let glyph = |ch| Glyph {
            ch,
            probability: 0.7,
            also: vec![(Some('#'), 0.3)],
        };
        Line::new(text.chars().map(glyph).collect())
    }

    #[test]
    fn what_is_put_in_takes_no_place() {
        let missed = crate::Missed {
            before: 1,
            ch: 'x',
            probability: 0.4,
        };
        let line = doubtful("E h").with_missed(vec![missed]);
        let (found, more) = singles(std::slice::from_ref(&line));
        assert_eq!((found.len(), more.len()), (4, 0));
        let insert = found.iter().find(|e| e.insert).unwrap().clone();
        let replace = found.iter().find(|e| e.glyph == 1 && !e.insert).unwrap();
        let (text, changes) = texts(&[line], &[replace.clone(), insert]);
        assert_eq!(text, ["Ex#h"]);
        assert_eq!(changes.len(), 2);
        assert_eq!((changes[0].0.start, changes[0].0.end), (1, 1));
    }

    #[test]
    fn sets_are_bounded_however_much_is_doubtful() {
        let line = doubtful(&"Ex db IIC T4 Gb ".repeat(1024));
        let (found, more) = singles(&[line]);
        assert_eq!(found.len(), SINGLES);
        assert_eq!(found.len() + more.len(), 16_384);
        // Too many to be put in order: what is left is known place by place.
        let line = doubtful(&"Ex db IIC T4 Gb ".repeat(4096));
        let (none, all) = singles(&[line]);
        assert_eq!((none.len(), all.len()), (0, 65_536));
        assert!(joint(&found).len() < 1 << JOINT);
        let (effective, idle) = found.split_at(10);
        let sets = neighbours(effective, idle);
        assert_eq!(sets.len(), NEIGHBOURS);
        for set in sets {
            let (first, last) = (set[0].glyph, set[set.len() - 1].glyph);
            assert!(last - first <= NEAR && weight(&set) >= LEAST_WEIGHT);
        }
    }

    #[test]
    fn neighbours_are_sets_that_no_other_way_finds() {
        let line = doubtful("abc");
        let (found, _) = singles(&[line]);
        assert!(neighbours(&found, &[]).is_empty());
        assert_eq!(neighbours(&[], &found).len(), 4);
    }
}
