//! Texts that differ from another in one place, judged by the frames of a look without going over
//! the whole text again.
//!
//! What stands before the place is explained by the same paths as in the text itself, and so is what
//! stands after it: the forward and the backward algorithm are run once for the text, and each
//! change only joins the two (Graves and others, 2006, section 4.1).

use super::Look;
use super::align::{self, Forward, States};

/// What makes another text of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Change {
    /// The character at `at` is another.
    Another { at: usize, class: usize },
    /// The character at `at` is not there.
    Fewer { at: usize },
    /// Before the character at `at` stands one more.
    More { at: usize, class: usize },
}

impl Change {
    /// What stands in the place then; `None`: nothing.
    pub(super) fn class(self) -> Option<usize> {
        match self {
            Self::Another { class, .. } | Self::More { class, .. } => Some(class),
            Self::Fewer { .. } => None,
        }
    }

    /// `text` with the change.
    pub(super) fn of(self, text: &[usize]) -> Vec<usize> {
        let mut changed = text.to_vec();
        match self {
            Self::Another { at, class } => changed[at] = class,
            Self::Fewer { at } => drop(changed.remove(at)),
            Self::More { at, class } => changed.insert(at, class),
        }
        changed
    }
}

/// A text held against the frames of a look from both ends.
pub(super) struct Held<'a> {
    pub(super) look: &'a Look,
    text: &'a [usize],
    /// The character that each frame belongs to on the most probable path.
    pub(super) path: Vec<Option<usize>>,
    /// Nothing where the text has more characters than the look has frames.
    ends: Option<Ends>,
}

struct Ends {
    forward: Forward,
    /// **Shape** `[time, states + 2]`, row-major: the share of each state among the paths from this
    /// frame on; two empty states close each row.
    backward: Vec<f64>,
    states: usize,
    /// For each frame, what makes of a forward share before it times a backward share from it on a
    /// ratio to the text's probability.
    joint: Vec<f64>,
}

impl<'a> Held<'a> {
    pub(super) fn new(look: &'a Look, text: &'a [usize]) -> Self {
        Self {
            look,
            text,
            path: align::path(look, text),
            ends: Ends::of(look, text),
        }
    }

    /// The frame of character `i` in which it is surest; `None` when the look has too few frames
    /// for the text.
    pub(super) fn peak(&self, i: usize) -> Option<usize> {
        let surely = |t: usize| self.look.probability(t, self.text[i]);
        let frames = (0..self.path.len()).filter(|&t| self.path[t] == Some(i));
        frames.max_by(|&a, &b| surely(a).total_cmp(&surely(b)).then(b.cmp(&a)))
    }

    /// Logarithm of how many times as probable the text is with `change`.
    pub(super) fn gain(&self, change: Change) -> f64 {
        let ratio = self.ends.as_ref().map_or(0.0, |ends| match change {
            Change::Another { at, class } => self.another(ends, at, class),
            Change::Fewer { at } => self.fewer(ends, at),
            Change::More { at, class } => self.more(ends, at, class),
        });
        if ratio.is_normal() {
            return ratio.ln();
        }
        // Far beyond what a number holds: rare enough to go over the text.
        let changed = change.of(self.text);
        align::log_probability(self.look, &changed) - align::log_probability(self.look, self.text)
    }

    /// 1 where a path may go on from `class` without a blank to the character at `at`.
    fn passes(&self, class: usize, at: Option<usize>) -> f64 {
        let other = at.and_then(|at| self.text.get(at));
        f64::from(u8::from(other.is_some_and(|&c| c != class)))
    }

    fn another(&self, ends: &Ends, at: usize, class: usize) -> f64 {
        let state = 2 * at + 1;
        let from = self.passes(class, at.checked_sub(1));
        let to = self.passes(class, Some(at + 1));
        let mut inside = 0.0;
        let mut ratio = 0.0;
        for t in 0..self.look.time() {
            ratio += inside * ends.from(t, state + 1, to);
            inside = (inside + ends.before(t, at, from)) * align::shown(self.look, t, class)
                / ends.forward.scales[t];
        }
        if at + 1 == self.text.len() {
            ratio += inside / ends.forward.end();
        }
        ratio
    }

    fn fewer(&self, ends: &Ends, at: usize) -> f64 {
        let next = self.text.get(at + 1);
        let from = next.map_or(1.0, |&next| self.passes(next, at.checked_sub(1)));
        let time = self.look.time();
        if next.is_none() {
            return ends.before(time, at, from) / ends.forward.end();
        }
        (0..time)
            .map(|t| ends.before(t, at, from) * ends.from(t, 2 * at + 3, 0.0))
            .sum()
    }

    fn more(&self, ends: &Ends, at: usize, class: usize) -> f64 {
        let from = self.passes(class, at.checked_sub(1));
        let to = self.passes(class, Some(at));
        let (mut inside, mut blank) = (0.0, 0.0);
        let mut ratio = 0.0;
        for t in 0..self.look.time() {
            ratio += (blank + to * inside) * ends.from(t, 2 * at + 1, 0.0);
            let scale = ends.forward.scales[t];
            blank = (blank + inside) * align::blank(self.look, t) / scale;
            inside =
                (inside + ends.before(t, at, from)) * align::shown(self.look, t, class) / scale;
        }
        if at == self.text.len() {
            ratio += (blank + inside) / ends.forward.end();
        }
        ratio
    }
}

impl Ends {
    fn of(look: &Look, text: &[usize]) -> Option<Self> {
        let states = States::of(text);
        let forward = Forward::of(look, &states)?;
        let end = forward.end();
        if end <= f64::MIN_POSITIVE {
            return None;
        }
        let (time, count) = (look.time(), states.count());
        let row = count + 2;
        let mut backward = vec![0.0; time * row];
        let mut joint = vec![0.0; time];
        let mut shown = vec![0.0; count];
        // Of the frames before, less that of the text: the logarithm of the joint factor but for
        // what the backward shares were divided by.
        let mut ln = -end.ln();
        for t in (0..time).rev() {
            states.shown(look, t, &mut shown);
            let (rest, after) = backward.split_at_mut((t + 1) * row);
            let now = &mut rest[t * row..t * row + count];
            if t + 1 == time {
                let last = count.saturating_sub(2);
                now[last..].copy_from_slice(&shown[last..]);
            } else {
                for s in 0..count {
                    let skip = if s + 2 < count {
                        states.skip(s + 2)
                    } else {
                        0.0
                    };
                    now[s] = (after[s] + after[s + 1] + skip * after[s + 2]) * shown[s];
                }
            }
            let sum: f64 = now.iter().sum();
            if sum <= f64::MIN_POSITIVE {
                return None;
            }
            for share in now {
                *share /= sum;
            }
            ln += sum.ln() - forward.scales[t].ln();
            joint[t] = ln.exp();
        }
        Some(Self {
            forward,
            backward,
            states: count,
            joint,
        })
    }

    /// The share of the paths that, before frame `t`, stand in the blank before character `at`, or,
    /// `from` times, in the character before that blank.
    fn before(&self, t: usize, at: usize, from: f64) -> f64 {
        let Some(t) = t.checked_sub(1) else {
            // A path may begin with the first character or the blank before it.
            return f64::from(u8::from(at == 0));
        };
        let character = match at {
            0 => 0.0,
            at => self.forward.share(t, 2 * at - 1),
        };
        self.forward.share(t, 2 * at) + from * character
    }

    /// The share of the paths that go on from frame `t` in `state` or, `skip` times, in the state
    /// after it, in proportion to the text's probability.
    fn from(&self, t: usize, state: usize, skip: f64) -> f64 {
        let first = t * (self.states + 2) + state;
        (self.backward[first] + skip * self.backward[first + 1]) * self.joint[t]
    }
}
