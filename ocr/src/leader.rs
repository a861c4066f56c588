//! Rows of dots that lead from a caption to its value: both are one line.
//!
//! The detector finds caption and value and nothing between them. Where a leader stands there, the
//! pieces are put together again, so that the line is read whole and the dots are not taken for
//! characters of either.

use crate::geometry::{Frame, Lie, Quad, bounds, middle, thickness};
use crate::ink::brightness;
use crate::median::median;
use crate::runs::runs;
use crate::sample::Pyramid;

/// Rows of pixels in which the gap is looked at: dots are two or three of them high.
const HEIGHT: u32 = 24;
/// Fewest dots of a leader.
const LEAST_DOTS: usize = 5;
/// Pieces differ in height by less than this factor, and in level by less than this share of it.
const LIKE: f32 = 1.5;
const LEVEL: f32 = 0.4;
/// A gap is at least this many heights wide; narrower ones hold no leader.
const LEAST_GAP: f32 = 0.6;
/// Steps of 255 by which a dot differs from its ground at least.
const DOT: f32 = 14.0;
/// Dots are no wider than this many pixels of the strip.
const WIDEST: usize = 8;
/// Share of the distances between dots that are like the usual one, within [`REGULAR`] of it.
const MOST: f32 = 0.7;
const REGULAR: f32 = 0.4;
/// Share of the gap that the dots fill at least.
const FILLED: f32 = 0.6;
/// Share of the columns in which something stands above the dots at most.
const ABOVE: f32 = 0.15;

/// Lines in reading order, with their plates, those put together that a leader connects.
pub(crate) fn joined(
    pyramid: &Pyramid,
    quads: &[Quad],
    plates: &[usize],
    lie: Lie,
) -> (Vec<Quad>, Vec<usize>) {
    let frame = Frame::new([0.0, 0.0], lie, 1.0);
    let mut out: (Vec<Quad>, Vec<usize>) = (Vec::new(), Vec::new());
    for (quad, plate) in quads.iter().zip(plates) {
        if let (Some(left), Some(own)) = (out.0.last_mut(), out.1.last())
            && own == plate
            && let Some(gap) = gap(left, quad, frame)
            && is_leader(pyramid, &gap)
        {
            *left = [left[0], quad[1], quad[2], left[3]];
            continue;
        }
        out.0.push(*quad);
        out.1.push(*plate);
    }
    out
}

/// The place between two pieces of one row.
fn gap(left: &Quad, right: &Quad, frame: Frame) -> Option<Quad> {
    let (a, b) = (thickness(left), thickness(right));
    let low = a.min(b);
    let end = frame.onto_frame(middle(left[1], left[2]));
    let start = frame.onto_frame(middle(right[0], right[3]));
    let wide = start[0] - end[0];
    let fits = a.max(b) < LIKE * low && wide > LEAST_GAP * low;
    let [_, top, _, bottom] = bounds(&[end, start]);
    (fits && bottom - top < LEVEL * low + 0.1 * wide)
        .then_some([left[1], right[0], right[3], left[2]])
}

/// Whether evenly spaced dots fill the lower half of `gap` and nothing stands above them.
fn is_leader(pyramid: &Pyramid, gap: &Quad) -> bool {
    let wide = crate::geometry::length(gap) / thickness(gap).max(1.0);
    let width = (wide * HEIGHT as f32).ceil().max(1.0) as u32;
    let picture = pyramid.line(gap, width, HEIGHT);
    let tone = |x: u32, y: u32| brightness(picture.get_pixel(x, y).0.map(f32::from));
    let mut all: Vec<f32> = (0..HEIGHT)
        .flat_map(|y| (0..width).map(move |x| (x, y)))
        .map(|(x, y)| tone(x, y))
        .collect();
    let half = all.len() / 2;
    let ground = *all.select_nth_unstable_by(half, f32::total_cmp).1;
    // How far each column stands out, darker and brighter, in the upper and the lower part.
    let standing = |x: u32, rows: std::ops::Range<u32>, sign: f32| {
        rows.map(|y| sign * (tone(x, y) - ground))
            .fold(0.0, f32::max)
    };
    let (upper, lower) = (2..HEIGHT * 2 / 5, HEIGHT / 2..HEIGHT - 2);
    [-1.0, 1.0].into_iter().any(|sign| {
        let low: Vec<f32> = (0..width)
            .map(|x| standing(x, lower.clone(), sign))
            .collect();
        let mut peaks = low.clone();
        peaks.sort_unstable_by(f32::total_cmp);
        let strongest = peaks[(peaks.len() * 9 / 10).min(peaks.len() - 1)];
        let dot = DOT.max(0.5 * strongest);
        let above = (0..width)
            .filter(|&x| standing(x, upper.clone(), sign) > dot)
            .count();
        above as f32 <= ABOVE * width as f32 && are_even(&low, dot)
    })
}

/// Whether the runs above `dot` are small, evenly spaced and fill the row.
fn are_even(row: &[f32], dot: f32) -> bool {
    let dots = runs(row.len(), |x| row[x] > dot);
    if dots.iter().any(|run| run.len() > WIDEST) {
        return false;
    }
    let centres: Vec<f32> = dots
        .iter()
        .map(|run| f32::midpoint(run.start as f32, run.end as f32))
        .collect();
    if centres.len() < LEAST_DOTS {
        return false;
    }
    let mut steps: Vec<f32> = centres.windows(2).map(|p| p[1] - p[0]).collect();
    let Some(usual) = median(&mut steps) else {
        return false;
    };
    let even = steps
        .iter()
        .filter(|s| (*s - usual).abs() <= REGULAR * usual);
    even.count() as f32 >= MOST * steps.len() as f32
        && centres.len() as f32 * usual >= FILLED * row.len() as f32
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{Rgb, RgbImage};

    fn piece(x: f32, w: f32) -> Quad {
        [[x, 40.0], [x + w, 40.0], [x + w, 64.0], [x, 64.0]]
    }

    /// Two pieces with dots `step` pixels apart between them, and a bar above where `bar`.
    fn pieces(step: u32, bar: bool) -> usize {
        let mut picture = RgbImage::from_pixel(400, 100, Rgb([190; 3]));
        for x in (104..292)
            .filter(|_| step > 0)
            .step_by(step.max(1) as usize)
        {
            for (dx, dy) in (0..3).flat_map(|dy| (0..3).map(move |dx| (dx, dy))) {
                picture.put_pixel(x + dx, 55 + dy, Rgb([40; 3]));
            }
        }
        if bar {
            for (x, y) in (44..50).flat_map(|y| (120..280).map(move |x| (x, y))) {
                picture.put_pixel(x, y, Rgb([40; 3]));
            }
        }
        let quads = [piece(20.0, 80.0), piece(300.0, 60.0)];
        joined(&Pyramid::new(&picture), &quads, &[0, 0], Lie::default())
            .0
            .len()
    }

    #[test]
    fn a_leader_joins_and_anything_else_does_not() {
        assert_eq!(pieces(8, false), 1);
        assert_eq!(pieces(0, false), 2);
        assert_eq!(pieces(60, false), 2);
        assert_eq!(pieces(8, true), 2);
    }

    #[test]
    fn pieces_of_different_plates_or_rows_stay_apart() {
        let picture = RgbImage::from_fn(400, 200, |x, y| {
            let dot = x > 100 && x < 296 && x % 8 < 3 && (55..58).contains(&y);
            Rgb(if dot { [40; 3] } else { [190; 3] })
        });
        let pyramid = Pyramid::new(&picture);
        let quads = [piece(20.0, 80.0), piece(300.0, 60.0)];
        assert_eq!(joined(&pyramid, &quads, &[0, 0], Lie::default()).0.len(), 1);
        assert_eq!(joined(&pyramid, &quads, &[0, 1], Lie::default()).0.len(), 2);
        let lower = piece(300.0, 60.0).map(|[x, y]| [x, y + 60.0]);
        assert_eq!(
            joined(&pyramid, &[quads[0], lower], &[0, 0], Lie::default())
                .0
                .len(),
            2
        );
    }
}
