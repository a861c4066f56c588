//! Whole lines that should be there and are not.
//!
//! Where there is room for a line between two others, and the surface there is not the plate's own, a
//! line may lie under paint, a label or filler. So may the beginning of a line that stands further right than
//! its neighbours: the few letters that are seen may lie in the shade, and then its own surface tells nothing.
//! Glare does not choose where it falls: it hides a line
//! only where the lines stand at a regular pitch and one is left out. On the plate's own surface a line
//! that is left out is a gap.

use super::strip::{STEP, Strip, UNIT};
use super::surface::{OTHER_COLOUR, Surface, outside};
use crate::geometry::{Lie, Quad};
use crate::line::{Cover, Hidden, TextLine};
use crate::rooms::{beginnings, rooms};
use crate::runs::runs;
use crate::sample::Pyramid;
use std::cmp::Reverse;

/// Where lines stand irregularly, a cover differs from the plate by so many times what is needed
/// elsewhere.
const CLEARLY: f32 = 1.5;
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
    let mut found = Vec::new();
    let mut all = rooms(lines, lie, taken);
    all.extend(beginnings(lines, lie, taken));
    all.sort_by_key(|room| room.before);
    for room in all {
        let [upper, lower] = room.neighbours.map(|i| &lines[i]);
        if let Some(hidden) = covered(pyramid, &room.quad, [upper, lower], room.regular) {
            let whole = TextLine {
                quad: room.quad,
                hidden: vec![hidden],
                plate: upper.plate,
                ..TextLine::default()
            };
            found.push((room.before, whole));
        }
    }
    found
}

/// What lies over the place of a line, judged by the surface of its neighbours; `regular` where a line
/// is left out there.
fn covered(
    pyramid: &Pyramid,
    quad: &Quad,
    neighbours: [&TextLine; 2],
    regular: bool,
) -> Option<Hidden> {
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
    // The unevenness of a surface with bold letters is one of brightness: paint of another hue stands out.
    let tints: Vec<[f32; 3]> = ground.iter().copied().map(tint).collect();
    let cover = strip.stretches[from..to].iter();
    let tinted = cover.map(|s| outside(&tints, tint(s.colour)));
    let is_clear =
        strangest >= CLEARLY * other || tinted.fold(0.0, f32::max) >= CLEARLY * OTHER_COLOUR;
    if !regular && (glare || !is_clear) {
        return None;
    }
    Some(Hidden {
        before: 0,
        fits: letters.round() as usize,
        why: if glare { Cover::Glare } else { Cover::Patch },
        quad: strip.quad(inner_left, inner_right),
    })
}

/// How far red and blue stand above green.
fn tint([r, g, b]: [f32; 3]) -> [f32; 3] {
    [r - g, b - g, 0.0]
}
