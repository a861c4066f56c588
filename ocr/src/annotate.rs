//! Lines drawn onto the photo, for eyes.

use image::{Rgba, RgbaImage};
use imageproc::drawing::draw_line_segment_mut;

use crate::line::PhotoLines;
use crate::photo::Photo;

/// Digits as 3 × 5 dots, one row of three bits after the other.
const DIGITS: [u16; 10] = [
    0b111_101_101_101_111,
    0b010_110_010_010_111,
    0b111_001_111_100_111,
    0b111_001_111_001_111,
    0b101_101_111_001_001,
    0b111_100_111_001_111,
    0b111_100_111_101_111,
    0b111_001_010_010_010,
    0b111_101_111_101_111,
    0b111_101_111_001_111,
];

const DARK: Rgba<u8> = Rgba([20, 20, 20, 255]);
const LIGHT: Rgba<u8> = Rgba([255, 255, 255, 255]);
const FRAME: Rgba<u8> = Rgba([0, 95, 175, 255]);

/// The photo with a frame around each line and, before its start, the line's number in
/// reading order from 1. Frames are blue between white rims, so that they stand out
/// from light, dark and blue plates alike.
pub fn annotate(photo: &Photo, lines: &PhotoLines) -> RgbaImage {
    let rgb = photo.image();
    let mut out = RgbaImage::from_fn(rgb.width(), rgb.height(), |x, y| {
        let [r, g, b] = rgb.get_pixel(x, y).0;
        Rgba([r, g, b, 255])
    });
    let dot = (rgb.width().max(rgb.height()) / 500).clamp(1, 8) as i32;
    for line in &lines.lines {
        frame(&mut out, &line.quad, dot);
    }
    for (i, line) in lines.lines.iter().enumerate() {
        number(&mut out, i + 1, line.quad[0], dot);
    }
    out
}

fn frame(out: &mut RgbaImage, quad: &[[f32; 2]; 4], dot: i32) {
    for (by, colour) in [(dot + 1, LIGHT), (-dot, LIGHT), (0, FRAME)] {
        let thick = if by == 0 { dot } else { 1 };
        for k in 0..thick {
            let q = crate::geometry::grown(quad, (by + k) as f32);
            for i in 0..4 {
                let (a, b) = (q[i], q[(i + 1) % 4]);
                draw_line_segment_mut(out, (a[0], a[1]), (b[0], b[1]), colour);
            }
        }
    }
}

/// Writes `n` on a dark plate whose lower right corner is `at`, inside the picture.
fn number(out: &mut RgbaImage, n: usize, at: [f32; 2], dot: i32) {
    let digits = n.to_string();
    let width = (4 * digits.len() as i32 + 1) * dot;
    let height = 7 * dot;
    let left = (at[0] as i32 - width).clamp(0, (out.width() as i32 - width).max(0));
    let top = (at[1] as i32 - height / 2).clamp(0, (out.height() as i32 - height).max(0));
    fill(out, left, top, width, height, DARK);
    for (i, digit) in digits.bytes().enumerate() {
        let pattern = DIGITS[usize::from(digit - b'0')];
        for bit in 0..15 {
            if pattern >> (14 - bit) & 1 == 1 {
                let x = left + (1 + 4 * i as i32 + bit % 3) * dot;
                let y = top + (1 + bit / 3) * dot;
                fill(out, x, y, dot, dot, LIGHT);
            }
        }
    }
}

fn fill(out: &mut RgbaImage, x: i32, y: i32, width: i32, height: i32, colour: Rgba<u8>) {
    for (px, py) in (y..y + height).flat_map(|py| (x..x + width).map(move |px| (px, py))) {
        if px >= 0 && py >= 0 && (px as u32) < out.width() && (py as u32) < out.height() {
            out.put_pixel(px as u32, py as u32, colour);
        }
    }
}
