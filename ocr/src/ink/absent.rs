//! Whole lines that should be there and are not.
//!
//! The lines of a plate stand at a regular pitch. Where one is left out between two others, and the
//! surface there is not the plate's own, a line may lie under paint, a label or filler. On the plate's
//! own surface a line that is left out is a gap.

use super::strip::{STEP, Strip, UNIT};
use super::surface::{Surface, outside};
use crate::geometry::{Frame, Lie, Quad, bounds};
use crate::line::{Cover, Hidden, TextLine};
use crate::runs::runs;
use crate::sample::Pyramid;
use std::cmp::Reverse;

/// Lines of one pitch differ in height by less than this factor.
const LIKE: f32 = 1.5;
/// Two lines stand in one column where they overlap by this share of the shorter one.
const OVERLAP: f32 = 0.5;
/// A distance is a multiple of the pitch up to this share of it.
const REGULAR: f32 = 0.25;
/// Lines that may be missing between two others.
const MOST: f32 = 2.0;
/// A cover hides at least this many letters. Marks and fasteners are smaller.
const LETTERS: f32 = 4.0;
/// Heights of a line beyond its ends at which a band or the surface behind the plate still goes on.
const BEYOND: f32 = 1.2;
/// Of the step at the edge of a cover this share lies between stretches that touch: shade changes
/// more slowly.
const EDGE: f32 = 0.55;

/// The lines that may be hidden, each with the index of the line that it stands before.
pub(super) fn absent(
    pyramid: &Pyramid,
    lines: &[TextLine],
    lie: Lie,
    taken: &[Quad],
) -> Vec<(usize, TextLine)> {
    let frame = Frame::new([0.0, 0.0], lie, 1.0);
    let boxes: Vec<[f32; 4]> = lines
        .iter()
        .map(|l| bounds(&l.quad.map(|p| frame.onto_frame(p))))
        .collect();
    let taken: Vec<[f32; 4]> = taken
        .iter()
        .map(|q| bounds(&q.map(|p| frame.onto_frame(p))))
        .collect();
    let pairs: Vec<(usize, usize)> = (0..lines.len())
        .filter_map(|upper| Some((upper, below(&boxes, upper)?)))
        .filter(|(a, b)| lines[*a].plate == lines[*b].plate)
        .collect();
    let middle = |b: &[f32; 4]| f32::midpoint(b[1], b[3]);
    let mut pitches: Vec<f32> = pairs
        .iter()
        .map(|(a, b)| middle(&boxes[*b]) - middle(&boxes[*a]))
        .collect();
    pitches.sort_by(f32::total_cmp);
    // A pitch needs more than two distances to be regular.
    let Some(&pitch) = pitches.get(pitches.len() / 2).filter(|_| pitches.len() > 2) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for (upper, lower) in pairs {
        let (a, b) = (boxes[upper], boxes[lower]);
        let steps = (middle(&b) - middle(&a)) / pitch;
        let missing = steps.round() - 1.0;
        if !(1.0..=MOST).contains(&missing) || (steps - steps.round()).abs() > REGULAR {
            continue;
        }
        for number in 1..=missing as usize {
            let t = number as f32 / (missing + 1.0);
            let mix = |i: usize| a[i] * (1.0 - t) + b[i] * t;
            let place = [a[0].min(b[0]), mix(1), a[2].max(b[2]), mix(3)];
            if boxes.iter().chain(&taken).any(|other| meet(other, &place)) {
                continue;
            }
            let [x0, y0, x1, y1] = place;
            let quad = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]].map(|p| frame.to_picture(p));
            let neighbours = [&lines[upper], &lines[lower]];
            if let Some(hidden) = covered(pyramid, &quad, neighbours) {
                let whole = TextLine {
                    quad,
                    hidden: vec![hidden],
                    plate: lines[upper].plate,
                    ..TextLine::default()
                };
                found.push((upper + 1, whole));
            }
        }
    }
    found
}

/// The next line below in the same column.
fn below(boxes: &[[f32; 4]], upper: usize) -> Option<usize> {
    let a = boxes[upper];
    let height = a[3] - a[1];
    (0..boxes.len())
        .filter(|&i| {
            let b = boxes[i];
            let own = b[3] - b[1];
            let overlap = a[2].min(b[2]) - a[0].max(b[0]);
            b[1] + b[3] > a[1] + a[3] + height
                && own.max(height) < LIKE * own.min(height)
                && overlap > OVERLAP * (a[2] - a[0]).min(b[2] - b[0])
        })
        .min_by(|&i, &j| boxes[i][1].total_cmp(&boxes[j][1]))
}

/// True where two boxes share more than a touch.
fn meet(a: &[f32; 4], b: &[f32; 4]) -> bool {
    let slack = 0.2 * (a[3] - a[1]).min(b[3] - b[1]);
    a[0] + slack < b[2] && b[0] + slack < a[2] && a[1] + slack < b[3] && b[1] + slack < a[3]
}

/// What lies over the place of a line, judged by the surface of its neighbours.
fn covered(pyramid: &Pyramid, quad: &Quad, neighbours: [&TextLine; 2]) -> Option<Hidden> {
    let surfaces = neighbours.map(|line| Surface::new(pyramid, line));
    let [Some(upper), Some(lower)] = &surfaces else {
        return None;
    };
    let ground: Vec<[f32; 3]> = [upper.ground(), lower.ground()].concat();
    let other = upper.other().max(lower.other());
    let strip = Strip::new(pyramid, quad);
    let strange: Vec<f32> = strip
        .stretches
        .iter()
        .map(|s| {
            if s.inside {
                outside(&ground, s.colour)
            } else {
                0.0
            }
        })
        .collect();
    let foreign = |k: usize| strange[k] > other;
    // The first of the longest ones.
    let longest = runs(strange.len(), foreign)
        .into_iter()
        .min_by_key(|run| Reverse(run.len()))?;
    let (from, to) = (longest.start, longest.end);
    let reach = BEYOND * UNIT / strip.pixels(1.0);
    let (left, right) = (strip.place(from), strip.place(to - 1));
    if left < -reach && right > 1.0 + reach {
        // A coloured band, or the plate ends here.
        return None;
    }
    let pitch = upper.pitch_in_heights().max(lower.pitch_in_heights()) * UNIT;
    let (inner_left, inner_right) = (left.max(0.0), right.min(1.0));
    let letters = (strip.pixels((inner_right - inner_left).max(0.0)) + STEP as f32) / pitch;
    if letters < LETTERS {
        return None;
    }
    let strangest = strange[from..to].iter().copied().fold(0.0, f32::max);
    let edge = (from.saturating_sub(3)..(to + 2).min(strange.len().saturating_sub(2)))
        .map(|k| (strange[k + 2] - strange[k]).abs())
        .fold(0.0, f32::max);
    let white = strip.stretches[from..to].iter().filter(|s| s.white > 0.6);
    let glare = 2 * white.count() > to - from;
    if !glare && edge < EDGE * strangest {
        return None;
    }
    Some(Hidden {
        before: 0,
        fits: letters.round() as usize,
        why: if glare { Cover::Glare } else { Cover::Patch },
        quad: strip.quad(inner_left, inner_right),
    })
}
