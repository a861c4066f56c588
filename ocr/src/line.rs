//! What a reading consists of.

use serde::Serialize;

use crate::codes::Code;
use crate::geometry::along;
use crate::judge::FlawKind;

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

/// Why letters cannot be seen in a place where letters may stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Cover {
    /// A patch of another colour: paint, a label, filler, rust.
    Patch,
    /// Light so bright that nothing stands out.
    Glare,
    /// Ink, or a rough surface, in which no letter is recognised.
    Worn,
    /// The plate is plain here, but the gap is wider than any other of the line.
    Gap,
    /// The photo ends here.
    Frame,
}

/// A place in a line where characters may stand that nobody can see.
///
/// A recogniser passes over what is covered and is sure of the rest; this tells of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hidden {
    /// They would stand before the glyph of this index (the number of glyphs: at the end).
    pub before: usize,
    /// How many characters may stand there at most, judged by the line's own pitch.
    pub fits: usize,
    /// Why they cannot be seen.
    pub why: Cover,
    /// The place, as [`TextLine::quad`].
    pub quad: [[f32; 2]; 4],
}

/// A line of text on a photo, with everything the recogniser doubted.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct TextLine {
    /// The characters, blanks between words included.
    pub glyphs: Vec<Glyph>,
    /// Characters that may have been overlooked, from left to right.
    pub missed: Vec<Missed>,
    /// Where letters may be covered, from left to right.
    pub hidden: Vec<Hidden>,
    /// What makes the line hard to read.
    pub flaws: Vec<FlawKind>,
    /// Number of the plate that it stands on, from 0; lines of one plate follow each other.
    pub plate: usize,
    /// Corners in pixels of the upright photo, clockwise from the text's own top left.
    pub quad: [[f32; 2]; 4],
}

impl TextLine {
    /// The line as read; nothing is corrected.
    pub fn text(&self) -> String {
        self.glyphs.iter().map(|g| g.ch).collect()
    }

    /// The place of the characters from `start` to before `end`, counted in glyphs; none where there
    /// are no such characters.
    pub fn part(&self, start: usize, end: usize) -> Option<[[f32; 2]; 4]> {
        let x = |i: usize| self.glyphs.get(i).map(|g| g.x);
        let (first, last) = (x(start)?, x(end.checked_sub(1).filter(|e| *e >= start)?)?);
        // Half-way to the neighbours; at the ends of the line as far as on the other side.
        let before = start.checked_sub(1).and_then(x).unwrap_or(0.0);
        let after = x(end).unwrap_or(1.0);
        let (from, to) = (f32::midpoint(before, first), f32::midpoint(last, after));
        Some(along(&self.quad, from, to))
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
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct PhotoLines {
    /// The lines in reading order.
    pub lines: Vec<TextLine>,
    /// QR and Data Matrix codes.
    pub codes: Vec<Code>,
    /// What a reader should know of how they were found.
    pub notes: Vec<String>,
    /// Degrees clockwise by which the text stands turned on the upright photo:
    /// 0, 90, 180 or 270.
    pub turn: u16,
}
