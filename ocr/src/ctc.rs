//! Frame probabilities → characters (connectionist temporal classification).

use crate::line::{Glyph, Missed};

/// Alternatives less probable than this are noise of the softmax.
const LEAST: f32 = 0.001;
/// A character seen in a frame taken for empty is worth telling from here on.
const LEAST_MISSED: f32 = 0.05;

/// The characters in `frames`, and those that may have been overlooked.
///
/// **Shape** `frames` is `[time, classes]`, row-major; class 0 is the blank, class
/// `i` is `alphabet[i - 1]`. `used` (0 to 1] is the share of the frames that the
/// line's picture fills; places are given relative to it.
///
/// Best path: the most probable class of each frame, repeats merged, blanks dropped.
/// A character's probability and its alternatives are those of the frame in which it
/// is surest; its neighbours' strokes play the least part there.
pub(crate) fn decode(frames: &[f32], alphabet: &[char], used: f32) -> (Vec<Glyph>, Vec<Missed>) {
    let classes = alphabet.len() + 1;
    let time = frames.len() / classes;
    let at = |t: usize| &frames[t * classes..(t + 1) * classes];
    let place = |t: f32| ((t + 0.5) / (time as f32 * used)).clamp(0.0, 1.0);
    let best: Vec<usize> = (0..time).map(|t| strongest(at(t)).0).collect();
    let mut glyphs = Vec::new();
    let mut missed: Vec<Missed> = Vec::new();
    let mut t = 0;
    while t < time {
        let class = best[t];
        let start = t;
        while t < time && best[t] == class {
            t += 1;
        }
        if class > 0 {
            let peak = (start..t).fold(
                start,
                |p, u| if at(u)[class] > at(p)[class] { u } else { p },
            );
            glyphs.push(Glyph {
                ch: alphabet[class - 1],
                probability: at(peak)[class],
                also: alternatives(at(peak), class, alphabet),
                x: place((start + t - 1) as f32 / 2.0),
            });
            continue;
        }
        // An empty stretch: is there a character that almost stood in it? The
        // neighbours' own classes next to them are only their tails.
        let before = (start > 0).then(|| best[start - 1]);
        let after = best.get(t).copied();
        let mut found: Option<(f32, usize, usize)> = None;
        for u in start..t {
            let (class, p) = strongest_but_blank(at(u));
            let tail = (Some(class) == before && u - start <= t - 1 - u)
                || (Some(class) == after && t - 1 - u <= u - start);
            if p >= LEAST_MISSED && !tail && found.is_none_or(|(q, _, _)| p > q) {
                found = Some((p, class, u));
            }
        }
        if let Some((probability, class, u)) = found {
            missed.push(Missed {
                before: glyphs.len(),
                ch: alphabet[class - 1],
                probability,
                x: place(u as f32),
            });
        }
    }
    (glyphs, missed)
}

fn strongest(frame: &[f32]) -> (usize, f32) {
    frame
        .iter()
        .enumerate()
        .fold((0, f32::MIN), |m, (i, &p)| if p > m.1 { (i, p) } else { m })
}

fn strongest_but_blank(frame: &[f32]) -> (usize, f32) {
    let (i, p) = strongest(&frame[1..]);
    (i + 1, p)
}

fn alternatives(frame: &[f32], class: usize, alphabet: &[char]) -> Vec<(Option<char>, f32)> {
    let mut also: Vec<(Option<char>, f32)> = frame
        .iter()
        .enumerate()
        .filter(|&(i, &p)| i != class && p >= LEAST)
        .map(|(i, &p)| (i.checked_sub(1).map(|i| alphabet[i]), p))
        .collect();
    also.sort_by(|a, b| b.1.total_cmp(&a.1));
    also.truncate(8);
    also
}
