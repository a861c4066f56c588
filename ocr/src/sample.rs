//! Taking pieces out of the full-resolution picture, turned and scaled.

use image::{Rgb, RgbImage};

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

    /// A piece of `width` × `height` pixels, each taken at `place(x, y)` of the full
    /// picture; `step` is how many full pixels lie between neighbours. What lies
    /// outside the picture repeats its edge.
    fn piece(
        &self,
        width: u32,
        height: u32,
        step: f32,
        place: impl Fn(f32, f32) -> Point,
    ) -> RgbImage {
        let level = (step.max(1.0).log2().floor() as usize).min(self.halves.len());
        let source = if level == 0 {
            self.full
        } else {
            &self.halves[level - 1]
        };
        let scale = 1.0 / (1u32 << level) as f32;
        let mut out = RgbImage::new(width, height);
        let mut pixels = out.pixels_mut();
        for y in 0..height {
            for x in 0..width {
                let [px, py] = place(x as f32 + 0.5, y as f32 + 0.5);
                if let Some(pixel) = pixels.next() {
                    *pixel = blended(source, px * scale - 0.5, py * scale - 0.5);
                }
            }
        }
        out
    }

    /// What `frame` shows in `width` × `height` pixels.
    pub(crate) fn view(&self, frame: Frame, width: u32, height: u32) -> RgbImage {
        self.piece(width, height, frame.step(), |x, y| frame.to_picture([x, y]))
    }

    /// The mean colour of a square of `side` pixels around a point; what lies outside the picture
    /// repeats its edge.
    pub(crate) fn surface(&self, [x, y]: Point, side: f32) -> [f32; 3] {
        let origin = |v: f32| v - side / 2.0;
        let step = (side / 4.0).max(1.0);
        let piece = self.piece(4, 4, step, |u, v| {
            [origin(x) + u * step, origin(y) + v * step]
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
        let (w, h) = (width as f32, height as f32);
        self.piece(width, height, step, |x, y| {
            let (u, v) = (x / w, y / h);
            let mix = |axis: usize| {
                let top = quad[0][axis] * (1.0 - u) + quad[1][axis] * u;
                let bottom = quad[3][axis] * (1.0 - u) + quad[2][axis] * u;
                top * (1.0 - v) + bottom * v
            };
            [mix(0), mix(1)]
        })
    }
}

fn halved(image: &RgbImage) -> RgbImage {
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

/// Bilinear mix of the four pixels around `(x, y)`, pixel centres at whole numbers.
fn blended(image: &RgbImage, x: f32, y: f32) -> Rgb<u8> {
    let (width, height) = (image.width() as usize, image.height() as usize);
    let x = x.clamp(0.0, (width - 1) as f32);
    let y = y.clamp(0.0, (height - 1) as f32);
    let (x0, y0) = (x as usize, y as usize);
    let (x1, y1) = ((x0 + 1).min(width - 1), (y0 + 1).min(height - 1));
    let (u, v) = (x - x0 as f32, y - y0 as f32);
    let raw = image.as_raw();
    let at = |x: usize, y: usize| (y * width + x) * 3;
    let (a, b, c, d) = (at(x0, y0), at(x1, y0), at(x0, y1), at(x1, y1));
    let mix = |k: usize| {
        let top = f32::from(raw[a + k]) * (1.0 - u) + f32::from(raw[b + k]) * u;
        let bottom = f32::from(raw[c + k]) * (1.0 - u) + f32::from(raw[d + k]) * u;
        (top * (1.0 - v) + bottom * v + 0.5) as u8
    };
    Rgb([mix(0), mix(1), mix(2)])
}
