//! Where ink should be and is not: paint, glare, filler or a label over letters.
//!
//! A recogniser of this kind skips letters that it cannot see and is sure of the others. So each line
//! that was read is looked at once more without it: between two letters, and beyond the first and
//! the last one, the surface must be the plate's own. Where it is not, letters may be hidden, and how
//! many follows from the line's own pitch. Wide gaps on a plain surface are gaps.

mod absent;
mod column;
mod strip;
mod surface;

use crate::geometry::{Lie, Point, Quad};
use crate::line::{Hidden, TextLine};
use crate::sample::Pyramid;
use column::{is_flush, start_of};
pub(crate) use strip::brightness;
use surface::Surface;

/// Marks where letters may be hidden in the lines of a photo, which lie as `lie` says, and puts in
/// lines without characters where a whole one may be. `taken` are places of codes.
pub(crate) fn mark(pyramid: &Pyramid, lines: &mut Vec<TextLine>, lie: Lie, taken: &[Quad]) {
    mark_within(pyramid, lines);
    let absent = absent::absent(pyramid, lines, lie, taken);
    for (shift, (before, line)) in absent.into_iter().enumerate() {
        lines.insert(before + shift, line);
    }
}

/// Marks where letters may be hidden in the lines that were read.
fn mark_within(pyramid: &Pyramid, lines: &mut [TextLine]) {
    let starts: Vec<Point> = lines.iter().map(start_of).collect();
    for (index, line) in lines.iter_mut().enumerate() {
        line.hidden = hidden(pyramid, line, is_flush(index, &line.quad, &starts));
    }
}

fn hidden(pyramid: &Pyramid, line: &TextLine, flush: bool) -> Vec<Hidden> {
    let Some(surface) = Surface::new(pyramid, line) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    found.extend(surface.start(flush));
    let rooms = surface.rooms();
    for (pair, room) in surface.letters.windows(2).zip(&rooms) {
        found.extend(
            surface
                .between(pair[0], pair[1])
                .or_else(|| surface.gap(pair[0], pair[1], *room, &rooms)),
        );
    }
    found.extend(surface.end(line.glyphs.len()));
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::line::{Cover, Glyph};
    use image::{Rgb, RgbImage};

    const GROUND: Rgb<u8> = Rgb([190, 192, 195]);
    const INK: Rgb<u8> = Rgb([40, 40, 45]);
    const PAINT: Rgb<u8> = Rgb([160, 40, 30]);
    /// Pixels from one letter to the next, and the height of the line.
    const PITCH: f32 = 16.0;
    const HEIGHT: f32 = 40.0;
    const LEFT: f32 = 120.0;
    const TOP: f32 = 100.0;

    /// A plate with one letter, two strokes each, for every character but blanks and dots; where a
    /// dot is, the recogniser saw nothing.
    fn plate(text: &str) -> (RgbImage, TextLine) {
        let mut picture = RgbImage::from_pixel(800, 260, GROUND);
        let mut glyphs = Vec::new();
        let length = text.chars().count() as f32 * PITCH + HEIGHT;
        for (i, ch) in text.chars().enumerate() {
            let x = LEFT + HEIGHT / 2.0 + (i as f32 + 0.5) * PITCH;
            if ch == '.' {
                continue;
            }
            glyphs.push(Glyph {
                ch,
                probability: 1.0,
                also: Vec::new(),
                x: (x - LEFT) / length,
            });
            if ch != ' ' {
                for stroke in [x - 4.0, x + 3.0] {
                    fill(
                        &mut picture,
                        [stroke, TOP + 9.0, stroke + 2.0, TOP + 31.0],
                        INK,
                    );
                }
            }
        }
        let quad = [
            [LEFT, TOP],
            [LEFT + length, TOP],
            [LEFT + length, TOP + HEIGHT],
            [LEFT, TOP + HEIGHT],
        ];
        let line = TextLine {
            glyphs,
            quad,
            ..TextLine::default()
        };
        (picture, line)
    }

    fn fill(picture: &mut RgbImage, [x0, y0, x1, y1]: [f32; 4], colour: Rgb<u8>) {
        for y in y0 as u32..y1 as u32 {
            for x in x0 as u32..x1 as u32 {
                picture.put_pixel(x, y, colour);
            }
        }
    }

    /// Left edge of the character of a number.
    fn left(number: usize) -> f32 {
        LEFT + HEIGHT / 2.0 + number as f32 * PITCH
    }

    fn found(picture: &RgbImage, line: &TextLine) -> Vec<(usize, Cover)> {
        let places = hidden(&Pyramid::new(picture), line, false);
        places.iter().map(|h| (h.before, h.why)).collect()
    }

    #[test]
    fn a_patch_between_letters_is_found_with_its_place() {
        let (mut picture, line) = plate("Ex tb IIIC ...... Db");
        fill(
            &mut picture,
            [left(11) - 4.0, TOP, left(17) + 4.0, TOP + HEIGHT],
            PAINT,
        );
        let places = hidden(&Pyramid::new(&picture), &line, false);
        assert_eq!(places.len(), 1, "{places:?}");
        assert_eq!((places[0].before, places[0].why), (12, Cover::Patch));
        assert!((5..=8).contains(&places[0].fits), "{places:?}");
        let [x0, x1] = [places[0].quad[0][0], places[0].quad[1][0]];
        assert!(
            (x0 - left(11)).abs() < 16.0 && (x1 - left(17)).abs() < 16.0,
            "{places:?}"
        );
    }

    #[test]
    fn a_patch_over_the_end_or_the_start_is_found() {
        let (mut picture, line) = plate("Ex db IIC T4");
        fill(
            &mut picture,
            [left(13), TOP - 10.0, left(16), TOP + 50.0],
            PAINT,
        );
        assert_eq!(found(&picture, &line), [(12, Cover::Patch)]);
        let (mut picture, line) = plate("IIC T4 Gb");
        fill(
            &mut picture,
            [left(0) - 60.0, TOP - 10.0, left(0) - 12.0, TOP + 50.0],
            PAINT,
        );
        assert_eq!(found(&picture, &line), [(0, Cover::Patch)]);
    }

    #[test]
    fn glare_is_told_from_paint() {
        let (mut picture, line) = plate("Ex db IIC ... Gb");
        fill(
            &mut picture,
            [left(9) + 4.0, TOP, left(14) - 4.0, TOP + HEIGHT],
            Rgb([255; 3]),
        );
        assert_eq!(found(&picture, &line), [(11, Cover::Glare)]);
    }

    #[test]
    fn a_plain_gap_is_no_patch() {
        let (picture, line) = plate("Type     KL 7");
        assert!(found(&picture, &line).iter().all(|f| f.1 == Cover::Gap));
        let (picture, line) = plate("Ex db IIC T4 Gb");
        assert!(found(&picture, &line).is_empty());
    }

    #[test]
    fn edges_of_the_plate_frames_and_shade_hide_nothing() {
        let (mut picture, line) = plate("Ex db IIC T4 Gb");
        // The plate ends close to the line, with another surface behind.
        fill(&mut picture, [left(15) + 10.0, 0.0, 800.0, 260.0], PAINT);
        assert!(found(&picture, &line).is_empty());
        // A ruled frame.
        let (mut picture, line) = plate("Ex db IIC T4 Gb");
        for x in [LEFT + 6.0, left(15) + 10.0] {
            fill(&mut picture, [x, 0.0, x + 3.0, 260.0], INK);
        }
        assert!(found(&picture, &line).is_empty());
        // Light that falls off along the line.
        let (mut picture, line) = plate("Ex db    IIC T4 Gb");
        for (x, _, pixel) in picture.enumerate_pixels_mut() {
            pixel.0 = pixel
                .0
                .map(|v| (f32::from(v) * (1.0 - x as f32 / 1600.0)) as u8);
        }
        assert!(found(&picture, &line).iter().all(|f| f.1 == Cover::Gap));
    }

    #[test]
    fn a_line_that_runs_out_of_the_photo_is_cut() {
        let (picture, line) = plate("Ex db IIC T4 Gb");
        let cut = image::imageops::crop_imm(&picture, 0, 0, left(15) as u32 + 4, 260).to_image();
        assert_eq!(found(&cut, &line), [(15, Cover::Frame)]);
    }

    /// Five lines at a regular pitch, the middle one not read.
    fn column(picture: &mut RgbImage, line: &TextLine) -> Vec<TextLine> {
        *picture = RgbImage::from_pixel(800, 400, GROUND);
        let mut lines = Vec::new();
        for row in [0, 1, 3, 4] {
            let by = 48.0 * (row as f32 - 1.0);
            let quad = line.quad.map(|[x, y]| [x, y + by]);
            for i in (0..line.glyphs.len()).filter(|&i| line.glyphs[i].ch != ' ') {
                let x = LEFT + HEIGHT / 2.0 + (i as f32 + 0.5) * PITCH;
                for stroke in [x - 4.0, x + 3.0] {
                    let (top, bottom) = (TOP + by + 9.0, TOP + by + 31.0);
                    fill(picture, [stroke, top, stroke + 2.0, bottom], INK);
                }
            }
            lines.push(TextLine {
                quad,
                ..line.clone()
            });
        }
        lines
    }

    #[test]
    fn a_whole_line_under_paint_is_hidden_and_one_left_out_is_not() {
        let (mut picture, line) = plate("Ex db IIC T4 Gb");
        let lines = column(&mut picture, &line);
        let told = |picture: &RgbImage, taken: &[Quad]| {
            let mut lines = lines.clone();
            mark(&Pyramid::new(picture), &mut lines, Lie::default(), taken);
            let whole = lines.iter().position(|l| l.glyphs.is_empty());
            whole.map(|i| (i, lines[i].hidden[0].why, lines[i].hidden[0].fits))
        };
        assert_eq!(told(&picture, &[]), None);
        let (top, bottom) = (TOP + 48.0 + 2.0, TOP + 48.0 + 38.0);
        let mut painted = picture.clone();
        fill(&mut painted, [left(2), top, left(11), bottom], PAINT);
        let found = told(&painted, &[]);
        assert!(
            matches!(found, Some((2, Cover::Patch, 8..=11))),
            "{found:?}"
        );
        // A code stands there, a band goes across, or a mark is too small to hide a line.
        let code = [
            [left(2), top],
            [left(11), top],
            [left(11), bottom],
            [left(2), bottom],
        ];
        assert_eq!(told(&painted, &[code]), None);
        let mut banded = picture.clone();
        fill(&mut banded, [0.0, top, 800.0, bottom], PAINT);
        assert_eq!(told(&banded, &[]), None);
        let mut marked = picture.clone();
        fill(&mut marked, [left(2), top, left(4), bottom], PAINT);
        assert_eq!(told(&marked, &[]), None);
    }

    #[test]
    fn the_beginning_of_a_line_under_paint_is_hidden_however_uneven_the_rest_is() {
        let (mut picture, line) = plate("Ex db IIC T4 Gb");
        let mut lines = column(&mut picture, &line);
        // Of the line in the middle the last two letters are seen, across the edge of a shadow.
        let by = 48.0;
        let seen: Vec<Glyph> = line.glyphs[13..].to_vec();
        let (from, to) = (left(12), left(15) + HEIGHT / 2.0);
        let long = line.quad[1][0] - line.quad[0][0];
        let glyphs = seen.into_iter().map(|g| Glyph {
            x: (LEFT + g.x * long - from) / (to - from),
            ..g
        });
        let short = TextLine {
            glyphs: glyphs.collect(),
            quad: [
                [from, TOP + by],
                [to, TOP + by],
                [to, TOP + by + HEIGHT],
                [from, TOP + by + HEIGHT],
            ],
            ..TextLine::default()
        };
        for letter in [13, 14] {
            let x = left(letter);
            fill(
                &mut picture,
                [x, TOP + by + 9.0, x + 2.0, TOP + by + 31.0],
                INK,
            );
        }
        lines.insert(2, short);
        for (x, _, pixel) in picture.enumerate_pixels_mut() {
            if x as f32 > left(14) {
                pixel.0 = pixel.0.map(|v| (f32::from(v) * 0.4) as u8);
            }
        }
        let told = |picture: &RgbImage| {
            let mut lines = lines.clone();
            mark(&Pyramid::new(picture), &mut lines, Lie::default(), &[]);
            let whole = lines.iter().position(|l| l.glyphs.is_empty());
            whole.map(|i| (i, lines[i].hidden[0].why, lines[i].hidden[0].fits))
        };
        assert_eq!(told(&picture), None, "a gap");
        fill(
            &mut picture,
            [left(0), TOP + by + 2.0, left(12), TOP + by + 38.0],
            PAINT,
        );
        let found = told(&picture);
        assert!(
            matches!(found, Some((2, Cover::Patch, 9..=13))),
            "{found:?}"
        );
    }

    #[test]
    fn a_fastener_before_a_flush_column_hides_nothing() {
        let (mut picture, line) = plate("Ex db IIC T4 Gb");
        fill(
            &mut picture,
            [left(0) - 60.0, TOP - 4.0, left(0) - 12.0, TOP + 44.0],
            PAINT,
        );
        let moved = |by: f32| TextLine {
            quad: line.quad.map(|[x, y]| [x, y + by]),
            ..line.clone()
        };
        let told = |lines: Vec<TextLine>| {
            let mut lines = lines;
            mark_within(&Pyramid::new(&picture), &mut lines);
            lines[0].hidden.len()
        };
        assert_eq!(told(vec![line.clone()]), 1);
        assert_eq!(told(vec![line.clone(), moved(50.0), moved(100.0)]), 0);
    }
}
