//! Ruled lines between columns, across which the detector finds lines and neighbours look like pieces.
//!
//! No letter is as long as a ruled line: it goes on above or below the line of text, without a break
//! and with nothing beside it. A scratch through letters has letters beside it and parts nothing.

use crate::geometry::{Frame, Lie, Point, Quad, along, distance, length, middle, thickness};
use crate::ink::brightness;
use crate::runs::runs;
use crate::sample::Pyramid;

/// Pixels of the strip for one height of the line.
const HEIGHT: f32 = 12.0;
/// Line heights that the strip shows above and below the line.
const BEYOND: f32 = 2.0;
/// A ruled line is at least this many line heights long.
const LONG: f32 = 2.5;
/// Steps of 255 by which it differs from what lies on both its sides.
const CONTRAST: f32 = 14.0;
/// Share of the letters' contrast that stays a blank.
const BLANK: f32 = 0.45;
/// Rows at the top or the foot of the line that it may begin or end within: places have margins.
const SLACK: usize = 4;
/// Pixels from its middle to what lies beside it.
const ASIDE: usize = 3;
/// Line heights on both sides in which nothing else stands.
const FREE: f32 = 0.2;
/// A piece is at least this many line heights long.
const PIECE: f32 = 0.7;
/// Shorter lines, in heights, are not looked at.
const SHORTEST: f32 = 4.0;

/// `quads`, those parted through which ruled lines lead; pieces stand in the place of the whole.
pub(crate) fn parted(pyramid: &Pyramid, quads: &[Quad], lie: Lie) -> Vec<Quad> {
    let frame = Frame::new([0.0, 0.0], lie, 1.0);
    let mut out = Vec::with_capacity(quads.len());
    for quad in quads {
        let cuts = rules(pyramid, quad, frame);
        let mut start = 0.0;
        for end in cuts.into_iter().chain([1.0]) {
            out.push(along(quad, start, end));
            start = end;
        }
    }
    out
}

/// Whether a ruled line leads through a line of text.
pub(crate) fn is_parted(pyramid: &Pyramid, quad: &Quad, lie: Lie) -> bool {
    !rules(pyramid, quad, Frame::new([0.0, 0.0], lie, 1.0)).is_empty()
}

/// Where ruled lines lead through a line of text: shares of its length, in order.
fn rules(pyramid: &Pyramid, quad: &Quad, frame: Frame) -> Vec<f32> {
    let (long, high) = (length(quad), thickness(quad).max(1.0));
    if long < SHORTEST * high {
        return Vec::new();
    }
    // Along the line's own slope, and down as the plate's columns lean.
    let (left, right) = (middle(quad[0], quad[3]), middle(quad[1], quad[2]));
    let (origin, below) = (frame.to_picture([0.0, 0.0]), frame.to_picture([0.0, 1.0]));
    let half = (0.5 + BEYOND) * high / distance(origin, below);
    let moved = |p: Point, by: f32| [0, 1].map(|i| p[i] + by * (below[i] - origin[i]));
    let around = [
        moved(left, -half),
        moved(right, -half),
        moved(right, half),
        moved(left, half),
    ];
    let strip = Strip::new(pyramid, &around, (long * HEIGHT / high) as usize);
    let piece = (PIECE * HEIGHT) as usize;
    let mut found: Vec<usize> = Vec::new();
    for sign in [-1.0, 1.0] {
        let columns = runs(strip.width, |x| {
            x >= piece && x + piece < strip.width && strip.is_rule(x, sign)
        });
        found.extend(
            columns
                .iter()
                .map(|run| usize::midpoint(run.start, run.end)),
        );
    }
    found.sort_unstable();
    found.dedup_by(|b, a| *b < *a + piece);
    found
        .into_iter()
        .map(|x| (x as f32 + 0.5) / strip.width as f32)
        .collect()
}

/// A line of text with what stands above and below it.
struct Strip {
    width: usize,
    height: usize,
    tones: Vec<f32>,
    /// By how much its letters differ from their ground.
    letters: f32,
}

impl Strip {
    fn new(pyramid: &Pyramid, around: &Quad, width: usize) -> Self {
        let height = (HEIGHT * (1.0 + 2.0 * BEYOND)) as usize;
        let picture = pyramid.line(around, width.max(1) as u32, height as u32);
        let tones: Vec<f32> = picture
            .pixels()
            .map(|p| brightness(p.0.map(f32::from)))
            .collect();
        let mut line = tones[Self::line().start * width..Self::line().end * width].to_vec();
        line.sort_unstable_by(f32::total_cmp);
        let at = |share: f32| line[(share * (line.len() - 1) as f32) as usize];
        Self {
            width,
            height,
            letters: at(0.95) - at(0.05),
            tones,
        }
    }

    /// The rows of the line of text.
    fn line() -> std::ops::Range<usize> {
        (HEIGHT * BEYOND) as usize..(HEIGHT * (BEYOND + 1.0)) as usize
    }

    fn tone(&self, x: usize, y: usize) -> f32 {
        self.tones[y * self.width + x]
    }

    /// Whether a ruled line, darker (-1) or brighter (1) than its ground, leads along column `x`.
    fn is_rule(&self, x: usize, sign: f32) -> bool {
        let stands_out = |y: usize| {
            // A turn that is left moves it by a pixel.
            let own = (x - 1..=x + 1)
                .map(|x| sign * self.tone(x, y))
                .fold(f32::NEG_INFINITY, f32::max);
            let beside = [x - ASIDE, x + ASIDE].map(|x| sign * self.tone(x, y));
            own - beside[0].max(beside[1]) >= CONTRAST
        };
        // Rows that a speck hides.
        let whole = |y: usize| {
            stands_out(y)
                || (y > 0 && y + 1 < self.height && stands_out(y - 1) && stands_out(y + 1))
        };
        let line = Self::line();
        let is_long = runs(self.height, whole).iter().any(|run| {
            run.start <= line.start + SLACK
                && run.end + SLACK >= line.end
                && run.len() as f32 >= LONG * HEIGHT
        });
        is_long && self.is_free(x)
    }

    /// Whether nothing but the ground stands beside column `x` within the line of text.
    fn is_free(&self, x: usize) -> bool {
        let far = ASIDE + (FREE * HEIGHT) as usize;
        [
            x.saturating_sub(far)..x - ASIDE + 1,
            x + ASIDE..(x + far).min(self.width),
        ]
        .into_iter()
        .all(|side| {
            let tones = Self::line()
                .flat_map(|y| side.clone().map(move |x| (x, y)))
                .map(|(x, y)| self.tone(x, y));
            let (low, high) = tones.fold((f32::INFINITY, f32::NEG_INFINITY), |(low, high), t| {
                (low.min(t), high.max(t))
            });
            high - low <= BLANK * self.letters
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{Rgb, RgbImage};

    /// Rows of bars as high as letters from `x0` to `x1`, without one where `gap`.
    fn letters(picture: &mut RgbImage, y: u32, [x0, x1]: [u32; 2], gap: std::ops::Range<u32>) {
        for x in (x0..x1).filter(|x| x % 8 < 4 && !gap.contains(x)) {
            for y in y + 2..y + 22 {
                picture.put_pixel(x, y, Rgb([40; 3]));
            }
        }
    }

    fn upright(picture: &mut RgbImage, x: u32, [y0, y1]: [u32; 2]) {
        for (x, y) in (y0..y1).flat_map(|y| (x..x + 2).map(move |x| (x, y))) {
            picture.put_pixel(x, y, Rgb([50; 3]));
        }
    }

    fn parts(picture: &RgbImage) -> Vec<[f32; 2]> {
        let quad = [[20.0, 100.0], [380.0, 100.0], [380.0, 124.0], [20.0, 124.0]];
        parted(&Pyramid::new(picture), &[quad], Lie::default())
            .iter()
            .map(|q| [q[0][0], q[1][0]])
            .collect()
    }

    fn plate(gap: std::ops::Range<u32>) -> RgbImage {
        let mut picture = RgbImage::from_pixel(400, 240, Rgb([190; 3]));
        letters(&mut picture, 100, [20, 380], gap);
        picture
    }

    #[test]
    fn a_ruled_line_between_columns_parts_a_line() {
        let mut picture = plate(180..220);
        upright(&mut picture, 200, [60, 200]);
        let found = parts(&picture);
        assert_eq!(found.len(), 2, "{found:?}");
        assert!((found[0][1] - 201.0).abs() < 3.0, "{found:?}");
        assert!((found[1][1] - 380.0).abs() < 0.5, "{found:?}");
    }

    #[test]
    fn letters_and_blanks_and_strokes_as_high_as_letters_part_nothing() {
        assert_eq!(parts(&plate(180..220)).len(), 1);
        let mut picture = plate(180..220);
        upright(&mut picture, 200, [102, 122]);
        assert_eq!(parts(&picture).len(), 1);
    }

    #[test]
    fn a_place_without_height_stays_whole() {
        let picture = plate(0..0);
        let flat = [[20.0, 100.0], [380.0, 100.0], [380.0, 100.0], [20.0, 100.0]];
        let found = parted(&Pyramid::new(&picture), &[flat], Lie::default());
        assert_eq!(found.len(), 1);
    }

    #[test]
    fn a_scratch_through_letters_parts_nothing() {
        let mut picture = plate(0..0);
        upright(&mut picture, 203, [40, 220]);
        assert_eq!(parts(&picture).len(), 1);
    }
}
