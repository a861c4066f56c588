//! Frame probabilities → characters (connectionist temporal classification, Graves
//! and others, 2006).

use std::sync::Arc;

use crate::alphabet::{Alphabet, BLANK, Classes};
use crate::line::{Glyph, Missed};

mod align;
mod beam;
mod change;
mod signs;

use change::{Change, Held};

/// Alternatives less probable than this are noise of the softmax.
const LEAST: f32 = 0.001;
/// An overlooked character is worth telling from this probability on.
const LEAST_MISSED: f32 = 0.05;
/// Texts that each look proposes.
const PROPOSALS: usize = 4;

/// What a recogniser saw in one picture of a line.
#[derive(Debug, Clone)]
pub(crate) struct Look {
    /// **Shape** `[time, classes]`, row-major, each row a distribution; class 0 is the
    /// blank.
    data: Vec<f32>,
    classes: Arc<Classes>,
    /// The characters, by their numbers in the common alphabet, that are at least [`LEAST`]
    /// probable in some frame: those of frame `t` end at `ends[t]`.
    seen: Vec<(usize, f32)>,
    ends: Vec<usize>,
    /// Probability of the likeliest character in each frame.
    strongest: Vec<f32>,
    /// Share of the frames that the line's picture fills, (0, 1].
    used: f32,
}

impl Look {
    pub(crate) fn new(data: Vec<f32>, classes: Arc<Classes>, used: f32) -> Self {
        let (mut seen, mut ends, mut strongest) = (Vec::new(), Vec::new(), Vec::new());
        for row in data.chunks_exact(classes.count()) {
            let mut most = 0.0_f32;
            for (class, &p) in row.iter().enumerate().skip(1) {
                most = most.max(p);
                if p >= LEAST {
                    seen.push((classes.number(class), p));
                }
            }
            ends.push(seen.len());
            strongest.push(most);
        }
        Self {
            data,
            classes,
            seen,
            ends,
            strongest,
            used,
        }
    }

    fn time(&self) -> usize {
        self.strongest.len()
    }

    /// Probability in frame `t` of what `number` stands for in the common alphabet. A
    /// character that this recogniser does not know may be whatever it saw instead: it
    /// has no opinion on it.
    fn probability(&self, t: usize, number: usize) -> f32 {
        match self.classes.class(number) {
            Some(class) => self.data[t * self.classes.count() + class],
            None => self.strongest[t],
        }
    }

    /// Probability of the blank in frame `t`.
    fn blank(&self, t: usize) -> f32 {
        self.data[t * self.classes.count()]
    }

    /// The characters of frame `t` that are not noise, by their numbers in the common alphabet.
    fn characters(&self, t: usize) -> &[(usize, f32)] {
        let first = t.checked_sub(1).map_or(0, |before| self.ends[before]);
        &self.seen[first..self.ends[t]]
    }

    /// Place of frame `t` along the line, 0 to 1.
    fn place(&self, t: f32) -> f32 {
        ((t + 0.5) / (self.time() as f32 * self.used)).clamp(0.0, 1.0)
    }
}

/// Other classes tried in the place of each character.
const VARIANTS: usize = 8;
/// Rounds in which single characters may still change the winning proposal. Text takes
/// one or two, noise more.
const ROUNDS: usize = 30;
/// What a change gains by rounding is no reason for it.
const LEAST_GAIN: f64 = 1e-6;

/// The text that all `looks` together find most probable, and the characters that may
/// have been overlooked.
///
/// Each look proposes its most probable texts (prefix beam search); every proposal is
/// judged by every look, and the highest mean of log probabilities wins. The
/// probability of a character is that of the whole text against the same text with
/// another or no character in this one place, judged by the same mean: looks that
/// disagree lower it and name the alternative.
pub(crate) fn decode(looks: &[Look], alphabet: &Alphabet) -> (Vec<Glyph>, Vec<Missed>) {
    let mut proposals: Vec<Vec<usize>> = Vec::new();
    for look in looks {
        for text in beam::proposals(look, PROPOSALS) {
            if !proposals.contains(&text) {
                proposals.push(text);
            }
        }
    }
    let mut best: Option<(f64, Vec<usize>)> = None;
    for text in proposals {
        let score = score(looks, &text);
        if best.as_ref().is_none_or(|(s, _)| score > *s) {
            best = Some((score, text));
        }
    }
    let Some((_, mut text)) = best else {
        return (Vec::new(), Vec::new());
    };
    let mut rounds = 0..ROUNDS;
    let (held, variants) = loop {
        let held: Vec<_> = looks.iter().map(|look| Held::new(look, &text)).collect();
        let variants = variants(&held, &text);
        let better = variants
            .iter()
            .flatten()
            .filter(|v| v.gain > LEAST_GAIN)
            .max_by(|a, b| a.gain.total_cmp(&b.gain))
            .map(|v| v.change.of(&text));
        match better {
            Some(changed) if rounds.next().is_some() => text = changed,
            _ => break (held, variants),
        }
    };
    let Some(first) = held.first() else {
        return (Vec::new(), Vec::new());
    };
    let glyphs: Vec<Glyph> = variants
        .into_iter()
        .enumerate()
        .map(|(i, variants)| {
            let total = 1.0 + variants.iter().map(|v| odds(v.gain)).sum::<f32>();
            let mut also: Vec<(Option<char>, f32)> = variants
                .iter()
                .map(|v| {
                    (
                        v.change.class().map(|c| alphabet.char(c)),
                        odds(v.gain) / total,
                    )
                })
                .filter(|(_, p)| *p >= LEAST)
                .collect();
            also.sort_by(|a, b| b.1.total_cmp(&a.1));
            Glyph {
                ch: alphabet.char(text[i]),
                probability: 1.0 / total,
                also,
                x: first.peak(i).map_or(0.0, |t| first.look.place(t as f32)),
            }
        })
        .collect();
    signs::written_out(glyphs, overlooked(&held, first, alphabet))
}

/// A text that differs from another in the place of one of its characters.
struct Variant {
    change: Change,
    /// Mean over the looks of the logarithm of how many times as probable it is.
    gain: f64,
}

/// How many times as probable what gains so much is, within what a number holds.
fn odds(gain: f64) -> f32 {
    gain.min(60.0).exp() as f32
}

/// Mean over the looks of the logarithm of a text's probability.
fn score(looks: &[Look], text: &[usize]) -> f64 {
    let sum: f64 = looks.iter().map(|l| align::log_probability(l, text)).sum();
    sum / looks.len() as f64
}

/// Mean over the looks of what `change` gains.
fn gain(held: &[Held<'_>], change: Change) -> f64 {
    held.iter().map(|h| h.gain(change)).sum::<f64>() / held.len() as f64
}

/// For each character of `text`, the other classes that some look saw in its place.
fn variants(held: &[Held<'_>], text: &[usize]) -> Vec<Vec<Variant>> {
    let mut all = Vec::with_capacity(text.len());
    for (at, &own) in text.iter().enumerate() {
        let mut seen: Vec<(usize, f32)> = Vec::new();
        for Held { look, path, .. } in held {
            for t in (0..path.len()).filter(|&t| path[t] == Some(at)) {
                let frame = look.characters(t).iter().copied();
                let blank = Some((BLANK, look.blank(t))).filter(|b| b.1 >= LEAST);
                for (class, p) in frame.chain(blank).filter(|s| s.0 != own) {
                    match seen.iter_mut().find(|s| s.0 == class) {
                        Some(s) => s.1 = s.1.max(p),
                        None => seen.push((class, p)),
                    }
                }
            }
        }
        seen.sort_by(|a, b| b.1.total_cmp(&a.1));
        seen.truncate(VARIANTS);
        let variant = |class: usize| {
            let change = match class {
                BLANK => Change::Fewer { at },
                class => Change::Another { at, class },
            };
            let gain = gain(held, change);
            Variant { change, gain }
        };
        all.push(seen.into_iter().map(|s| variant(s.0)).collect());
    }
    all
}

/// Characters that almost stood in the frames that the path through the `first` look leaves
/// empty, judged like [`Variant`]s: the text with them against the text without.
fn overlooked(held: &[Held<'_>], first: &Held<'_>, alphabet: &Alphabet) -> Vec<Missed> {
    let Held { look, path, .. } = first;
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
        let seen = (start..t).flat_map(|u| look.characters(u).iter().map(move |c| (u, c)));
        let Some((u, &(class, p))) = seen.max_by(|a, b| a.1.1.total_cmp(&b.1.1)) else {
            continue;
        };
        if p < LEAST_MISSED / 4.0 {
            continue;
        }
        let more = Change::More { at: before, class };
        let odds = odds(gain(held, more));
        let probability = odds / (1.0 + odds);
        if probability >= LEAST_MISSED {
            missed.push(Missed {
                before,
                ch: alphabet.char(class),
                probability,
                x: look.place(u as f32),
            });
        }
    }
    missed
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const ALPHABET: [char; 4] = ['I', 'l', 'C', ' '];

    fn alphabet() -> Arc<Alphabet> {
        Alphabet::of([&ALPHABET[..]])
    }

    /// A look at rows of probabilities: blank and `ALPHABET`.
    fn look(rows: &[[f32; 5]]) -> Look {
        Look::new(rows.concat(), Classes::new(&ALPHABET, &alphabet()), 1.0)
    }

    fn sure(class: usize) -> [f32; 5] {
        let mut row = [0.0; 5];
        row[class] = 1.0;
        row
    }

    fn text(looks: &[Look]) -> String {
        decode(looks, &alphabet()).0.iter().map(|g| g.ch).collect()
    }

    #[test]
    fn repeats_merge_unless_a_blank_parts_them() {
        assert_eq!(text(&[look(&[sure(1), sure(1), sure(0), sure(3)])]), "IC");
        assert_eq!(text(&[look(&[sure(1), sure(0), sure(1), sure(3)])]), "IIC");
        assert_eq!(text(&[look(&[sure(0), sure(0)])]), "");
        assert_eq!(text(&[]), "");
    }

    #[test]
    fn the_runner_up_and_nothing_are_told() {
        let (glyphs, missed) = decode(
            &[look(&[[0.1, 0.6, 0.3, 0.0, 0.0], sure(0), sure(3)])],
            &alphabet(),
        );
        assert_eq!(glyphs[0].ch, 'I');
        assert!(
            (glyphs[0].probability - 0.6).abs() < 0.01,
            "{:?}",
            glyphs[0]
        );
        let also: Vec<Option<char>> = glyphs[0].also.iter().map(|a| a.0).collect();
        assert_eq!(also, [Some('l'), None]);
        assert!((glyphs[0].also[0].1 - 0.3).abs() < 0.01);
        assert!(missed.is_empty());
    }

    #[test]
    fn a_character_that_almost_stood_there_is_told() {
        let rows = [
            sure(1),
            sure(0),
            [0.6, 0.4, 0.0, 0.0, 0.0],
            sure(0),
            sure(3),
        ];
        let (glyphs, missed) = decode(&[look(&rows)], &alphabet());
        assert_eq!(glyphs.len(), 2);
        assert_eq!((missed[0].before, missed[0].ch), (1, 'I'));
        assert!((missed[0].probability - 0.4).abs() < 0.01, "{missed:?}");
        assert!((missed[0].x - 0.5).abs() < 0.01);
    }

    #[test]
    fn looks_that_disagree_lower_the_probability() {
        let first = look(&[[0.0, 0.9, 0.1, 0.0, 0.0], sure(0), sure(3)]);
        let second = look(&[[0.0, 0.2, 0.8, 0.0, 0.0], sure(0), sure(3)]);
        let alone = decode(std::slice::from_ref(&first), &alphabet()).0;
        let both = decode(&[first, second], &alphabet()).0;
        assert_eq!(both[0].ch, 'I');
        assert!(both[0].probability < alone[0].probability - 0.2);
        assert_eq!(both[0].also[0].0, Some('l'));
    }

    #[test]
    fn a_recogniser_has_no_opinion_on_characters_that_it_lacks() {
        let all = Alphabet::of([&['⬢', 'I'][..], &['O', 'I'][..]]);
        let one = Classes::new(&['⬢', 'I'], &all);
        let other = Classes::new(&['O', 'I'], &all);
        let rows = |p: f32| vec![1.0 - p, p, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, 1.0];
        let looks = [
            Look::new(rows(0.9), one, 1.0),
            Look::new(rows(0.8), other.clone(), 1.0),
        ];
        let (glyphs, _) = decode(&looks, &all);
        let text: String = glyphs.iter().map(|g| g.ch).collect();
        assert_eq!(text, "⬢I");
        // Alone it keeps to what it knows.
        let (glyphs, _) = decode(&[Look::new(rows(0.8), other, 1.0)], &all);
        let text: String = glyphs.iter().map(|g| g.ch).collect();
        assert_eq!(text, "OI");
    }

    #[test]
    fn places_follow_the_frames() {
        let glyphs = decode(&[look(&[sure(1), sure(0), sure(0), sure(3)])], &alphabet()).0;
        assert!((glyphs[0].x - 0.125).abs() < 1e-6 && (glyphs[1].x - 0.875).abs() < 1e-6);
    }

    /// The probability of all texts of up to `T` characters, summed over every path.
    #[test]
    fn text_probabilities_sum_to_one() {
        let look = look(&[
            [0.5, 0.3, 0.2, 0.0, 0.0],
            [0.2, 0.5, 0.3, 0.0, 0.0],
            [0.6, 0.1, 0.3, 0.0, 0.0],
        ]);
        let mut texts: Vec<Vec<usize>> = vec![Vec::new()];
        let mut sum = 0.0;
        while let Some(text) = texts.pop() {
            sum += align::log_probability(&look, &text).exp() as f32;
            if text.len() < 3 {
                texts.extend([1, 2].map(|c| [text.as_slice(), &[c]].concat()));
            }
        }
        assert!((sum - 1.0).abs() < 1e-4, "{sum}");
    }

    fn rows() -> impl Strategy<Value = Vec<[f32; 5]>> {
        let row = prop::array::uniform5(0.001..1.0_f32);
        let shares = row.prop_map(|row| row.map(|p| p / row.iter().sum::<f32>()));
        prop::collection::vec(shares, 0..24)
    }

    /// Every change of one character of `text`.
    fn changes(text: &[usize]) -> Vec<Change> {
        let mut all = Vec::new();
        for class in 1..5 {
            all.extend((0..text.len()).map(|at| Change::Another { at, class }));
            all.extend((0..=text.len()).map(|at| Change::More { at, class }));
        }
        all.extend((0..text.len()).map(|at| Change::Fewer { at }));
        all
    }

    #[test]
    fn a_line_far_longer_than_a_number_holds_is_judged() {
        // A text that the frames contradict everywhere: 1e-7 each.
        let look = look(&[sure(3), sure(0)].repeat(600));
        let text = [1, 2].repeat(200);
        let held = Held::new(&look, &text);
        for change in [
            Change::Another { at: 7, class: 3 },
            Change::Fewer { at: 399 },
        ] {
            let whole = align::log_probability(&look, &change.of(&text))
                - align::log_probability(&look, &text);
            assert!(
                (held.gain(change) - whole).abs() < 1e-3,
                "{change:?} {whole}"
            );
            assert!(whole > 0.0);
        }
    }

    proptest! {
        #[test]
        fn a_change_is_judged_as_the_whole_text_would_be(
            rows in rows(),
            text in prop::collection::vec(1..5_usize, 0..8),
        ) {
            let look = look(&rows);
            let held = Held::new(&look, &text);
            for change in changes(&text) {
                let whole = align::log_probability(&look, &change.of(&text))
                    - align::log_probability(&look, &text);
                let gain = held.gain(change);
                prop_assert!((gain - whole).abs() < 1e-6 * (1.0 + whole.abs()), "{change:?}: {gain} {whole}");
            }
        }

        #[test]
        fn any_distribution_gives_probabilities(
            rows in rows(),
        ) {
            let (glyphs, missed) = decode(&[look(&rows)], &alphabet());
            prop_assert!(glyphs.len() <= rows.len());
            for g in &glyphs {
                let all = g.probability + g.also.iter().map(|a| a.1).sum::<f32>();
                prop_assert!(g.probability > 0.0 && all <= 1.0 + 1e-3, "{g:?}");
                prop_assert!((0.0..=1.0).contains(&g.x));
                prop_assert!(g.also.iter().all(|a| a.0 != Some(g.ch) && a.1 <= g.probability + 1e-6), "{g:?}");
            }
            prop_assert!(missed.iter().all(|m| m.before <= glyphs.len() && m.probability <= 1.0));
        }
    }
}
