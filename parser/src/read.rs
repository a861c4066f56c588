//! What every value that was read carries with it.

use crate::Message;
use std::fmt;

/// A range of bytes of one line of the input.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Span {
    /// Index of the line, from 0.
    pub line: usize,
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

/// A probability between 0 and 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Confidence(f64);

impl Confidence {
    /// Certainty: typed by a person, nothing repaired.
    pub const CERTAIN: Confidence = Confidence(1.0);

    /// Clamps to the range 0 to 1; what is not a number counts as 0.
    pub fn new(value: f64) -> Self {
        if value.is_nan() {
            Self(0.0)
        } else {
            Self(value.clamp(0.0, 1.0))
        }
    }

    /// The number, 0 to 1.
    pub fn get(self) -> f64 {
        self.0
    }

    /// The smaller of two confidences: a chain is as strong as its weakest link.
    #[must_use]
    pub fn min(self, other: Self) -> Self {
        if other.0 < self.0 { other } else { self }
    }
}

impl fmt::Display for Confidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.3}", self.0)
    }
}

/// A shape repair: what was printed (or read) and what it was taken for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Repair {
    /// Plain name of the repair, such as `strokes for the group numeral`.
    pub name: &'static str,
    /// The text before.
    pub from: String,
    /// The text after.
    pub to: String,
}

/// The name of a repair in every language.
pub fn repair_name(name: &str) -> Message {
    Message::named("repair", name)
}

/// A value, the text it was read from, and how it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Read<T> {
    /// What it means.
    pub value: T,
    /// What was printed, to the letter.
    pub raw: String,
    /// Where it stands.
    pub span: Span,
    /// Shape repairs that were needed, in order.
    pub repairs: Vec<Repair>,
    /// Other values that the same shapes allow and that nothing on the plate excludes.
    pub rivals: Vec<T>,
}

impl<T> Read<T> {
    /// A value read strictly, with no repair and no rival.
    pub fn strict(value: T, raw: &str, span: Span) -> Self {
        Self {
            value,
            raw: raw.to_owned(),
            span,
            repairs: Vec::new(),
            rivals: Vec::new(),
        }
    }

    /// Keeps where and how it was read, with another value.
    pub fn map<U>(self, f: impl Fn(T) -> U) -> Read<U> {
        Read {
            value: f(self.value),
            raw: self.raw,
            span: self.span,
            repairs: self.repairs,
            rivals: self.rivals.into_iter().map(f).collect(),
        }
    }
}
