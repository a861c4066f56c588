//! The input: lines of characters as somebody or something read them.

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

/// One line of text with a probability for every character.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Line {
    glyphs: Vec<Glyph>,
}

impl Line {
    /// A line read by a device that knows how sure it is of each character.
    pub fn new(glyphs: Vec<Glyph>) -> Self {
        Self { glyphs }
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
        }
    }

    /// The most probable text.
    pub fn text(&self) -> String {
        self.glyphs.iter().map(|g| g.ch).collect()
    }

    /// The characters with their doubt.
    pub fn glyphs(&self) -> &[Glyph] {
        &self.glyphs
    }
}
