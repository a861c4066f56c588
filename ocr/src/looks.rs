//! How often each line is looked at, and how.

use image::RgbImage;

use crate::abreast::Begun;
use crate::ctc::Look;
use crate::error::OcrError;
use crate::geometry::{Quad, grown, thickness};
use crate::recognise::{LINE_HEIGHT, Reading, Recogniser, WIDEST, line_width};
use crate::sample::Pyramid;
use crate::spots;

/// A line with a character less probable than this is looked at again.
const DOUBTFUL: f32 = 0.9;
/// Pixels of line, at [`LINE_HEIGHT`], that the general recogniser may look at on one
/// photo, the most doubtful lines first. 3,000 take about 0.4 s on one core of 2024.
const BUDGET: u32 = 3000;
/// The second crop is tighter by this share of the line's height on each side. Another
/// scale moves strokes against the recogniser's strides, which is where it errs.
const TIGHTER: f32 = -0.06;

/// Columns of the line's picture for one character, below which strokes melt together in the
/// recogniser, which tells places of four columns apart: an I is as wide as one, and a second one is lost.
const NARROW: f32 = 15.0;
/// By this factor such a line is stretched for another look.
const STRETCHED: f32 = 1.5;

/// The recognisers of a photo's lines.
#[derive(Clone, Copy)]
pub(crate) struct Eyes<'a> {
    /// Trained for plates.
    pub(crate) plate: &'a Recogniser,
    /// Costs several times as much but knows more words and typefaces.
    pub(crate) general: &'a Recogniser,
    /// The processors that look.
    pub(crate) crew: &'a Begun<'a>,
}

impl Eyes<'_> {
    /// The readings of the lines in `quads`, in their order; `doubt` is called for each that the general
    /// recogniser will be shown, if there is room for it.
    ///
    /// The recogniser for plates looks first, and once more where it doubts. What stays
    /// doubtful is shown to the general recogniser too; all looks at a line are judged together.
    pub(crate) fn read_all(
        self,
        pyramid: &Pyramid,
        quads: &[Quad],
        doubt: impl Fn() + Sync,
    ) -> Result<Vec<Reading>, OcrError> {
        let seen = self.crew.each(quads, |quad| {
            let seen = self.closely(pyramid, quad)?;
            if seen.1.weakest() < DOUBTFUL {
                doubt();
            }
            Ok(seen)
        })?;
        let (looks, mut readings): (Vec<Vec<Look>>, Vec<Reading>) = seen.into_iter().unzip();
        let mut doubtful: Vec<usize> = (0..quads.len())
            .filter(|&i| readings[i].weakest() < DOUBTFUL)
            .collect();
        doubtful.sort_by(|&a, &b| readings[a].weakest().total_cmp(&readings[b].weakest()));
        let mut spent = 0;
        doubtful.retain(|&i| {
            spent += line_width(&quads[i]);
            spent <= BUDGET
        });
        let again = self.crew.each(&doubtful, |&i| {
            let mut looks = looks[i].clone();
            looks.push(self.general.look(&picture(pyramid, &quads[i]))?);
            Ok(self.plate.decode(&looks))
        })?;
        for (i, reading) in doubtful.into_iter().zip(again) {
            readings[i] = reading;
        }
        Ok(readings)
    }

    /// What the recogniser for plates sees in a line, with as many looks as it needs.
    fn closely(self, pyramid: &Pyramid, quad: &Quad) -> Result<(Vec<Look>, Reading), OcrError> {
        let plate = self.plate;
        let first = picture(pyramid, quad);
        let mut own = vec![plate.look(&first)?];
        let mut reading = plate.decode(&own);
        let letters: Vec<f32> = reading.characters().map(|g| g.x).collect();
        if let Some(spotless) = spots::painted_over(&first, &letters) {
            for line in &spotless {
                own.push(plate.look(line)?);
            }
            reading = plate.decode(&own);
        }
        if is_narrow(&reading, quad) {
            own.push(plate.look(&stretched(pyramid, quad))?);
            reading = plate.decode(&own);
        }
        if reading.weakest() < DOUBTFUL {
            let tighter = grown(quad, TIGHTER * thickness(quad));
            own.push(plate.look(&picture(pyramid, &tighter))?);
            reading = plate.decode(&own);
        }
        Ok((own, reading))
    }
}

/// Whether the characters stand closer than the recogniser's steps tell apart.
fn is_narrow(reading: &Reading, quad: &Quad) -> bool {
    let count = reading.glyphs.len();
    count > 3 && (line_width(quad) as f32) < NARROW * count as f32
}

fn stretched(pyramid: &Pyramid, quad: &Quad) -> RgbImage {
    let width = (STRETCHED * line_width(quad) as f32).min(WIDEST as f32);
    pyramid.line(quad, width as u32, LINE_HEIGHT)
}

/// The text in `quad`, as a recogniser is shown it.
pub(crate) fn picture(pyramid: &Pyramid, quad: &Quad) -> RgbImage {
    pyramid.line(quad, line_width(quad), LINE_HEIGHT)
}
