//! A given text against the frames of a look.
//!
//! States alternate between blanks and characters: blank, first character, blank,
//! second character, …, blank. State `2i + 1` is character `i`.

use super::Look;

/// Stands for a probability of nothing.
const FLOOR: f32 = 1e-7;

/// Stands for the logarithm of a probability too small to compute, such as that of a
/// text with more characters than there are frames.
const IMPOSSIBLE: f32 = -1e4;

fn class_of(text: &[usize], state: usize) -> usize {
    if state % 2 == 1 { text[state / 2] } else { 0 }
}

/// Whether a path may enter `state` from two states before, leaving out a blank.
fn may_skip(text: &[usize], state: usize) -> bool {
    state % 2 == 1 && state >= 3 && text[state / 2] != text[state / 2 - 1]
}

fn ln(p: f32) -> f32 {
    p.max(FLOOR).ln()
}

/// Logarithm of the probability that `look` shows `text` (forward algorithm, scaled in
/// each frame so that long lines do not underflow).
pub(super) fn log_probability(look: &Look, text: &[usize]) -> f32 {
    let states = 2 * text.len() + 1;
    let mut now = vec![0.0_f32; states];
    let mut sum_ln = 0.0;
    for t in 0..look.time() {
        let mut sum = 0.0;
        for s in (0..states).rev() {
            let mut from = now[s];
            if t == 0 {
                from = if s < 2 { 1.0 } else { 0.0 };
            } else if s >= 1 {
                from += now[s - 1];
                if may_skip(text, s) {
                    from += now[s - 2];
                }
            }
            now[s] = from * look.probability(t, class_of(text, s)).max(FLOOR);
            sum += now[s];
        }
        if sum <= f32::MIN_POSITIVE {
            return IMPOSSIBLE;
        }
        sum_ln += sum.ln();
        for p in &mut now {
            *p /= sum;
        }
    }
    let end = if states == 1 {
        now[0]
    } else {
        now[states - 1] + now[states - 2]
    };
    if end <= f32::MIN_POSITIVE {
        IMPOSSIBLE
    } else {
        sum_ln + end.ln()
    }
}

/// The character (its index in `text`) that each frame belongs to on the most
/// probable path; `None` where the path is blank.
pub(super) fn path(look: &Look, text: &[usize]) -> Vec<Option<usize>> {
    let states = 2 * text.len() + 1;
    let time = look.time();
    let mut steps = vec![0_u8; time * states];
    let mut now = vec![f32::NEG_INFINITY; states];
    for t in 0..time {
        for s in (0..states).rev() {
            let (mut from, mut step) = if t == 0 {
                (if s < 2 { 0.0 } else { f32::NEG_INFINITY }, 0)
            } else {
                (now[s], 0)
            };
            if t > 0 && s >= 1 && now[s - 1] > from {
                (from, step) = (now[s - 1], 1);
            }
            if t > 0 && may_skip(text, s) && now[s - 2] > from {
                (from, step) = (now[s - 2], 2);
            }
            now[s] = from + ln(look.probability(t, class_of(text, s)));
            steps[t * states + s] = step;
        }
    }
    let mut state = states - 1;
    if states > 1 && now[states - 2] > now[states - 1] {
        state -= 1;
    }
    let mut path = vec![None; time];
    for t in (0..time).rev() {
        path[t] = (state % 2 == 1).then_some(state / 2);
        state -= usize::from(steps[t * states + state]);
    }
    path
}

/// The frame of character `i` (of class `class`) in which it is surest; `None` when
/// the look has too few frames for the text.
pub(super) fn peak(look: &Look, path: &[Option<usize>], i: usize, class: usize) -> Option<usize> {
    let frames = (0..path.len()).filter(|&t| path[t] == Some(i));
    frames.max_by(|&a, &b| {
        look.probability(a, class)
            .total_cmp(&look.probability(b, class))
            .then(b.cmp(&a))
    })
}
