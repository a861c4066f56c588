//! What was read and what is doubtful, drawn onto the photo, for eyes.

mod font;

use image::{Rgba, RgbaImage};
use imageproc::drawing::draw_line_segment_mut;

use crate::geometry::{Frame, Lie, angle, bounds, distance, grown, length, thickness};
use crate::line::PhotoLines;
use crate::photo::Photo;

const DARK: Rgba<u8> = Rgba([20, 20, 20, 255]);
const LIGHT: Rgba<u8> = Rgba([255, 255, 255, 255]);
const FRAME: Rgba<u8> = Rgba([0, 95, 175, 255]);
const DOUBT: Rgba<u8> = Rgba([190, 60, 0, 255]);

/// How a mark is drawn. The kinds differ in shape, not in colour alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkKind {
    /// A plate: a double frame around all its lines.
    Plate,
    /// A piece that was read surely: a bar beneath it.
    Sure,
    /// A piece that was read with doubt: a dashed frame.
    Doubtful,
    /// A place where nothing can be seen: a hatched frame.
    Hidden,
}

/// Something to draw beside the lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// How.
    pub kind: MarkKind,
    /// Where: corners as in [`TextLine::quad`](crate::TextLine::quad).
    pub quad: [[f32; 2]; 4],
    /// A few words in capitals without accents, figures and `%`; may be empty.
    pub label: String,
}

/// A rectangle around some lines of one plate, turned as they are; none without lines.
pub fn outline(quads: &[[[f32; 2]; 4]]) -> Option<[[f32; 2]; 4]> {
    let longest = quads
        .iter()
        .max_by(|a, b| length(a).total_cmp(&length(b)))?;
    let lie = Lie {
        turn: angle(longest),
        lean: 0.0,
    };
    let frame = Frame::new([0.0, 0.0], lie, 1.0);
    let corners: Vec<[f32; 2]> = quads
        .iter()
        .flatten()
        .map(|p| frame.onto_frame(*p))
        .collect();
    let [x0, y0, x1, y1] = bounds(&corners);
    Some([[x0, y0], [x1, y0], [x1, y1], [x0, y1]].map(|p| frame.to_picture(p)))
}

/// The photo with a frame around each line and, before its start, the line's number in
/// reading order from 1, and with `marks` over them. Frames have white rims, so that they stand out
/// from light, dark and blue plates alike.
pub fn annotate(photo: &Photo, lines: &PhotoLines, marks: &[Mark]) -> RgbaImage {
    let rgb = photo.image();
    let mut out = RgbaImage::from_fn(rgb.width(), rgb.height(), |x, y| {
        let [r, g, b] = rgb.get_pixel(x, y).0;
        Rgba([r, g, b, 255])
    });
    let dot = (rgb.width().max(rgb.height()) / 500).clamp(1, 8) as i32;
    for line in &lines.lines {
        frame(&mut out, &line.quad, dot, FRAME);
    }
    for mark in marks {
        draw(&mut out, mark, dot);
    }
    // Labels of a dense plate are as small as its letters.
    let dot_of = |quad: &[[f32; 2]; 4]| ((thickness(quad) / 12.0) as i32).clamp(1, dot);
    // Labels last: nothing is drawn over what is to be read.
    for mark in marks.iter().filter(|m| !m.label.is_empty()) {
        let dot = dot_of(&mark.quad);
        let (corner, above) = match mark.kind {
            MarkKind::Plate => (mark.quad[0], true),
            MarkKind::Sure | MarkKind::Doubtful | MarkKind::Hidden => (mark.quad[3], false),
        };
        let top = if above {
            corner[1] as i32 - 9 * dot
        } else {
            corner[1] as i32 + 2 * dot
        };
        label(&mut out, &mark.label, corner[0] as i32, top, dot);
    }
    for (i, line) in lines.lines.iter().enumerate() {
        let dot = dot_of(&line.quad);
        let text = (i + 1).to_string();
        let left = line.quad[0][0] as i32 - width(&text, dot);
        label(&mut out, &text, left, line.quad[0][1] as i32 - 3 * dot, dot);
    }
    out
}

fn draw(out: &mut RgbaImage, mark: &Mark, dot: i32) {
    match mark.kind {
        MarkKind::Plate => {
            for by in [3, 6] {
                frame(out, &grown(&mark.quad, (by * dot) as f32), dot, FRAME);
            }
        }
        MarkKind::Sure => {
            let [_, _, c, d] = grown(&mark.quad, -(dot as f32));
            for k in 0..2 * dot {
                let k = k as f32;
                draw_line_segment_mut(out, (d[0], d[1] - k), (c[0], c[1] - k), FRAME);
            }
        }
        MarkKind::Doubtful => {
            for k in 0..2 * dot {
                let q = grown(&mark.quad, -(k as f32));
                for i in 0..4 {
                    dashed(out, q[i], q[(i + 1) % 4], 4.0 * dot as f32);
                }
            }
        }
        MarkKind::Hidden => {
            frame(out, &mark.quad, dot, DOUBT);
            let [a, b, c, d] = mark.quad;
            let height = distance(a, d);
            let count = ((distance(a, b) + height) / (5.0 * dot as f32))
                .ceil()
                .max(2.0);
            // Slanting lines from the upper or right edge to the left or lower one.
            for i in 1..count as usize {
                let t = i as f32 / count;
                let corner = |t: f32, first: [f32; 2], second: [f32; 2], third: [f32; 2]| {
                    let (one, two) = (distance(first, second), distance(second, third));
                    let way = t * (one + two);
                    let mix = |p: [f32; 2], q: [f32; 2], s: f32| {
                        (p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1]))
                    };
                    if way < one {
                        mix(first, second, way / one.max(1.0))
                    } else {
                        mix(second, third, (way - one) / two.max(1.0))
                    }
                };
                let (from, to) = (corner(t, a, b, c), corner(t, a, d, c));
                draw_line_segment_mut(out, from, to, LIGHT);
                draw_line_segment_mut(out, (from.0, from.1 + 1.0), (to.0, to.1 + 1.0), DOUBT);
            }
        }
    }
}

fn frame(out: &mut RgbaImage, quad: &[[f32; 2]; 4], dot: i32, colour: Rgba<u8>) {
    for (by, colour) in [(dot + 1, LIGHT), (-dot, LIGHT), (0, colour)] {
        let thick = if by == 0 { dot } else { 1 };
        for k in 0..thick {
            let q = grown(quad, (by + k) as f32);
            for i in 0..4 {
                let (a, b) = (q[i], q[(i + 1) % 4]);
                draw_line_segment_mut(out, (a[0], a[1]), (b[0], b[1]), colour);
            }
        }
    }
}

/// Dashes of `dash` pixels, white between them.
fn dashed(out: &mut RgbaImage, a: [f32; 2], b: [f32; 2], dash: f32) {
    let long = distance(a, b).max(1.0);
    let count = (long / dash).ceil() as usize;
    for i in 0..count {
        let at = |t: f32| {
            let t = (t * dash / long).min(1.0);
            (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))
        };
        let colour = if i % 2 == 0 { DOUBT } else { LIGHT };
        draw_line_segment_mut(out, at(i as f32), at(i as f32 + 1.0), colour);
    }
}

fn width(text: &str, dot: i32) -> i32 {
    (4 * text.chars().count() as i32 + 1) * dot
}

/// Writes `text` on a dark ground whose upper left corner is as near to the given one as the picture
/// allows.
fn label(out: &mut RgbaImage, text: &str, left: i32, top: i32, dot: i32) {
    let (wide, high) = (width(text, dot), 7 * dot);
    let left = left.clamp(0, (out.width() as i32 - wide).max(0));
    let top = top.clamp(0, (out.height() as i32 - high).max(0));
    fill(out, left, top, wide, high, DARK);
    for (i, ch) in text.chars().enumerate() {
        let pattern = font::dots(ch);
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
