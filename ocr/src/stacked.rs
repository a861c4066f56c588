//! Short places that hold two rows, such as a mark over its number.
//!
//! The detector tells close rows apart where they are long; two short ones of different size it takes for one
//! place, and a recogniser of lines then says something likely instead of what is written.

use crate::geometry::{Quad, across, length, thickness};
use crate::ink::brightness;
use crate::median::median;
use crate::runs::runs;
use crate::sample::Pyramid;

/// Longer places, in heights, hold one row.
const SHORT: f32 = 2.2;
/// Rows of pixels in which a place is looked at.
const HEIGHT: usize = 48;
/// Share of the place's contrast that a row of letters has at least.
const INK: f32 = 0.55;
/// Share that what lies between two rows has at most.
const BLANK: f32 = 0.4;
/// Pixels between the rows. Dots of needles leave less, and leave it many times.
const BETWEEN: usize = 3;
/// Pixels of the lower of two rows.
const LEAST: usize = 9;

/// `quads`, those parted that hold two rows; the upper one comes first.
pub(crate) fn parted(pyramid: &Pyramid, quads: &[Quad]) -> Vec<Quad> {
    let mut out = Vec::with_capacity(quads.len());
    for quad in quads {
        match cut(pyramid, quad) {
            Some(v) => out.extend([across(quad, 0.0, v), across(quad, v, 1.0)]),
            None => out.push(*quad),
        }
    }
    out
}

/// The share of the height at which the two rows of a place part.
fn cut(pyramid: &Pyramid, quad: &Quad) -> Option<f32> {
    let heights = length(quad) / thickness(quad).max(1.0);
    if heights > SHORT {
        return None;
    }
    let width = ((heights * HEIGHT as f32) as u32).max(8);
    let picture = pyramid.line(quad, width, HEIGHT as u32);
    let mut tones: Vec<Vec<f32>> = picture
        .rows()
        .map(|row| row.map(|p| brightness(p.0.map(f32::from))).collect())
        .collect();
    let contrasts: Vec<f32> = tones.iter_mut().map(|row| contrast(row)).collect();
    let whole = contrast(&mut tones.concat());
    let written = runs(HEIGHT, |y| contrasts[y] > BLANK * whole);
    let [upper, lower] = <[_; 2]>::try_from(written).ok()?;
    let is_row = |row: &std::ops::Range<usize>| {
        row.len() >= LEAST
            && median(&mut contrasts[row.clone()].to_vec()).is_some_and(|c| c >= INK * whole)
    };
    let apart = lower.start - upper.end >= BETWEEN;
    (apart && is_row(&upper) && is_row(&lower))
        .then(|| f32::midpoint(upper.end as f32, lower.start as f32) / HEIGHT as f32)
}

/// By how much letters differ from their ground, without what is seldom.
fn contrast(tones: &mut [f32]) -> f32 {
    tones.sort_unstable_by(f32::total_cmp);
    let share = |share: f32| tones[(share * (tones.len() - 1) as f32) as usize];
    share(0.95) - share(0.05)
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{Rgb, RgbImage};

    /// Bars of letters from one row of pixels to another, between columns 110 and 190.
    fn letters(picture: &mut RgbImage, rows: std::ops::Range<u32>) {
        for y in rows {
            for x in (110..190).filter(|x| x % 12 < 5) {
                picture.put_pixel(x, y, Rgb([50; 3]));
            }
        }
    }

    fn heights(rows: &[std::ops::Range<u32>], right: f32) -> Vec<[f32; 2]> {
        let mut picture = RgbImage::from_pixel(400, 300, Rgb([190; 3]));
        for row in rows {
            letters(&mut picture, row.clone());
        }
        let quad = [
            [100.0, 100.0],
            [right, 100.0],
            [right, 180.0],
            [100.0, 180.0],
        ];
        parted(&Pyramid::new(&picture), &[quad])
            .iter()
            .map(|q| [q[0][1], q[3][1]])
            .collect()
    }

    #[test]
    fn a_mark_over_its_number_is_two_rows() {
        let found = heights(&[104..146, 156..176], 200.0);
        let [[top, between], [same, bottom]] = found[..] else {
            panic!("{found:?}");
        };
        assert!((top - 100.0).abs() < 0.5 && (bottom - 180.0).abs() < 0.5);
        assert!(
            (between - 151.0).abs() < 2.0 && (between - same).abs() < 0.5,
            "{found:?}"
        );
    }

    #[test]
    fn one_row_dots_and_long_places_stay_whole() {
        let one = std::slice::from_ref(&(104..176));
        assert_eq!(heights(one, 200.0).len(), 1);
        assert_eq!(heights(&[104..146, 156..176], 300.0).len(), 1);
        // Rows of dots, and an accent over a letter.
        let dots: Vec<_> = (0..8).map(|i| 104 + 9 * i..109 + 9 * i).collect();
        assert_eq!(heights(&dots, 200.0).len(), 1);
        assert_eq!(heights(&[104..112, 120..176], 200.0).len(), 1);
        assert_eq!(heights(&[], 200.0).len(), 1);
    }
}
