//! How often each line is looked at, and how.

use image::RgbImage;

use crate::ctc::Look;
use crate::error::OcrError;
use crate::geometry::{Quad, grown, thickness};
use crate::recognise::{LINE_HEIGHT, Reading, Recogniser, line_width};
use crate::sample::Pyramid;

/// A line with a character less probable than this is looked at again.
const DOUBTFUL: f32 = 0.9;
/// Pixels of line, at [`LINE_HEIGHT`], that the general recogniser may look at on one
/// photo, the most doubtful lines first. 3,000 take about 0.4 s on one core of 2024.
const BUDGET: u32 = 3000;
/// The second crop is tighter by this share of the line's height on each side. Another
/// scale moves strokes against the recogniser's strides, which is where it errs.
const TIGHTER: f32 = -0.06;

/// The readings of the lines in `quads`, in their order.
///
/// The recogniser for plates looks first, and once more where it doubts. What stays
/// doubtful is shown to the general recogniser too, which costs several times as much but
/// knows more words and typefaces; all looks at a line are judged together.
pub(crate) fn read_all(
    plate: &Recogniser,
    general: &Recogniser,
    pyramid: &Pyramid,
    quads: &[Quad],
) -> Result<Vec<Reading>, OcrError> {
    let mut looks: Vec<Vec<Look>> = Vec::with_capacity(quads.len());
    let mut readings = Vec::with_capacity(quads.len());
    for quad in quads {
        let mut own = vec![plate.look(&picture(pyramid, quad))?];
        let mut reading = plate.decode(&own);
        if reading.weakest() < DOUBTFUL {
            let tighter = grown(quad, TIGHTER * thickness(quad));
            own.push(plate.look(&picture(pyramid, &tighter))?);
            reading = plate.decode(&own);
        }
        looks.push(own);
        readings.push(reading);
    }
    let mut doubtful: Vec<usize> = (0..quads.len())
        .filter(|&i| readings[i].weakest() < DOUBTFUL)
        .collect();
    doubtful.sort_by(|&a, &b| readings[a].weakest().total_cmp(&readings[b].weakest()));
    let mut spent = 0;
    for i in doubtful {
        spent += line_width(&quads[i]);
        if spent > BUDGET {
            break;
        }
        looks[i].push(general.look(&picture(pyramid, &quads[i]))?);
        readings[i] = plate.decode(&looks[i]);
    }
    Ok(readings)
}

fn picture(pyramid: &Pyramid, quad: &Quad) -> RgbImage {
    pyramid.line(quad, line_width(quad), LINE_HEIGHT)
}
