//! Frame probabilities → characters (connectionist temporal classification, Graves
//! and others, 2006).

use crate::line::{Glyph, Missed};

mod align;
mod beam;

/// Alternatives less probable than this are noise of the softmax.
const LEAST: f32 = 0.001;
/// An overlooked character is worth telling from this probability on.
const LEAST_MISSED: f32 = 0.05;
/// Texts that each look proposes.
const PROPOSALS: usize = 4;

/// What a recogniser saw in one picture of a line.
///
/// **Shape** `data` is `[time, classes]`, row-major, each row a distribution; class 0
/// is the blank.
#[derive(Debug, Clone)]
pub(crate) struct Look {
    pub(crate) data: Vec<f32>,
    pub(crate) classes: usize,
    /// Share of the frames that the line's picture fills, (0, 1].
    pub(crate) used: f32,
    /// How much it counts beside other looks; their sum need not be 1.
    pub(crate) weight: f32,
}

impl Look {
    fn time(&self) -> usize {
        self.data.len() / self.classes
    }

    fn frame(&self, t: usize) -> &[f32] {
        &self.data[t * self.classes..(t + 1) * self.classes]
    }

    /// Place of frame `t` along the line, 0 to 1.
    fn place(&self, t: f32) -> f32 {
        ((t + 0.5) / (self.time() as f32 * self.used)).clamp(0.0, 1.0)
    }
}

/// Rounds in which single characters may still change the winning proposal.
const ROUNDS: usize = 3;

/// The text that all `looks` together find most probable, and the characters that may
/// have been overlooked. Class `i` stands for `alphabet[i - 1]`.
///
/// Each look proposes its most probable texts (prefix beam search); every proposal is
/// judged by every look, and the highest weighted mean of log probabilities wins. The
/// probability of a character is that of the whole text against the same text with
/// another or no character in this one place, judged by the same mean: looks that
/// disagree lower it and name the alternative.
pub(crate) fn decode(looks: &[Look], alphabet: &[char]) -> (Vec<Glyph>, Vec<Missed>) {
    let mut proposals: Vec<Vec<usize>> = Vec::new();
    for look in looks {
        for text in beam::proposals(look, PROPOSALS) {
            if !proposals.contains(&text) {
                proposals.push(text);
            }
        }
    }
    let mut best: Option<(f32, Vec<usize>)> = None;
    for text in proposals {
        let score = score(looks, &text);
        if best.as_ref().is_none_or(|(s, _)| score > *s) {
            best = Some((score, text));
        }
    }
    let Some((mut own, mut text)) = best else {
        return (Vec::new(), Vec::new());
    };
    for _ in 0..ROUNDS {
        let variants = variants(looks, &text);
        let better = variants
            .iter()
            .flatten()
            .copied()
            .max_by(|a, b| a.score.total_cmp(&b.score));
        match better {
            Some(v) if v.score > own => {
                own = v.score;
                text = v.of(&text);
            }
            _ => break,
        }
    }
    let Some(first) = looks.first() else {
        return (Vec::new(), Vec::new());
    };
    let path = align::path(first, &text);
    let glyphs = variants(looks, &text)
        .into_iter()
        .enumerate()
        .map(|(i, variants)| {
            let odds = |v: &Variant| (v.score - own).min(60.0).exp();
            let total = 1.0 + variants.iter().map(odds).sum::<f32>();
            let mut also: Vec<(Option<char>, f32)> = variants
                .iter()
                .map(|v| (v.class.map(|c| alphabet[c - 1]), odds(v) / total))
                .filter(|(_, p)| *p >= LEAST)
                .collect();
            also.sort_by(|a, b| b.1.total_cmp(&a.1));
            Glyph {
                ch: alphabet[text[i] - 1],
                probability: 1.0 / total,
                also,
                x: align::peak(first, &path, i, text[i]).map_or(0.0, |t| first.place(t as f32)),
            }
        })
        .collect();
    (glyphs, overlooked(looks, &path, &text, own, alphabet))
}

/// A text that differs from another in one place.
#[derive(Clone, Copy)]
struct Variant {
    at: usize,
    /// What stands there; `None`: nothing.
    class: Option<usize>,
    score: f32,
}

impl Variant {
    fn of(self, text: &[usize]) -> Vec<usize> {
        let mut changed = text.to_vec();
        match self.class {
            Some(class) => changed[self.at] = class,
            None => drop(changed.remove(self.at)),
        }
        changed
    }
}

/// Weighted mean over the looks of the logarithm of a text's probability.
fn score(looks: &[Look], text: &[usize]) -> f32 {
    let total: f32 = looks.iter().map(|l| l.weight).sum();
    let sum: f32 = looks
        .iter()
        .map(|l| l.weight * align::log_probability(l, text))
        .sum();
    sum / total
}

/// For each character of `text`, the other classes that some look saw in its place.
fn variants(looks: &[Look], text: &[usize]) -> Vec<Vec<Variant>> {
    let paths: Vec<_> = looks.iter().map(|look| align::path(look, text)).collect();
    let mut all = Vec::with_capacity(text.len());
    for (at, &own) in text.iter().enumerate() {
        let mut classes: Vec<usize> = Vec::new();
        for (look, path) in looks.iter().zip(&paths) {
            for t in (0..path.len()).filter(|&t| path[t] == Some(at)) {
                let seen = look.frame(t).iter().enumerate();
                for (class, _) in seen.filter(|&(c, &p)| c != own && p >= LEAST) {
                    if !classes.contains(&class) {
                        classes.push(class);
                    }
                }
            }
        }
        let variant = |class: usize| {
            let mut v = Variant {
                at,
                class: (class > 0).then_some(class),
                score: 0.0,
            };
            v.score = score(looks, &v.of(text));
            v
        };
        all.push(classes.into_iter().map(variant).collect());
    }
    all
}

/// Characters that almost stood in the frames that `path` (of the first look) leaves
/// empty, judged like [`Variant`]s: the text with them against the text without.
fn overlooked(
    looks: &[Look],
    path: &[Option<usize>],
    text: &[usize],
    own: f32,
    alphabet: &[char],
) -> Vec<Missed> {
    let look = &looks[0];
    let mut missed = Vec::new();
    let mut before = 0;
    let mut t = 0;
    while t < path.len() {
        if let Some(i) = path[t] {
            before = i + 1;
            t += 1;
            continue;
        }
        let start = t;
        while t < path.len() && path[t].is_none() {
            t += 1;
        }
        let seen = (start..t).map(|u| (u, strongest_character(look.frame(u))));
        let Some((u, (class, p))) = seen.max_by(|a, b| a.1.1.total_cmp(&b.1.1)) else {
            continue;
        };
        if p < LEAST_MISSED / 4.0 {
            continue;
        }
        let mut longer = text.to_vec();
        longer.insert(before, class);
        let odds = (score(looks, &longer) - own).min(60.0).exp();
        let probability = odds / (1.0 + odds);
        if probability >= LEAST_MISSED {
            missed.push(Missed {
                before,
                ch: alphabet[class - 1],
                probability,
                x: look.place(u as f32),
            });
        }
    }
    missed
}

fn strongest_character(frame: &[f32]) -> (usize, f32) {
    let better = |m: (usize, f32), (i, &p): (usize, &f32)| if p > m.1 { (i, p) } else { m };
    frame.iter().enumerate().skip(1).fold((1, f32::MIN), better)
}
