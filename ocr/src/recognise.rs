//! Line picture → characters.

use std::sync::Arc;

use image::RgbImage;

use crate::alphabet::{Alphabet, Classes};
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

/// Widest picture of a line.
pub(crate) const WIDEST: u32 = WIDTHS[WIDTHS.len() - 1];

/// Widths of [`WIDTHS`] that few photos do without.
const USUAL: std::ops::Range<usize> = 1..7;

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
            ..TextLine::default()
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

    /// The characters, blanks apart.
    pub(crate) fn characters(&self) -> impl Iterator<Item = &Glyph> {
        self.glyphs.iter().filter(|g| g.ch != ' ')
    }
}

/// What a recogniser was trained to see.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sight {
    /// Three colours, each `x / 127.5 - 1`; zeros after the line.
    Colours,
    /// Brightness with mean 0 and deviation about 1 over the line; its last column
    /// repeated after it.
    Brightness,
}

impl Sight {
    /// Planes of the picture.
    pub(crate) fn planes(self) -> usize {
        match self {
            Self::Colours => 3,
            Self::Brightness => 1,
        }
    }
}

/// What a recogniser gives for each step and class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Scores {
    /// Probabilities.
    Probabilities,
    /// Logits. Divided by a temperature, fitted on lines that the network was not trained
    /// on, they make probabilities that mean what they say.
    Logits {
        /// Above 0.
        temperature: f32,
    },
}

impl Scores {
    /// Makes each row of `classes` values in `data` a distribution.
    fn settle(self, data: &mut [f32], classes: usize) {
        let Self::Logits { temperature } = self else {
            return;
        };
        for row in data.chunks_exact_mut(classes.max(1)) {
            let top = row.iter().copied().fold(f32::MIN, f32::max);
            let mut sum = 0.0;
            for value in row.iter_mut() {
                let below = (*value - top) / temperature;
                // Most classes are nothing, and to find out how little takes time.
                *value = if below < NOTHING { 0.0 } else { below.exp() };
                sum += *value;
            }
            for value in row.iter_mut() {
                *value /= sum;
            }
        }
    }
}

/// A class that is so far below the likeliest one counts as impossible: e to the power of this is
/// 4e-8, less than the decoder tells apart.
const NOTHING: f32 = -17.0;

/// A recogniser and the characters that its classes stand for.
pub(crate) struct Recogniser {
    model: Box<dyn Model>,
    sight: Sight,
    scores: Scores,
    classes: Arc<Classes>,
    alphabet: Arc<Alphabet>,
}

impl Recogniser {
    /// `classes` are this recogniser's in `alphabet`.
    pub(crate) fn new(
        model: Box<dyn Model>,
        sight: Sight,
        scores: Scores,
        classes: Arc<Classes>,
        alphabet: Arc<Alphabet>,
    ) -> Self {
        Self {
            model,
            sight,
            scores,
            classes,
            alphabet,
        }
    }

    /// Does beforehand what the first line would otherwise wait for.
    pub(crate) fn prepare(&self) -> Result<(), OcrError> {
        self.model.prepare()
    }

    /// Does beforehand what lines of the usual widths would otherwise wait for.
    pub(crate) fn expect_lines(&self) -> Result<(), OcrError> {
        self.expect(&WIDTHS[USUAL])
    }

    /// Does beforehand what lines of any width would otherwise wait for.
    pub(crate) fn expect_all_lines(&self) -> Result<(), OcrError> {
        self.expect(&WIDTHS)
    }

    fn expect(&self, widths: &[u32]) -> Result<(), OcrError> {
        let mut widths = widths.iter();
        widths.try_for_each(|&width| self.model.expect(LINE_HEIGHT as usize, width as usize))
    }

    /// Lets go of what the next line can make again.
    pub(crate) fn rest(&self) {
        self.model.rest();
    }

    /// What is seen in `line`, which is [`LINE_HEIGHT`] pixels high.
    pub(crate) fn look(&self, line: &RgbImage) -> Result<Look, OcrError> {
        let width = WIDTHS
            .into_iter()
            .find(|w| *w >= line.width())
            .unwrap_or(line.width().next_multiple_of(8)) as usize;
        let height = LINE_HEIGHT as usize;
        let data = match self.sight {
            Sight::Colours => colours(line, width),
            Sight::Brightness => brightness(line, width),
        };
        let mut output = self.model.run(Planes {
            height,
            width,
            data,
        })?;
        if output.shape.last() != Some(&self.classes.count()) {
            return Err(OcrError::model(
                "recogniser",
                &format!("output shape {:?} does not fit the alphabet", output.shape),
            ));
        }
        self.scores.settle(&mut output.data, self.classes.count());
        let used = line.width() as f32 / width as f32;
        Ok(Look::new(output.data, self.classes.clone(), used))
    }

    /// The characters that `looks` at one line show together.
    pub(crate) fn decode(&self, looks: &[Look]) -> Reading {
        let (glyphs, missed) = ctc::decode(looks, &self.alphabet);
        Reading { glyphs, missed }
    }

    /// The characters in `line`, looked at once.
    pub(crate) fn read(&self, line: &RgbImage) -> Result<Reading, OcrError> {
        Ok(self.decode(&[self.look(line)?]))
    }
}

/// Blue, green and red of `line` in `width` columns. The padding is 0 after
/// normalisation, as in training.
fn colours(line: &RgbImage, width: usize) -> Vec<f32> {
    let area = width * LINE_HEIGHT as usize;
    let mut data = vec![0.0; 3 * area];
    for (x, y, pixel) in line.enumerate_pixels() {
        for plane in 0..3 {
            data[plane * area + y as usize * width + x as usize] =
                f32::from(pixel.0[2 - plane]) / 127.5 - 1.0;
        }
    }
    data
}

/// Brightness of `line` in `width` columns, standardised as by `standardised` in
/// models/train/augment.py.
fn brightness(line: &RgbImage, width: usize) -> Vec<f32> {
    let tones: Vec<f32> = line
        .pixels()
        .map(|p| {
            let [r, g, b] = p.0.map(f32::from);
            (0.299 * r + 0.587 * g + 0.114 * b) / 255.0
        })
        .collect();
    let count = tones.len().max(1) as f32;
    let mean = tones.iter().sum::<f32>() / count;
    let variance = tones.iter().map(|t| (t - mean).powi(2)).sum::<f32>() / count;
    // A flat picture is noise; the summand keeps it from being blown up.
    let scale = 1.0 / (variance.sqrt() + 0.02);
    let used = line.width() as usize;
    let mut data = Vec::with_capacity(width * LINE_HEIGHT as usize);
    for row in tones.chunks_exact(used.max(1)) {
        data.extend(row.iter().map(|t| ((t - mean) * scale).clamp(-4.0, 4.0)));
        let last = data.last().copied().unwrap_or(0.0);
        data.extend(std::iter::repeat_n(last, width - used));
    }
    data
}

/// Width in pixels of the picture of `quad` at [`LINE_HEIGHT`].
pub(crate) fn line_width(quad: &Quad) -> u32 {
    let ratio = length(quad) / thickness(quad).max(1.0);
    ((LINE_HEIGHT as f32 * ratio).round() as u32).clamp(16, WIDEST)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brightness_is_standardised_and_its_edge_repeated() {
        let line = RgbImage::from_fn(4, LINE_HEIGHT, |x, _| {
            image::Rgb([if x < 2 { 100 } else { 200 }; 3])
        });
        let data = brightness(&line, 6);
        assert_eq!(data.len(), 6 * LINE_HEIGHT as usize);
        // Deviation 50 / 255 = 0.196, so ±0.196 / (0.196 + 0.02) = ±0.907.
        for (value, expected) in data
            .iter()
            .zip([-0.907, -0.907, 0.907, 0.907, 0.907, 0.907])
        {
            assert!((value - expected).abs() < 0.002, "{value} {expected}");
        }
    }

    #[test]
    fn logits_become_probabilities_less_sure_at_a_higher_temperature() {
        // ln 3 apart: 3 to 1, and √3 to 1 at twice the temperature.
        let rows = [0.0, 3.0_f32.ln(), -900.0, -900.0];
        for (temperature, expected) in [(1.0, 0.75), (2.0, 0.634)] {
            let mut data = rows;
            Scores::Logits { temperature }.settle(&mut data, 2);
            assert!((data[1] - expected).abs() < 0.001, "{data:?}");
            assert!((data[0] + data[1] - 1.0).abs() < 1e-6);
            assert!((data[2] - 0.5).abs() < 1e-6 && (data[3] - 0.5).abs() < 1e-6);
        }
        let mut data = rows;
        Scores::Probabilities.settle(&mut data, 2);
        assert!(
            data.iter()
                .zip(rows)
                .all(|(a, b)| a.to_bits() == b.to_bits())
        );
    }

    #[test]
    fn usual_widths_are_expected_first_and_then_all() {
        struct Noted(std::sync::Mutex<Vec<(usize, usize)>>);
        impl Model for Arc<Noted> {
            fn run(&self, _: Planes) -> Result<crate::model::Output, OcrError> {
                Err(OcrError::model("noted", &"nothing is read"))
            }

            fn expect(&self, height: usize, width: usize) -> Result<(), OcrError> {
                self.0.lock().unwrap().push((height, width));
                Ok(())
            }
        }
        let noted = Arc::new(Noted(std::sync::Mutex::default()));
        let alphabet = Alphabet::of([['I'].as_slice()]);
        let recogniser = Recogniser::new(
            Box::new(Arc::clone(&noted)),
            Sight::Brightness,
            Scores::Probabilities,
            Classes::new(&['I'], &alphabet),
            alphabet,
        );
        recogniser.expect_lines().unwrap();
        let widths = [160, 224, 320, 448, 576, 768];
        assert_eq!(*noted.0.lock().unwrap(), widths.map(|w| (48, w)));
        recogniser.expect_all_lines().unwrap();
        assert_eq!(
            noted.0.lock().unwrap()[6..],
            WIDTHS.map(|w| (48, w as usize))
        );
    }

    #[test]
    fn a_picture_without_contrast_stays_quiet() {
        let line = RgbImage::from_pixel(8, LINE_HEIGHT, image::Rgb([90; 3]));
        assert!(brightness(&line, 8).iter().all(|v| v.abs() < 1e-3));
    }

    #[test]
    fn colours_come_blue_first_and_zeros_after() {
        let line = RgbImage::from_pixel(1, LINE_HEIGHT, image::Rgb([255, 0, 0]));
        let data = colours(&line, 2);
        let plane = 2 * LINE_HEIGHT as usize;
        assert_eq!(&data[..2], [-1.0, 0.0]);
        assert_eq!(&data[2 * plane..2 * plane + 2], [1.0, 0.0]);
    }
}
