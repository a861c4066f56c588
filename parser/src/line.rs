//! The input: lines of characters as somebody or something read them.

/// Stands in a line where there is ink that cannot be read: one for a whole stretch.
pub const ILLEGIBLE: char = '\u{fffd}';

/// One character of a line and what else it may have been.
#[derive(Debug, Clone, PartialEq)]
pub struct Glyph {
    /// The most probable character.
    pub ch: char,
    /// Probability of `ch`, 0 to 1.
    pub probability: f32,
    /// Runner-ups with their probabilities; `None` means that no character stands here.
    pub also: Vec<(Option<char>, f32)>,
}

/// A character that may stand where none was read: under paint, glare or a scratch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Missed {
    /// It would stand before the glyph of this index (the number of glyphs: at the end).
    pub before: usize,
    /// The character.
    pub ch: char,
    /// Its probability, 0 to 1.
    pub probability: f32,
}

/// Why characters cannot be seen where some may stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cover {
    /// Another surface lies over the plate: paint, a label, filler, rust.
    Patch,
    /// Light so bright that nothing stands out.
    Glare,
    /// There is ink, or a rough surface, and no character in it.
    Worn,
    /// A plain gap, wider than any other of its line.
    Gap,
    /// The photo ends here.
    Frame,
}

/// A place of a line where characters may stand that nobody can see.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hidden {
    /// They would stand before the glyph of this index (the number of glyphs: at the end).
    pub before: usize,
    /// How many characters may stand there at most.
    pub fits: usize,
    /// Why they cannot be seen.
    pub why: Cover,
}

/// One line of text with a probability for every character.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Line {
    glyphs: Vec<Glyph>,
    missed: Vec<Missed>,
    hidden: Vec<Hidden>,
}

impl Line {
    /// A line read by a device that knows how sure it is of each character.
    pub fn new(glyphs: Vec<Glyph>) -> Self {
        Self {
            glyphs,
            missed: Vec::new(),
            hidden: Vec::new(),
        }
    }

    /// With the characters that may have been overlooked.
    #[must_use]
    pub fn with_missed(mut self, missed: Vec<Missed>) -> Self {
        self.missed = missed;
        self
    }

    /// With the places where characters may be hidden.
    #[must_use]
    pub fn with_hidden(mut self, hidden: Vec<Hidden>) -> Self {
        self.hidden = hidden;
        self
    }

    /// A line typed by a person: every character certain.
    pub fn certain(text: &str) -> Self {
        Self {
            glyphs: text
                .chars()
                .map(|ch| Glyph {
                    ch,
                    probability: 1.0,
                    also: Vec::new(),
                })
                .collect(),
            missed: Vec::new(),
            hidden: Vec::new(),
        }
    }

    /// The most probable text.
    pub fn text(&self) -> String {
        self.glyphs.iter().map(|g| g.ch).collect()
    }

    /// The characters that may have been overlooked.
    pub fn missed(&self) -> &[Missed] {
        &self.missed
    }

    /// The places where characters may be hidden.
    pub fn hidden(&self) -> &[Hidden] {
        &self.hidden
    }

    /// The characters with their doubt.
    pub fn glyphs(&self) -> &[Glyph] {
        &self.glyphs
    }

    /// The first byte of each character in the text, and behind these the length of the text.
    pub(crate) fn starts(&self) -> Vec<usize> {
        let mut starts = Vec::with_capacity(self.glyphs.len() + 1);
        let mut at = 0;
        starts.push(at);
        for glyph in &self.glyphs {
            at += glyph.ch.len_utf8();
            starts.push(at);
        }
        starts
    }
}
