//! Spots of paint, rust or dirt that cover a part of a letter.
//!
//! A recogniser takes a spot for ink: half a `4` under red paint is a `6` to it, and it is sure of it.
//! So a line with spots is looked at again with each spot painted over, once as if nothing stood
//! under it and once as if it were ink. Where what is still seen of a letter decides what it is, all
//! looks agree; where it does not, they differ, and the letter is doubtful.

use image::{GrayImage, Luma, Rgb, RgbImage};
use imageproc::distance_transform::Norm;
use imageproc::morphology::{dilate, open};
use imageproc::region_labelling::{Connectivity, connected_components};

use crate::median::median;
use crate::runs::runs;
use crate::sample::halved;

/// Steps by which the hue of paint differs from that of the plate's surface and letters, each plane
/// less the green one in 128ths of the brightness.
const OTHER_HUE: f32 = 30.0;
/// Steps of 255 by which white or black paint differs from the surface.
const OTHER_TONE: f32 = 40.0;
/// The same in times of the line's own unevenness.
const UNEVEN: f32 = 5.0;
/// Spots are looked for at half the size of the recogniser's picture, and these lengths are in its
/// pixels. Half the width of the thinnest spot of another hue that is one; thinner ones hide no stroke.
const THIN: u8 = 1;
/// The same for a spot that differs in brightness alone: strokes of bold letters do so too.
const BOLD: u8 = 2;
/// Half the width of a letter.
const HALF_LETTER: f32 = 4.0;
/// What lies around a spot where its colour mixes with that of the plate.
const RIM: u8 = 1;
/// Pixels of another hue in a column that are more than noise.
const COLOURED: usize = 2;
/// What spots of one kind cover of the line's length at most; what is all along it is its letters.
const SPOTTED: f32 = 0.4;
/// Spots of another hue that a line may have.
const SPLASHES: usize = 4;
/// Longest spot in heights of the line. What is larger hides whole letters, and is found as that.
const LONGEST: f32 = 1.6;
/// A picture narrower than this has no room for a spot and something to tell it from.
const NARROWEST: u32 = 16;
/// Pixels of the recogniser's picture beside a spot from which colours are taken to paint over it.
const BESIDE: u32 = 32;

/// `line` with the spots on its letters painted over, as surface and as ink; none where it has none.
/// The centres of the letters are given along the line, as in [`Glyph::x`](crate::Glyph::x).
pub(crate) fn painted_over(line: &RgbImage, letters: &[f32]) -> Option<[RgbImage; 2]> {
    if line.width() < NARROWEST {
        return None;
    }
    let half = halved(line);
    let columns = letters.iter().map(|x| x * half.width() as f32).collect();
    let mask = Letters(columns).spots(&half)?;
    let spots = Spots(dilate(&mask, Norm::LInf, RIM));
    let (mut as_surface, mut as_ink) = (line.clone(), line.clone());
    for x in 0..line.width() {
        let covered: Vec<u32> = (0..line.height()).filter(|&y| spots.cover(x, y)).collect();
        if covered.is_empty() {
            continue;
        }
        let [surface, ink] = spots.colours(line, x);
        for y in covered {
            as_surface.put_pixel(x, y, surface);
            as_ink.put_pixel(x, y, ink);
        }
    }
    Some([as_surface, as_ink])
}

/// White where spots lie, at half the size.
struct Spots(GrayImage);

impl Spots {
    fn cover(&self, x: u32, y: u32) -> bool {
        let seen = self.0.get_pixel_checked(x / 2, y / 2);
        seen.is_some_and(|p| p.0[0] > 0)
    }

    /// The colours of surface and ink around a column, from what no spot covers.
    fn colours(&self, line: &RgbImage, column: u32) -> [Rgb<u8>; 2] {
        let near = column.saturating_sub(BESIDE)..(column + BESIDE).min(line.width());
        let mut pixels: Vec<[u8; 3]> = near
            .flat_map(|x| (0..line.height()).map(move |y| (x, y)))
            .filter(|&(x, y)| !self.cover(x, y))
            .map(|(x, y)| line.get_pixel(x, y).0)
            .collect();
        if pixels.is_empty() {
            return [Rgb([128; 3]); 2];
        }
        pixels.sort_unstable_by_key(|p| tone(*p) as u32);
        let surface = pixels[pixels.len() / 2];
        // Letters are dark on light or light on dark: what is further from the surface.
        let (dark, light) = (pixels[pixels.len() / 20], pixels[pixels.len() * 19 / 20]);
        let ink = if tone(surface) - tone(dark) >= tone(light) - tone(surface) {
            dark
        } else {
            light
        };
        [Rgb(surface), Rgb(ink)]
    }
}

/// Columns in which letters have their centres.
struct Letters(Vec<f32>);

impl Letters {
    /// White where a spot lies on `line`, which has half its size; none where there is none.
    fn spots(&self, line: &RgbImage) -> Option<GrayImage> {
        let tones: Vec<f32> = line.pixels().map(|p| tone(p.0)).collect();
        let hues: Vec<[f32; 2]> = line.pixels().map(|p| hue(p.0)).collect();
        let usual_hue = [0, 1].map(|i| middle(hues.iter().map(|h| h[i])));
        let strange_hue: Vec<f32> = hues
            .iter()
            .map(|h| (h[0] - usual_hue[0]).abs().max((h[1] - usual_hue[1]).abs()))
            .collect();
        let other_hue = OTHER_HUE.max(UNEVEN * middle(strange_hue.iter().copied()));
        let usual_tone = middle(tones.iter().copied());
        let uneven = middle(tones.iter().map(|t| (t - usual_tone).abs()));
        let other_tone = OTHER_TONE.max(UNEVEN * uneven);
        let size = (line.width(), line.height());
        let tinted = of(size, |i| strange_hue[i] > other_hue);
        let kinds = [
            // Letters may have a hue of their own, thin or bold.
            (!is_print(&tinted)).then_some((tinted, THIN)),
            Some((of(size, |i| tones[i] > usual_tone + other_tone), BOLD)),
            Some((of(size, |i| tones[i] < usual_tone - other_tone), BOLD)),
        ];
        kinds
            .into_iter()
            .flatten()
            .filter_map(|(mask, half)| self.small(&mask, half))
            .reduce(|mut all, found| {
                for (to, from) in all.pixels_mut().zip(found.pixels()) {
                    to.0[0] |= from.0[0];
                }
                all
            })
    }

    /// The solid places of a mask that are small and few, thicker than twice `half`, and touch a letter.
    fn small(&self, mask: &GrayImage, half: u8) -> Option<GrayImage> {
        let solid = open(mask, Norm::LInf, half);
        let labels = connected_components(&solid, Connectivity::Eight, Luma([0]));
        let mut extents: Vec<[u32; 2]> = Vec::new();
        for (x, _, label) in labels.enumerate_pixels() {
            let Some(at) = (label.0[0] as usize).checked_sub(1) else {
                continue;
            };
            if extents.len() <= at {
                extents.resize(at + 1, [u32::MAX, 0]);
            }
            extents[at] = [extents[at][0].min(x), extents[at][1].max(x)];
        }
        let mut columns = vec![false; mask.width() as usize];
        for [from, to] in extents.iter().filter(|e| e[0] <= e[1]) {
            columns[*from as usize..=*to as usize].fill(true);
        }
        let covered = columns.iter().filter(|c| **c).count();
        if covered == 0 || covered as f32 > SPOTTED * mask.width() as f32 {
            return None;
        }
        let longest = LONGEST * mask.height() as f32;
        let is_small = |[from, to]: [u32; 2]| {
            let (from, to) = (from as f32, to as f32);
            let touches = |x: &f32| from - HALF_LETTER < *x && *x < to + HALF_LETTER;
            to - from <= longest && self.0.iter().any(touches)
        };
        let mut kept = GrayImage::new(mask.width(), mask.height());
        let mut any = false;
        for (x, y, label) in labels.enumerate_pixels() {
            let at = (label.0[0] as usize).checked_sub(1);
            if at.is_some_and(|at| is_small(extents[at])) {
                kept.put_pixel(x, y, Luma([255]));
                any = true;
            }
        }
        any.then_some(kept)
    }
}

/// White where `is`, by the index of the pixel; the frame stays black, since morphology takes what lies
/// beyond it for more of the same.
fn of((width, height): (u32, u32), is: impl Fn(usize) -> bool) -> GrayImage {
    GrayImage::from_fn(width, height, |x, y| {
        let inside = x > 0 && y > 0 && x + 1 < width && y + 1 < height;
        Luma([if inside && is((y * width + x) as usize) {
            255
        } else {
            0
        }])
    })
}

/// True where a mask has something all along the line, or in more places than paint splashes to.
fn is_print(mask: &GrayImage) -> bool {
    let lit = |x: usize| {
        let column = (0..mask.height()).filter(|&y| mask.get_pixel(x as u32, y).0[0] > 0);
        column.count() >= COLOURED
    };
    let found = runs(mask.width() as usize, lit);
    let columns: usize = found.iter().map(ExactSizeIterator::len).sum();
    found.len() > SPLASHES || columns as f32 > SPOTTED * mask.width() as f32
}

fn tone([r, g, b]: [u8; 3]) -> f32 {
    crate::ink::brightness([r, g, b].map(f32::from))
}

/// Red and blue less green, in 128ths of the brightness, so that shade does not change it.
fn hue(pixel: [u8; 3]) -> [f32; 2] {
    let [r, g, b] = pixel.map(f32::from);
    let per = 128.0 / tone(pixel).max(40.0);
    [(r - g) * per, (b - g) * per]
}

fn middle(values: impl Iterator<Item = f32>) -> f32 {
    let mut values: Vec<f32> = values.collect();
    median(&mut values).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const GROUND: Rgb<u8> = Rgb([190, 192, 195]);
    const INK: Rgb<u8> = Rgb([40, 40, 45]);
    const PAINT: Rgb<u8> = Rgb([200, 30, 25]);
    /// Some of the letters of [`line`].
    const LETTERS: [f32; 3] = [0.03, 0.23, 0.97];

    /// A line of twenty letters of two strokes each.
    fn line(ink: Rgb<u8>, stroke: u32) -> RgbImage {
        let mut picture = RgbImage::from_pixel(480, 48, GROUND);
        for letter in 0..20 {
            for x in [8 + letter * 24, 18 + letter * 24] {
                fill(&mut picture, [x, 10, x + stroke, 38], ink);
            }
        }
        picture
    }

    fn fill(picture: &mut RgbImage, [x0, y0, x1, y1]: [u32; 4], colour: Rgb<u8>) {
        for (x, y) in (y0..y1).flat_map(|y| (x0..x1).map(move |x| (x, y))) {
            picture.put_pixel(x, y, colour);
        }
    }

    #[test]
    fn a_spot_is_painted_over_as_surface_and_as_ink() {
        for paint in [PAINT, Rgb([250; 3]), Rgb([5; 3])] {
            let mut spotted = line(INK, 3);
            fill(&mut spotted, [100, 16, 114, 32], paint);
            let [as_surface, as_ink] = painted_over(&spotted, &LETTERS).unwrap();
            assert_eq!(*as_surface.get_pixel(107, 24), GROUND, "{paint:?}");
            assert_eq!(*as_ink.get_pixel(107, 24), INK, "{paint:?}");
            // Letters beside it stay as they are.
            let apart = |x: &u32| *x < 96 || *x > 121;
            for x in (0..480).filter(apart) {
                assert_eq!(as_ink.get_pixel(x, 24), spotted.get_pixel(x, 24));
            }
        }
    }

    #[test]
    fn what_touches_no_letter_hides_none() {
        let mut spotted = line(INK, 3);
        fill(&mut spotted, [100, 16, 114, 32], PAINT);
        assert!(painted_over(&spotted, &[0.03, 0.97]).is_none());
        assert!(painted_over(&spotted, &[]).is_none());
    }

    #[test]
    fn print_of_another_hue_and_bold_print_are_no_spots() {
        for stroke in [3, 6] {
            assert!(painted_over(&line(Rgb([30, 50, 140]), stroke), &LETTERS).is_none());
            assert!(painted_over(&line(INK, stroke), &LETTERS).is_none());
        }
    }

    #[test]
    fn shade_along_the_line_is_no_spot() {
        let mut shaded = line(INK, 3);
        for (x, _, pixel) in shaded.enumerate_pixels_mut() {
            let light = if x < 240 { 0.5 } else { 1.0 };
            pixel.0 = pixel.0.map(|v| (f32::from(v) * light) as u8);
        }
        assert!(painted_over(&shaded, &LETTERS).is_none());
    }

    #[test]
    fn any_picture_is_looked_at() {
        for (width, height) in [(1, 1), (16, 48), (1920, 48)] {
            let picture = RgbImage::from_pixel(width, height, GROUND);
            assert!(painted_over(&picture, &LETTERS).is_none());
        }
    }
}
