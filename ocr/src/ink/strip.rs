//! A line with its surroundings, straightened, and what each short stretch of it looks like.

use image::RgbImage;

use crate::geometry::{Point, Quad, at, thickness};
use crate::sample::Pyramid;

/// Pixels of the strip for the line's height. Letters are about half as high: enough to tell strokes
/// from a plain surface, and a quarter of the work of the recogniser's picture.
pub(super) const UNIT: f32 = 24.0;
/// The strip goes on beyond each end of the line by this many heights of the line.
const BEYOND: f32 = 3.0;
/// Pixels along the line from one stretch to the next.
pub(super) const STEP: usize = 4;
/// Pixels along the line that a stretch covers: about one letter.
const STRETCH: usize = 10;

/// What a stretch of the line looks like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stretch {
    /// Median of each colour, 0 to 255: the surface, since strokes cover less than half of it.
    pub(super) colour: [f32; 3],
    /// The same above and below the letters, where bold ones cannot outweigh the surface.
    pub(super) rim: [f32; 3],
    /// Share of pixels that are as bright as the photo can show.
    pub(super) white: f32,
    /// False where the stretch lies outside the photo.
    pub(super) inside: bool,
}

/// A line, straightened.
pub(super) struct Strip {
    quad: Quad,
    /// Strip pixels from its left edge to that of the line.
    margin: f32,
    /// Strip pixels along the line itself.
    length: f32,
    pub(super) stretches: Vec<Stretch>,
}

impl Strip {
    pub(super) fn new(pyramid: &Pyramid, quad: &Quad) -> Self {
        let height = thickness(quad).max(1.0);
        let along = crate::geometry::length(quad) / height;
        let length = (along * UNIT).max(1.0);
        let margin = BEYOND * UNIT;
        let strip = Self {
            quad: *quad,
            margin,
            length,
            stretches: Vec::new(),
        };
        let width = (length + 2.0 * margin).ceil() as u32;
        let whole = strip.part(0.0, width as f32, 0.0, 1.0);
        let picture = pyramid.line(&whole, width, UNIT as u32);
        let (right, bottom) = pyramid.full().dimensions();
        let inside =
            |p: Point| p[0] >= 0.0 && p[1] >= 0.0 && p[0] <= right as f32 && p[1] <= bottom as f32;
        let mut stretches = Vec::new();
        let mut at = 0;
        while at + STRETCH <= width as usize {
            let x = (at + STRETCH / 2) as f32;
            let ends = strip.part(x, x, 0.2, 0.8);
            let mut stretch = look(&picture, at as u32);
            stretch.inside = inside(ends[0]) && inside(ends[3]);
            stretches.push(stretch);
            at += STEP;
        }
        Self { stretches, ..strip }
    }

    /// Centre of a stretch along the line: 0 is the line's left edge, 1 its right.
    pub(super) fn place(&self, stretch: usize) -> f32 {
        ((stretch * STEP + STRETCH / 2) as f32 - self.margin) / self.length
    }

    /// A distance along the line in pixels of the strip.
    pub(super) fn pixels(&self, share: f32) -> f32 {
        share * self.length
    }

    /// The part of the photo from `from` to `to` strip pixels, from `top` to `bottom` of its height.
    fn part(&self, from: f32, to: f32, top: f32, bottom: f32) -> Quad {
        let point = |x: f32, y: f32| at(&self.quad, (x - self.margin) / self.length, y);
        [
            point(from, top),
            point(to, top),
            point(to, bottom),
            point(from, bottom),
        ]
    }

    /// The place on the photo between two shares of the line's length.
    pub(super) fn quad(&self, from: f32, to: f32) -> Quad {
        let x = |share: f32| self.margin + share * self.length;
        self.part(x(from), x(to), 0.0, 1.0)
    }

    /// The place of a stretch moved across the line by `heights` of it, downwards.
    pub(super) fn moved(&self, stretch: usize, heights: f32) -> Quad {
        let x = (stretch * STEP) as f32;
        self.part(x, x + STRETCH as f32, heights + 0.25, heights + 0.75)
    }
}

pub(crate) fn brightness(c: [f32; 3]) -> f32 {
    0.299 * c[0] + 0.587 * c[1] + 0.114 * c[2]
}

/// The stretch of `picture` that begins at column `left`. A tenth of the height at the top and the
/// bottom is left out: neighbours of a dense plate reach into it.
fn look(picture: &RgbImage, left: u32) -> Stretch {
    let skip = picture.height() / 10;
    let mut planes: [Vec<u8>; 3] = [const { Vec::new() }; 3];
    let mut rims: [Vec<u8>; 3] = [const { Vec::new() }; 3];
    let rim = 2 * skip.max(1);
    let (mut count, mut white) = (0.0_f32, 0.0);
    for y in skip..picture.height() - skip {
        for x in left..left + STRETCH as u32 {
            let pixel = picture.get_pixel(x, y).0;
            for (plane, value) in planes.iter_mut().zip(pixel) {
                plane.push(value);
            }
            if y < rim || y >= picture.height() - rim {
                for (plane, value) in rims.iter_mut().zip(pixel) {
                    plane.push(value);
                }
            }
            count += 1.0;
            if pixel.iter().all(|v| *v >= 250) {
                white += 1.0;
            }
        }
    }
    let median = |mut plane: Vec<u8>| {
        let middle = plane.len() / 2;
        f32::from(*plane.select_nth_unstable(middle).1)
    };
    Stretch {
        colour: planes.map(median),
        rim: rims.map(median),
        white: white / count.max(1.0),
        inside: true,
    }
}

/// Mean colour of a small place of the photo; none outside it.
pub(super) fn surface(pyramid: &Pyramid, quad: &Quad) -> Option<[f32; 3]> {
    let (right, bottom) = pyramid.full().dimensions();
    let out = |p: &Point| p[0] < 0.0 || p[1] < 0.0 || p[0] > right as f32 || p[1] > bottom as f32;
    if quad.iter().any(out) {
        return None;
    }
    Some(look(&pyramid.line(quad, STRETCH as u32, 12), 0).colour)
}
