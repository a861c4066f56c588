//! The mark of an identification link: a line around the code, and one of its corners filled.
//!
//! From memory of IEC 61406-1 (and DIN SPEC 91406 before it): a frame at a quiet zone's distance
//! surrounds the symbol, with a filled triangle in one corner, the lower right one as printed. The
//! standard itself has not been compared; sizes are therefore taken widely.

use image::GrayImage;

use crate::geometry::{Point, Quad, at, distance};

/// Distances of the frame from the code that are tried, as shares of the code's side.
const NEAREST: f32 = 0.03;
const FARTHEST: f32 = 0.36;
const STEPS: usize = 44;
/// Samples along one side of the frame.
const ALONG: usize = 24;
/// Share of a side's samples that must be ink for a line to stand there.
const LINE: f32 = 0.8;
/// Pixels by which a side of the frame may lie nearer or farther than the others.
const OFF: [f32; 5] = [0.0, -1.0, 1.0, -2.0, 2.0];
/// Share of a corner's samples that must be ink for it to be filled.
const FULL: f32 = 0.75;

/// True where the code at `corners` (clockwise) stands in a frame of which exactly one corner is
/// filled. `inverted`: its ink is light.
pub(super) fn is_marked(picture: &GrayImage, corners: &Quad, inverted: bool) -> bool {
    let side = (0..4)
        .map(|i| distance(corners[i], corners[(i + 1) % 4]))
        .fold(f32::INFINITY, f32::min);
    let Some(threshold) = threshold(picture, corners) else {
        return false;
    };
    let is_ink = |p: Point| -> bool {
        let (x, y) = (p[0].floor(), p[1].floor());
        let inside =
            x >= 0.0 && y >= 0.0 && x < picture.width() as f32 && y < picture.height() as f32;
        inside && ((picture.get_pixel(x as u32, y as u32).0[0] < threshold) != inverted)
    };
    let is_line = |far: f32, i: usize| {
        let frame = moved(corners, far);
        let (a, b) = (frame[i], frame[(i + 1) % 4]);
        let ink = (0..ALONG)
            .filter(|&k| {
                let t = (k as f32 + 0.5) / ALONG as f32;
                is_ink([0, 1].map(|axis| a[axis] * (1.0 - t) + b[axis] * t))
            })
            .count();
        ink as f32 >= LINE * ALONG as f32
    };
    // All four sides at the same distance, since the frame is drawn with the code. The code's
    // corners are exact to a pixel or two, and a line may be thinner than that.
    let is_frame = |far: f32| (0..4).all(|i| OFF.iter().any(|off| is_line(far * side + off, i)));
    let step = (FARTHEST - NEAREST) / STEPS as f32;
    // The code's own edge is ink too: the frame begins behind a way without any.
    let mut clear = false;
    for k in 0..STEPS {
        let far = NEAREST + k as f32 * step;
        if !is_frame(far) {
            clear = true;
            continue;
        }
        if !clear {
            continue;
        }
        let frame = moved(corners, far * side);
        let filled = (0..4)
            .filter(|&i| {
                // Within the triangle between the frame's corner and half-way to the code's.
                let samples = (1..=8).map(|k| {
                    let t = 0.1 + 0.05 * k as f32;
                    [0, 1].map(|axis| frame[i][axis] * (1.0 - t) + corners[i][axis] * t)
                });
                let ink = samples.filter(|p| is_ink(*p)).count();
                ink as f32 >= FULL * 8.0
            })
            .count();
        return filled == 1;
    }
    false
}

/// Half-way between the code's ink and its ground.
fn threshold(picture: &GrayImage, corners: &Quad) -> Option<u8> {
    let mut tones = Vec::new();
    for v in 1..32 {
        for u in 1..32 {
            let (u, v) = (u as f32 / 32.0, v as f32 / 32.0);
            let p = at(corners, u, v);
            if p[0] >= 0.0 && p[1] >= 0.0 {
                let (x, y) = (p[0] as u32, p[1] as u32);
                if x < picture.width() && y < picture.height() {
                    tones.push(picture.get_pixel(x, y).0[0]);
                }
            }
        }
    }
    tones.sort_unstable();
    let low = *tones.get(tones.len() / 10)?;
    let high = *tones.get(tones.len() * 9 / 10)?;
    Some(low.midpoint(high))
}

/// The corners moved outwards, so that each side lies `by` pixels further out.
fn moved(corners: &Quad, by: f32) -> Quad {
    let unit = |a: Point, b: Point| {
        let long = distance(a, b).max(1e-3);
        [(b[0] - a[0]) / long, (b[1] - a[1]) / long]
    };
    [0, 1, 2, 3].map(|i| {
        let from_next = unit(corners[(i + 1) % 4], corners[i]);
        let from_last = unit(corners[(i + 3) % 4], corners[i]);
        [0, 1].map(|axis| corners[i][axis] + by * (from_next[axis] + from_last[axis]))
    })
}
