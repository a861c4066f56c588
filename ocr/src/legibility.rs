//! How well the letters of a line can be seen: their size, their edges, the light.

use crate::geometry::thickness;
use crate::ink::brightness;
use crate::judge::{FlawKind, NEEDED_PX};
use crate::line::{Cover, TextLine};
use crate::median::median;
use crate::recognise::{LINE_HEIGHT, line_width};
use crate::sample::Pyramid;

/// Capitals as a share of the height of the quad around their line: the detector's margin is the
/// rest. Median over the lines of 200 rendered plates.
const CAPITALS: f32 = 0.56;
/// Strokes whose edges are wider than this share of the capitals are blurred.
const BLURRED: f32 = 0.3;
/// A line whose surface is darker than this (of 255) loses its strokes to noise.
const DARK: f32 = 38.0;

/// Marks what makes the lines hard to read.
pub(crate) fn mark(pyramid: &Pyramid, lines: &mut [TextLine]) {
    for line in lines {
        line.flaws = flaws(pyramid, line);
    }
}

fn flaws(pyramid: &Pyramid, line: &TextLine) -> Vec<FlawKind> {
    let mut found = Vec::new();
    let letters_px = CAPITALS * thickness(&line.quad);
    if letters_px < NEEDED_PX {
        found.push(FlawKind::Small {
            letters_px: letters_px.round(),
            needed_px: NEEDED_PX,
        });
    }
    let picture = pyramid.line(&line.quad, line_width(&line.quad), LINE_HEIGHT);
    let (width, height) = picture.dimensions();
    let tones: Vec<f32> = picture
        .pixels()
        .map(|p| brightness(p.0.map(f32::from)))
        .collect();
    let tone = |x: u32, y: u32| tones[(y * width + x) as usize];
    let mut edges: Vec<f32> = Vec::new();
    for glyph in line.glyphs.iter().filter(|g| g.ch != ' ') {
        let middle = (glyph.x * width as f32) as u32;
        let (from, to) = (middle.saturating_sub(12), (middle + 12).min(width));
        let (mut low, mut high, mut steepest) = (255.0_f32, 0.0_f32, 0.0_f32);
        for y in height / 6..height - height / 6 {
            for x in from..to {
                let here = tone(x, y);
                low = low.min(here);
                high = high.max(here);
                if x > from {
                    steepest = steepest.max((here - tone(x - 1, y)).abs());
                }
                steepest = steepest.max((here - tone(x, y - 1)).abs());
            }
        }
        if steepest > 0.0 {
            edges.push((high - low) / steepest);
        }
    }
    let capitals = CAPITALS * LINE_HEIGHT as f32;
    if median(&mut edges).is_some_and(|w| w > BLURRED * capitals) {
        found.push(FlawKind::Blurred);
    }
    if line.hidden.iter().any(|h| h.why == Cover::Glare) {
        found.push(FlawKind::Glare);
    }
    if line.hidden.iter().any(|h| h.why == Cover::Frame) {
        found.push(FlawKind::Cut);
    }
    let mut sorted = tones.clone();
    let middle = sorted.len() / 2;
    if sorted.len() > middle && *sorted.select_nth_unstable_by(middle, f32::total_cmp).1 < DARK {
        found.push(FlawKind::Dark);
    }
    found
}
