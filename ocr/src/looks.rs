//! How often each line is looked at, and how.

use image::{Pixel, RgbImage};

use crate::ctc::Look;
use crate::error::OcrError;
use crate::geometry::{Quad, grown, thickness};
use crate::recognise::{LINE_HEIGHT, Reading, Recogniser, line_width};
use crate::sample::Pyramid;

/// A line with a character less probable than this is looked at again.
const DOUBTFUL: f32 = 0.9;
/// Pixels of line, at [`LINE_HEIGHT`], that may be looked at again on one photo, the
/// most doubtful lines first. 1,500 take about 0.2 s on one core of 2024.
const BUDGET: u32 = 1500;
/// The second crop is tighter by this share of the line's height on each side. Another
/// scale moves strokes against the recogniser's strides, which is where it errs.
const TIGHTER: f32 = -0.06;

/// The readings of the lines in `quads`, in their order.
pub(crate) fn read_all(
    recogniser: &Recogniser,
    pyramid: &Pyramid,
    quads: &[Quad],
) -> Result<Vec<Reading>, OcrError> {
    let mut looks: Vec<Vec<Look>> = Vec::with_capacity(quads.len());
    let mut readings = Vec::with_capacity(quads.len());
    for quad in quads {
        let first = recogniser.look(&picture(pyramid, quad), 1.0)?;
        looks.push(vec![first]);
        readings.push(recogniser.decode(&looks[looks.len() - 1]));
    }
    let mut doubtful: Vec<usize> = (0..quads.len())
        .filter(|&i| readings[i].weakest() < DOUBTFUL)
        .collect();
    doubtful.sort_by(|&a, &b| readings[a].weakest().total_cmp(&readings[b].weakest()));
    let mut spent = 0;
    for i in doubtful {
        spent += 2 * line_width(&quads[i]);
        if spent > BUDGET {
            break;
        }
        let mut stretched = picture(pyramid, &quads[i]);
        stretch(&mut stretched);
        looks[i].push(recogniser.look(&stretched, 1.0)?);
        let tighter = grown(&quads[i], TIGHTER * thickness(&quads[i]));
        looks[i].push(recogniser.look(&picture(pyramid, &tighter), 1.0)?);
        readings[i] = recogniser.decode(&looks[i]);
    }
    Ok(readings)
}

fn picture(pyramid: &Pyramid, quad: &Quad) -> RgbImage {
    pyramid.line(quad, line_width(quad), LINE_HEIGHT)
}

/// Spreads the tones of all but the darkest and brightest fiftieth of the pixels over
/// most of the range: faint print and glare keep their strokes apart.
fn stretch(picture: &mut RgbImage) {
    let mut tones: Vec<u8> = picture.pixels().map(|p| p.to_luma().0[0]).collect();
    tones.sort_unstable();
    let fiftieth = tones.len() / 50;
    let dark = f32::from(tones[fiftieth]);
    let bright = f32::from(tones[tones.len() - 1 - fiftieth]);
    // Flat pictures hold nothing to spread but noise.
    let gain = 220.0 / (bright - dark).max(20.0);
    for value in picture.pixels_mut().flat_map(|p| &mut p.0) {
        *value = ((f32::from(*value) - dark) * gain + 17.0).clamp(0.0, 255.0) as u8;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faint_strokes_become_plain() {
        let mut picture = RgbImage::from_fn(40, 10, |x, _| {
            image::Rgb([if x % 4 == 0 { 110 } else { 130 }; 3])
        });
        stretch(&mut picture);
        assert_eq!(picture.get_pixel(0, 0).0, [17; 3]);
        assert_eq!(picture.get_pixel(1, 0).0, [237; 3]);
    }
}
