//! Line picture → characters.

use image::RgbImage;

use crate::ctc::{self, Look};
use crate::error::OcrError;
use crate::geometry::{Quad, length, thickness};
use crate::line::{Glyph, Missed, TextLine};
use crate::model::{Model, Planes};

/// Height in pixels for which the recognisers were trained.
pub(crate) const LINE_HEIGHT: u32 = 48;

/// Widths that the recogniser runs at: each costs a plan in memory, and the padding
/// between two of them costs time. Longer lines are squeezed to the last one, which
/// holds about 130 characters.
const WIDTHS: [u32; 10] = [96, 160, 224, 320, 448, 576, 768, 1024, 1408, 1920];

/// What was seen in one picture of a line.
#[derive(Debug, Clone, Default)]
pub(crate) struct Reading {
    pub(crate) glyphs: Vec<Glyph>,
    pub(crate) missed: Vec<Missed>,
}

impl Reading {
    /// The line that stands at `quad`.
    pub(crate) fn at(self, quad: Quad) -> TextLine {
        TextLine {
            glyphs: self.glyphs,
            missed: self.missed,
            quad,
        }
    }

    /// Mean logarithm of the characters' probabilities, blanks apart; very low without
    /// characters.
    pub(crate) fn sureness(&self) -> f32 {
        let (sum, count) = self.characters().fold((0.0, 0.0), |(sum, n), g| {
            (sum + g.probability.max(1e-4).ln(), n + 1.0)
        });
        if count == 0.0 { -10.0 } else { sum / count }
    }

    /// Probability of the least sure character, blanks apart; 1 without characters.
    pub(crate) fn weakest(&self) -> f32 {
        self.characters().map(|g| g.probability).fold(1.0, f32::min)
    }

    fn characters(&self) -> impl Iterator<Item = &Glyph> {
        self.glyphs.iter().filter(|g| g.ch != ' ')
    }
}

/// A recogniser and the characters that its classes stand for.
pub(crate) struct Recogniser {
    model: Box<dyn Model>,
    /// Class `i` is `alphabet[i - 1]`; class 0 is the blank.
    alphabet: Vec<char>,
}

impl Recogniser {
    pub(crate) fn new(model: Box<dyn Model>, alphabet: Vec<char>) -> Self {
        Self { model, alphabet }
    }

    /// What is seen in `line`, which is [`LINE_HEIGHT`] pixels high.
    pub(crate) fn look(&self, line: &RgbImage, weight: f32) -> Result<Look, OcrError> {
        let width = WIDTHS
            .into_iter()
            .find(|w| *w >= line.width())
            .unwrap_or(line.width().next_multiple_of(8)) as usize;
        let height = LINE_HEIGHT as usize;
        let area = width * height;
        // The padding is 0 after normalisation, as in training.
        let mut data = vec![0.0; 3 * area];
        for (x, y, pixel) in line.enumerate_pixels() {
            for plane in 0..3 {
                data[plane * area + y as usize * width + x as usize] =
                    f32::from(pixel.0[2 - plane]) / 127.5 - 1.0;
            }
        }
        let output = self.model.run(Planes {
            height,
            width,
            data,
        })?;
        let classes = self.alphabet.len() + 1;
        if output.shape.last() != Some(&classes) {
            return Err(OcrError::model(
                "recogniser",
                &format!("output shape {:?} does not fit the alphabet", output.shape),
            ));
        }
        Ok(Look {
            data: output.data,
            classes,
            used: line.width() as f32 / width as f32,
            weight,
        })
    }

    /// The characters that `looks` at one line show together.
    pub(crate) fn decode(&self, looks: &[Look]) -> Reading {
        let (glyphs, missed) = ctc::decode(looks, &self.alphabet);
        Reading { glyphs, missed }
    }

    /// The characters in `line`, looked at once.
    pub(crate) fn read(&self, line: &RgbImage) -> Result<Reading, OcrError> {
        Ok(self.decode(&[self.look(line, 1.0)?]))
    }
}

/// Width in pixels of the picture of `quad` at [`LINE_HEIGHT`].
pub(crate) fn line_width(quad: &Quad) -> u32 {
    let ratio = length(quad) / thickness(quad).max(1.0);
    let widest = WIDTHS[WIDTHS.len() - 1];
    ((LINE_HEIGHT as f32 * ratio).round() as u32).clamp(16, widest)
}
