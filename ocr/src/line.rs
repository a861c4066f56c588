//! What a reading consists of.

use serde::Serialize;

/// Stands in a line where there is ink that nobody can read: one for a whole stretch of
/// covered or worn letters.
pub const ILLEGIBLE: char = '\u{fffd}';

/// One character of a line as the recogniser saw it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Glyph {
    /// The most probable character, or [`ILLEGIBLE`].
    pub ch: char,
    /// Its probability, 0 to 1.
    pub probability: f32,
    /// What else may stand here, most probable first, with probabilities; `None`:
    /// no character at all. Nothing below one in a thousand is listed.
    pub also: Vec<(Option<char>, f32)>,
    /// Centre of the character along the line: 0 is the line's left edge, 1 its right.
    pub x: f32,
}

/// A character that may stand where none was read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Missed {
    /// It would stand before the glyph of this index (the number of glyphs: at the end).
    pub before: usize,
    /// The character.
    pub ch: char,
    /// Its probability, 0 to 1: what the recogniser gave it where it saw nothing.
    pub probability: f32,
    /// Place along the line, as [`Glyph::x`].
    pub x: f32,
}

/// A line of text on a photo, with everything the recogniser doubted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TextLine {
    /// The characters, blanks between words included.
    pub glyphs: Vec<Glyph>,
    /// Characters that may have been overlooked, from left to right.
    pub missed: Vec<Missed>,
    /// Corners in pixels of the upright photo, clockwise from the text's own top left.
    pub quad: [[f32; 2]; 4],
}

impl TextLine {
    /// The line as read; nothing is corrected.
    pub fn text(&self) -> String {
        self.glyphs.iter().map(|g| g.ch).collect()
    }

    /// Probability that every character is right, were their errors independent: the
    /// product of the characters' probabilities, 0 to 1. Long lines are therefore less
    /// sure than short ones. Blanks do not count, since how wide a gap must be to be
    /// one is a matter of taste. A line without characters has 0.
    pub fn confidence(&self) -> f32 {
        product(&self.glyphs).map_or(0.0, |(p, _)| p)
    }

    /// Geometric mean of the characters' probabilities, blanks apart: comparable between
    /// lines of different length, but blind to a single doubtful character.
    pub fn mean_probability(&self) -> f32 {
        product(&self.glyphs).map_or(0.0, |(p, n)| p.powf(1.0 / n as f32))
    }
}

/// Product of the probabilities of the characters that are not blanks, and their number.
fn product(glyphs: &[Glyph]) -> Option<(f32, usize)> {
    let mut probabilities = glyphs.iter().filter(|g| g.ch != ' ').map(|g| g.probability);
    let first = probabilities.next()?;
    Some(probabilities.fold((first, 1), |(p, n), q| (p * q, n + 1)))
}

/// Everything read on one photo.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhotoLines {
    /// The lines in reading order.
    pub lines: Vec<TextLine>,
    /// What a reader should know of how they were found.
    pub notes: Vec<String>,
    /// Degrees clockwise by which the text stands turned on the upright photo:
    /// 0, 90, 180 or 270.
    pub turn: u16,
}
