//! Is a photo worth reading? A look of some hundredths of a second, without a model.

mod rows;

use serde::Serialize;

use crate::median::median;
use crate::photo::Reduced;
use rows::{Bounds, Grey, Row, rows};

/// Longest side in pixels of the picture that is judged: letters of 20 pixels on a photo of 4,000 are
/// five pixels high on it, the least that can be told from grain.
pub const JUDGED_AT: u32 = 1000;
/// Capitals should be this many pixels high on the photo. The recogniser's picture of a line shows
/// them 28 pixels high; below 20, strokes of worn letters merge (measured on rendered plates).
pub const NEEDED_PX: f32 = 20.0;
/// Edges are blurred that are wider than this many pixels, which the reduction itself makes them, and
/// this share of the letters' height.
const BLURRED: (f32, f32) = (1.2, 0.15);
/// Edges can be judged where letters are this many pixels high on the reduced picture.
const JUDGEABLE: f32 = 9.0;
/// From this brightness on nothing stands out.
const WHITE: u8 = 250;
/// Share of the white pixels in a place of one letter's size that makes it glare.
const GLARING: f32 = 0.9;
/// Text whose surroundings are darker than this (of 255) loses its strokes to noise.
const DARK: f32 = 38.0;

/// Rows of one plate are no further apart than this many heights of their letters.
const TOGETHER: f32 = 3.0;
/// A row that is said to be cut has at least this many letters…
const LEAST_CUT: usize = 5;
/// … and this share of its neighbouring letters share top or foot.
const ALIGNED: f32 = 0.75;

/// What is wrong with a photo, or with a part of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum FlawKind {
    /// No row of letters is seen.
    NoText,
    /// Letters are too small: their height and the height needed, in pixels of the photo.
    Small {
        /// Height of capitals.
        letters_px: f32,
        /// Height that is needed.
        needed_px: f32,
    },
    /// Out of focus, or shaken.
    Blurred,
    /// Light so bright that nothing stands out.
    Glare,
    /// Text goes on beyond the frame.
    Cut,
    /// Too little light.
    Dark,
}

/// Something that is wrong, with its place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Flaw {
    /// What is wrong.
    #[serde(flatten)]
    pub kind: FlawKind,
    /// Corners of the place in pixels of the upright photo, clockwise from its top left.
    pub quad: [[f32; 2]; 4],
}

/// What a quick look at a photo tells.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judgement {
    /// Median height of the letters in pixels of the photo; none where none are seen.
    pub letters_px: Option<f32>,
    /// What is wrong, most serious first. Empty: read it.
    pub flaws: Vec<Flaw>,
}

/// Judges a photo before it is read. The reader may still read what is judged bad here, and find more
/// that is wrong: this look knows no characters.
pub fn judge(photo: &Reduced) -> Judgement {
    let grey = Grey {
        width: photo.picture.width() as usize,
        height: photo.picture.height() as usize,
        tones: photo.picture.as_raw().clone(),
    };
    let rows = rows(&grey);
    let onto = |b: [f32; 4]| {
        let [x0, y0, x1, y1] = b.map(|v| v * photo.step);
        let (x1, y1) = (x1.min(photo.width() as f32), y1.min(photo.height() as f32));
        [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]
    };
    let flaw = |kind: FlawKind, bounds: [f32; 4]| Flaw {
        kind,
        quad: onto(bounds),
    };
    let whole = [0.0, 0.0, grey.width as f32, grey.height as f32];
    let Some(letter) = usual_height(&rows) else {
        return Judgement {
            letters_px: None,
            flaws: vec![flaw(FlawKind::NoText, whole)],
        };
    };
    let text: Vec<&Row> = rows
        .iter()
        .filter(|r| r.letter > 0.45 * letter && r.letter < 2.5 * letter)
        .collect();
    let all = float(united(text.iter().map(|r| r.bounds)));
    let letters_px = letter * photo.step;
    let mut flaws = Vec::new();
    if letters_px < NEEDED_PX {
        let kind = FlawKind::Small {
            letters_px: letters_px.round(),
            needed_px: NEEDED_PX,
        };
        flaws.push(flaw(kind, all));
    }
    let blurred: Vec<&Row> = text
        .iter()
        .copied()
        .filter(|row| row.letter >= JUDGEABLE)
        .filter(|row| {
            edge_width(&grey, row).is_some_and(|w| w > BLURRED.0 + BLURRED.1 * row.letter)
        })
        .collect();
    let judged = text.iter().filter(|r| r.letter >= JUDGEABLE).count();
    if judged > 0 && 2 * blurred.len() > judged {
        let place = float(united(blurred.iter().map(|r| r.bounds)));
        flaws.push(flaw(FlawKind::Blurred, place));
    }
    if let Some(place) = glare(&grey, all, letter) {
        flaws.push(flaw(FlawKind::Glare, place));
    }
    for row in block(&text) {
        let near = 0.4 * row.letter;
        let [x0, y0, x1, y1] = float(row.bounds);
        let standing = y1 - y0 > x1 - x0;
        let (from, to, end) = if standing {
            (y0, y1, grey.height as f32)
        } else {
            (x0, x1, grey.width as f32)
        };
        if (from < near || end - to < near) && is_aligned(row, standing) {
            flaws.push(flaw(FlawKind::Cut, [x0, y0, x1, y1]));
        }
    }
    if surroundings(&grey, &text) < DARK {
        flaws.push(flaw(FlawKind::Dark, all));
    }
    Judgement {
        letters_px: Some((10.0 * letters_px).round() / 10.0),
        flaws,
    }
}

/// The rows that stand together with most others: those of the plate. A pattern behind it has rows of
/// its own, here and there.
fn block<'a>(rows: &[&'a Row]) -> Vec<&'a Row> {
    let mut name: Vec<usize> = (0..rows.len()).collect();
    for a in 0..rows.len() {
        for b in a + 1..rows.len() {
            if name[a] != name[b] && stand_together(rows[a], rows[b]) {
                let (from, to) = (name[b], name[a]);
                for n in &mut name {
                    if *n == from {
                        *n = to;
                    }
                }
            }
        }
    }
    let letters = |of: usize| -> usize {
        let own = (0..rows.len()).filter(|&i| name[i] == of);
        own.map(|i| rows[i].letters.len()).sum()
    };
    let Some(largest) = name.iter().copied().max_by_key(|&n| letters(n)) else {
        return Vec::new();
    };
    (0..rows.len())
        .filter(|&i| name[i] == largest)
        .map(|i| rows[i])
        .collect()
}

/// True for rows of like letters that are no further apart than lines of a plate.
fn stand_together(a: &Row, b: &Row) -> bool {
    let (low, high) = (a.letter.min(b.letter), a.letter.max(b.letter));
    let reach = TOGETHER * low;
    let ([ax0, ay0, ax1, ay1], [bx0, by0, bx1, by1]) = (float(a.bounds), float(b.bounds));
    high < 2.0 * low
        && ax0 - reach < bx1
        && bx0 - reach < ax1
        && ay0 - reach < by1
        && by0 - reach < ay1
}

/// True where most neighbouring letters share their top or their foot, as printed ones do.
fn is_aligned(row: &Row, standing: bool) -> bool {
    let slack = 0.1 * row.letter + 1.0;
    let ends = |l: &Bounds| {
        let l = float(*l);
        if standing { [l[0], l[2]] } else { [l[1], l[3]] }
    };
    let pairs = row.letters.windows(2);
    let count = pairs.len();
    let aligned = pairs.filter(|pair| {
        let (a, b) = (ends(&pair[0]), ends(&pair[1]));
        (0..2).any(|i| (a[i] - b[i]).abs() <= slack)
    });
    row.letters.len() >= LEAST_CUT && aligned.count() as f32 >= ALIGNED * count as f32
}

fn float(bounds: Bounds) -> [f32; 4] {
    bounds.map(|v| v as f32)
}

fn united(all: impl Iterator<Item = Bounds>) -> Bounds {
    all.fold([usize::MAX, usize::MAX, 0, 0], |a, b| {
        [
            a[0].min(b[0]),
            a[1].min(b[1]),
            a[2].max(b[2]),
            a[3].max(b[3]),
        ]
    })
}

/// Median over all letters of the height of their row.
fn usual_height(rows: &[Row]) -> Option<f32> {
    let mut heights: Vec<f32> = rows
        .iter()
        .flat_map(|r| std::iter::repeat_n(r.letter, r.letters.len()))
        .collect();
    median(&mut heights)
}

/// Median over the letters of a row of the width of their steepest edge in pixels: the difference of
/// ink and ground over the steepest step between neighbouring pixels.
fn edge_width(grey: &Grey, row: &Row) -> Option<f32> {
    let mut widths: Vec<f32> = Vec::new();
    for &[x0, y0, x1, y1] in &row.letters {
        let (x0, y0) = (x0.saturating_sub(2), y0.saturating_sub(2));
        let (x1, y1) = ((x1 + 2).min(grey.width), (y1 + 2).min(grey.height));
        let (mut low, mut high, mut steepest) = (255.0_f32, 0.0_f32, 0.0_f32);
        for y in y0..y1 {
            for x in x0..x1 {
                let tone = grey.at(x, y);
                low = low.min(tone);
                high = high.max(tone);
                if x > x0 {
                    steepest = steepest.max((tone - grey.at(x - 1, y)).abs());
                }
                if y > y0 {
                    steepest = steepest.max((tone - grey.at(x, y - 1)).abs());
                }
            }
        }
        if steepest > 0.0 {
            widths.push((high - low) / steepest);
        }
    }
    median(&mut widths)
}

/// The place within `text` in which squares of one letter's size are white.
fn glare(grey: &Grey, text: [f32; 4], letter: f32) -> Option<[f32; 4]> {
    let side = (letter.ceil() as usize).max(4);
    let [x0, y0, x1, y1] = text.map(|v| v as usize);
    let mut found: Option<[usize; 4]> = None;
    let mut count = 0;
    for y in (y0..y1.saturating_sub(side)).step_by(side) {
        for x in (x0..x1.saturating_sub(side)).step_by(side) {
            let white = (y..y + side)
                .flat_map(|v| &grey.tones[v * grey.width + x..v * grey.width + x + side])
                .filter(|tone| **tone >= WHITE)
                .count();
            if white as f32 >= GLARING * (side * side) as f32 {
                count += 1;
                let square = [x, y, x + side, y + side];
                found = Some(found.map_or(square, |f| united([f, square].into_iter())));
            }
        }
    }
    // One white square is a white letter's inside; white plates are white everywhere.
    let all = (x1 - x0) / side * ((y1 - y0) / side);
    (count >= 3 && 3 * count < all)
        .then(|| found.map(float))
        .flatten()
}

/// Median brightness around the letters.
fn surroundings(grey: &Grey, rows: &[&Row]) -> f32 {
    let mut tones: Vec<f32> = Vec::new();
    for row in rows {
        let [x0, y0, x1, y1] = row.bounds;
        for (x, y) in [(x0, y0), (x1, y0), (x0, y1), (x1, y1)] {
            tones.push(grey.at(x.min(grey.width - 1), y.min(grey.height - 1)));
        }
    }
    median(&mut tones).unwrap_or(255.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{GrayImage, Luma};

    /// Rows of letters, each a ring of two strokes and two bars, `size` pixels high, on a photo of
    /// 1,000 by 700.
    fn text(size: u32, left: u32) -> GrayImage {
        let mut picture = GrayImage::from_pixel(1000, 700, Luma([200]));
        let stroke = (size / 6).max(1);
        for row in 0..4 {
            for letter in 0..12 {
                let (x0, y0) = (left + letter * size, 150 + row * 2 * size);
                for (x, y) in (0..size).flat_map(|y| (0..size * 2 / 3).map(move |x| (x, y))) {
                    let rim = x < stroke
                        || y < stroke
                        || x + stroke >= size * 2 / 3
                        || y + stroke >= size;
                    if rim && x0 + x < 1000 {
                        picture.put_pixel(x0 + x, y0 + y, Luma([50]));
                    }
                }
            }
        }
        picture
    }

    fn kinds(picture: &GrayImage) -> Vec<FlawKind> {
        let rgb = image::DynamicImage::ImageLuma8(picture.clone()).into_rgb8();
        let photo = crate::Photo::from_image(rgb);
        let judged = judge(&Reduced::of(&photo, JUDGED_AT));
        judged.flaws.iter().map(|f| f.kind).collect()
    }

    #[test]
    fn sharp_large_text_is_good() {
        assert!(
            kinds(&text(30, 200)).is_empty(),
            "{:?}",
            kinds(&text(30, 200))
        );
        let turned = image::imageops::rotate90(&text(30, 200));
        assert!(kinds(&turned).is_empty());
    }

    #[test]
    fn small_letters_are_told_with_their_height() {
        let found = kinds(&text(12, 200));
        let [
            FlawKind::Small {
                letters_px,
                needed_px,
            },
        ] = found[..]
        else {
            panic!("{found:?}");
        };
        assert!((letters_px - 12.0).abs() <= 2.0 && (needed_px - NEEDED_PX).abs() < 0.1);
    }

    #[test]
    fn blur_glare_dark_and_cut_text_are_told() {
        let blurred = image::imageops::blur(&text(30, 200), 3.8);
        assert!(
            kinds(&blurred).contains(&FlawKind::Blurred),
            "{:?}",
            kinds(&blurred)
        );
        let mut glaring = text(30, 200);
        for (x, y) in (150..300).flat_map(|y| (300..420).map(move |x| (x, y))) {
            glaring.put_pixel(x, y, Luma([255]));
        }
        assert!(
            kinds(&glaring).contains(&FlawKind::Glare),
            "{:?}",
            kinds(&glaring)
        );
        let mut dark = text(30, 200);
        for pixel in dark.pixels_mut() {
            pixel.0[0] /= 6;
        }
        assert!(kinds(&dark).contains(&FlawKind::Dark), "{:?}", kinds(&dark));
        let cut = kinds(&text(30, 1000 - 8 * 30));
        assert!(cut.contains(&FlawKind::Cut), "{cut:?}");
    }

    #[test]
    fn a_photo_without_letters_says_so() {
        let blank = GrayImage::from_pixel(400, 300, Luma([128]));
        assert_eq!(kinds(&blank), [FlawKind::NoText]);
        assert_eq!(
            kinds(&GrayImage::from_pixel(1, 1, Luma([0]))),
            [FlawKind::NoText]
        );
    }
}
