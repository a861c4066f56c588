//! Taking pieces out of the full-resolution picture, turned and scaled.

use image::RgbImage;

use crate::geometry::{Frame, Point, Quad};

/// A picture with copies of half, a quarter … its size, each pixel the mean of four.
/// Pieces are taken from the copy that is still at least as fine as the piece, so
/// nothing that the piece could show is lost and thin strokes do not flicker away.
pub(crate) struct Pyramid<'a> {
    full: &'a RgbImage,
    halves: Vec<RgbImage>,
}

impl<'a> Pyramid<'a> {
    pub(crate) fn new(full: &'a RgbImage) -> Self {
        let mut halves: Vec<RgbImage> = Vec::new();
        loop {
            let last = halves.last().unwrap_or(full);
            if last.width().min(last.height()) < 64 {
                break;
            }
            let next = halved(last);
            halves.push(next);
        }
        Self { full, halves }
    }

    pub(crate) fn full(&self) -> &RgbImage {
        self.full
    }

    /// A piece of `width` × `height` pixels. `ends(y)` are the places in the full picture where the
    /// row at `y` begins and ends; `step` is how many full pixels lie between neighbours. What lies
    /// outside the picture repeats its edge.
    fn piece(
        &self,
        width: u32,
        height: u32,
        step: f32,
        ends: impl Fn(f32) -> [Point; 2],
    ) -> RgbImage {
        let level = (step.max(1.0).log2().floor() as usize).min(self.halves.len());
        let source = if level == 0 {
            self.full
        } else {
            &self.halves[level - 1]
        };
        let scale = 1.0 / f64::from(1u32 << level);
        let mut out = vec![0; width as usize * height as usize * 3];
        let rows = out.chunks_exact_mut((width as usize * 3).max(1));
        for (y, row) in rows.enumerate() {
            let [from, to] = ends(y as f32 + 0.5);
            let axis = |i: usize| {
                let (from, to) = (f64::from(from[i]), f64::from(to[i]));
                let along = (to - from) / f64::from(width);
                let first = (from + along / 2.0) * scale - 0.5;
                let fixed = |v: f64| (v * f64::from(ONE as u32)) as i64;
                (fixed(first), fixed(along * scale))
            };
            let ((mut x, right), (mut y, down)) = (axis(0), axis(1));
            for pixel in row.chunks_exact_mut(3) {
                pixel.copy_from_slice(&blended(source, x, y));
                x += right;
                y += down;
            }
        }
        RgbImage::from_raw(width, height, out).unwrap_or_default()
    }

    /// What `frame` shows in `width` × `height` pixels.
    pub(crate) fn view(&self, frame: Frame, width: u32, height: u32) -> RgbImage {
        self.piece(width, height, frame.step(), |y| {
            [0.0, width as f32].map(|x| frame.to_picture([x, y]))
        })
    }

    /// The mean colour of a square of `side` pixels around a point; what lies outside the picture
    /// repeats its edge.
    pub(crate) fn surface(&self, [x, y]: Point, side: f32) -> [f32; 3] {
        let origin = |v: f32| v - side / 2.0;
        let step = (side / 4.0).max(1.0);
        let piece = self.piece(4, 4, step, |v| {
            [0.0, 4.0].map(|u| [origin(x) + u * step, origin(y) + v * step])
        });
        let mut sum = [0.0; 3];
        for pixel in piece.pixels() {
            for (s, v) in sum.iter_mut().zip(pixel.0) {
                *s += f32::from(v) / 16.0;
            }
        }
        sum
    }

    /// The text in `quad`, drawn upright to `width` × `height` pixels.
    pub(crate) fn line(&self, quad: &Quad, width: u32, height: u32) -> RgbImage {
        let step = (crate::geometry::thickness(quad) / height as f32)
            .min(crate::geometry::length(quad) / width as f32);
        self.piece(width, height, step, |y| {
            let v = y / height as f32;
            let between = |top: Point, bottom: Point| {
                [0, 1].map(|axis| top[axis] * (1.0 - v) + bottom[axis] * v)
            };
            [between(quad[0], quad[3]), between(quad[1], quad[2])]
        })
    }
}

/// `image` at half its size, each pixel the mean of four; of an odd side the last one is left out.
pub(crate) fn halved(image: &RgbImage) -> RgbImage {
    let (width, height) = ((image.width() / 2) as usize, (image.height() / 2) as usize);
    let stride = image.width() as usize * 3;
    let source = image.as_raw();
    let mut out = vec![0; width * height * 3];
    for (y, row) in out.chunks_exact_mut(width * 3).enumerate() {
        let upper = &source[2 * y * stride..][..width * 6];
        let lower = &source[(2 * y + 1) * stride..][..width * 6];
        for ((to, a), b) in row
            .chunks_exact_mut(3)
            .zip(upper.chunks_exact(6))
            .zip(lower.chunks_exact(6))
        {
            for c in 0..3 {
                let sum =
                    u16::from(a[c]) + u16::from(a[c + 3]) + u16::from(b[c]) + u16::from(b[c + 3]);
                to[c] = ((sum + 2) / 4) as u8;
            }
        }
    }
    RgbImage::from_raw(width as u32, height as u32, out).unwrap_or_default()
}

/// A pixel, in the fixed-point numbers of places: rows are straight, so that a place is one addition
/// away from the one before.
const ONE: i64 = 1 << 16;

/// Bilinear mix of the four pixels around `(x, y)`, pixel centres at whole multiples of [`ONE`], to a
/// 256th of a pixel.
fn blended(image: &RgbImage, x: i64, y: i64) -> [u8; 3] {
    let (width, height) = (i64::from(image.width()), i64::from(image.height()));
    let x = x.clamp(0, (width - 1) * ONE);
    let y = y.clamp(0, (height - 1) * ONE);
    // Neither is negative any more.
    let (left, top) = (x >> 16, y >> 16);
    let (u, v) = ((x >> 8 & 255) as u32, (y >> 8 & 255) as u32);
    let raw = image.as_raw();
    let at = |x: i64, y: i64| &raw[(y * width + x) as usize * 3..][..3];
    let (right, bottom) = ((left + 1).min(width - 1), (top + 1).min(height - 1));
    let (a, b) = (at(left, top), at(right, top));
    let (c, d) = (at(left, bottom), at(right, bottom));
    [0, 1, 2].map(|k| {
        let mix = |a: u8, b: u8| u32::from(a) * (256 - u) + u32::from(b) * u;
        let sum = mix(a[k], b[k]) * (256 - v) + mix(c[k], d[k]) * v;
        ((sum + (1 << 15)) >> 16) as u8
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Lie;

    #[test]
    fn a_piece_is_the_bilinear_mix_of_the_pixels_around() {
        let picture = RgbImage::from_fn(90, 70, |x, y| {
            image::Rgb([
                (x * 7 % 251) as u8,
                (y * 11 % 241) as u8,
                (x * y % 239) as u8,
            ])
        });
        let lie = Lie {
            turn: 0.3,
            lean: 0.1,
        };
        let frame = Frame::new([20.0, 12.0], lie, 0.8);
        let piece = Pyramid::new(&picture).view(frame, 40, 30);
        for (x, y, pixel) in piece.enumerate_pixels() {
            let [px, py] = frame.to_picture([x as f32 + 0.5, y as f32 + 0.5]);
            let (left, top) = ((px - 0.5).floor(), (py - 0.5).floor());
            let (u, v) = (px - 0.5 - left, py - 0.5 - top);
            for k in 0..3 {
                let at = |dx: u32, dy: u32| {
                    f32::from(picture.get_pixel(left as u32 + dx, top as u32 + dy).0[k])
                };
                let mix = |dy: u32| at(0, dy) * (1.0 - u) + at(1, dy) * u;
                let expected = mix(0) * (1.0 - v) + mix(1) * v;
                let got = f32::from(pixel.0[k]);
                // Half a tone is rounding; a 256th of a pixel on both axes is at most two tones here.
                assert!((got - expected).abs() < 2.6, "{x} {y}: {got} {expected}");
            }
        }
    }

    #[test]
    fn beside_the_picture_its_edge_goes_on() {
        let picture = RgbImage::from_fn(80, 80, |x, _| image::Rgb([x as u8 + 10; 3]));
        let frame = Frame::new([-40.0, -40.0], Lie::default(), 1.0);
        let piece = Pyramid::new(&picture).view(frame, 160, 160);
        assert_eq!(piece.get_pixel(0, 0).0, [10; 3]);
        assert_eq!(piece.get_pixel(159, 159).0, [89; 3]);
        assert_eq!(piece.get_pixel(60, 0).0, [30; 3]);
    }
}
