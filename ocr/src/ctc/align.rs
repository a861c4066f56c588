//! A given text against the frames of a look.
//!
//! States alternate between blanks and characters: blank, first character, blank,
//! second character, …, blank. State `2i + 1` is character `i`.

use super::Look;

/// Stands for a probability of nothing.
const FLOOR: f32 = 1e-7;

/// Stands for the logarithm of a probability too small to compute, such as that of a
/// text with more characters than there are frames.
const IMPOSSIBLE: f64 = -1e4;

/// Probability in frame `t` of what `number` stands for, never quite nothing.
pub(super) fn shown(look: &Look, t: usize, number: usize) -> f64 {
    f64::from(look.probability(t, number).max(FLOOR))
}

/// Probability in frame `t` of the blank, never quite nothing.
pub(super) fn blank(look: &Look, t: usize) -> f64 {
    f64::from(look.blank(t).max(FLOOR))
}

/// What stands in each state of a text, and which states a path may enter from two states
/// before, leaving out a blank.
pub(super) struct States<'a> {
    text: &'a [usize],
    skips: Vec<f64>,
}

impl<'a> States<'a> {
    pub(super) fn of(text: &'a [usize]) -> Self {
        let may = |s: usize| s % 2 == 1 && s >= 3 && text[s / 2] != text[s / 2 - 1];
        let skips = (0..=2 * text.len()).map(|s| f64::from(u8::from(may(s))));
        Self {
            text,
            skips: skips.collect(),
        }
    }

    pub(super) fn count(&self) -> usize {
        self.skips.len()
    }

    /// 1 where a path may enter state `s` from two states before, else 0.
    pub(super) fn skip(&self, s: usize) -> f64 {
        self.skips[s]
    }

    /// Fills `shown` with the probabilities of the states in frame `t`.
    pub(super) fn shown(&self, look: &Look, t: usize, shown: &mut [f64]) {
        shown.fill(blank(look, t));
        for (i, &number) in self.text.iter().enumerate() {
            shown[2 * i + 1] = self::shown(look, t, number);
        }
    }
}

/// The forward algorithm over all frames, scaled in each so that long lines do not underflow.
pub(super) struct Forward {
    /// **Shape** `[time, 2 + states]`, row-major: the share of each state among the paths up to
    /// this frame; two empty states lead each row.
    shares: Vec<f64>,
    /// What each frame's shares were divided by.
    pub(super) scales: Vec<f64>,
    states: usize,
}

impl Forward {
    /// Nothing where no path leads through all frames.
    pub(super) fn of(look: &Look, states: &States<'_>) -> Option<Self> {
        let (time, count) = (look.time(), states.count());
        let row = count + 2;
        let mut shares = vec![0.0; time * row];
        let mut scales = Vec::with_capacity(time);
        let mut shown = vec![0.0; count];
        for t in 0..time {
            states.shown(look, t, &mut shown);
            let (past, rest) = shares.split_at_mut(t * row);
            let now = &mut rest[2..row];
            if t == 0 {
                let first = count.min(2);
                now[..first].copy_from_slice(&shown[..first]);
            } else {
                let past = &past[(t - 1) * row..];
                for s in 0..count {
                    let from = past[s + 2] + past[s + 1] + states.skips[s] * past[s];
                    now[s] = from * shown[s];
                }
            }
            let sum: f64 = now.iter().sum();
            if sum <= f64::MIN_POSITIVE {
                return None;
            }
            for share in now {
                *share /= sum;
            }
            scales.push(sum);
        }
        Some(Self {
            shares,
            scales,
            states: count,
        })
    }

    /// The share of state `s` after frame `t`.
    pub(super) fn share(&self, t: usize, s: usize) -> f64 {
        self.shares[t * (self.states + 2) + s + 2]
    }

    /// The share of the paths that end where the text ends.
    pub(super) fn end(&self) -> f64 {
        let Some(last) = self.scales.len().checked_sub(1) else {
            return 0.0;
        };
        // Of an empty text the state before is one of the two that lead the row.
        self.shares[(last + 1) * (self.states + 2) - 2..]
            .iter()
            .sum()
    }

    /// Logarithm of the text's probability.
    fn log_probability(&self) -> f64 {
        let end = self.end();
        if end <= f64::MIN_POSITIVE {
            return IMPOSSIBLE;
        }
        self.scales.iter().map(|s| s.ln()).sum::<f64>() + end.ln()
    }
}

/// Logarithm of the probability that `look` shows `text`.
pub(super) fn log_probability(look: &Look, text: &[usize]) -> f64 {
    Forward::of(look, &States::of(text)).map_or(IMPOSSIBLE, |f| f.log_probability())
}

/// The character (its index in `text`) that each frame belongs to on the most
/// probable path; `None` where the path is blank.
pub(super) fn path(look: &Look, text: &[usize]) -> Vec<Option<usize>> {
    let states = States::of(text);
    let (time, count) = (look.time(), states.count());
    let mut steps = vec![0_u8; time * count];
    // Two empty states lead, so that every state has two before it.
    let (mut past, mut now) = (vec![0.0; count + 2], vec![0.0; count + 2]);
    let mut shown = vec![0.0; count];
    for t in 0..time {
        states.shown(look, t, &mut shown);
        let mut most = 0.0_f64;
        for s in 0..count {
            let (mut from, mut step) = if t == 0 {
                (f64::from(u8::from(s < 2)), 0)
            } else {
                (past[s + 2], 0)
            };
            if past[s + 1] > from {
                (from, step) = (past[s + 1], 1);
            }
            if past[s] * states.skips[s] > from {
                (from, step) = (past[s], 2);
            }
            now[s + 2] = from * shown[s];
            most = most.max(now[s + 2]);
            steps[t * count + s] = step;
        }
        // Only proportions matter; without this, long lines would underflow.
        for p in &mut now {
            *p /= most;
        }
        std::mem::swap(&mut past, &mut now);
    }
    let mut state = count - 1;
    if count > 1 && past[count] > past[count + 1] {
        state -= 1;
    }
    let mut path = vec![None; time];
    for t in (0..time).rev() {
        path[t] = (state % 2 == 1).then_some(state / 2);
        state -= usize::from(steps[t * count + state]);
    }
    path
}
