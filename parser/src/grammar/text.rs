//! The lines joined to one text that is even in its characters, with the way back.

use crate::tables::look_alikes::CHARACTER;
use crate::{Read, Repair, Span};
use std::cell::Cell;

/// One text for the whole plate: lines joined by `\n`, characters that mean the same made one.
///
/// Only characters that cannot carry a difference are made even here (several dashes, several
/// blanks, the micro sign, Cyrillic and full-width letters). Look-alikes are left to the tokens.
pub(crate) struct Text {
    even: String,
    /// For each byte of `even`: line, first and last-plus-one byte of the character it came from.
    origin: Vec<(usize, usize, usize)>,
    /// The work that was done on it so far.
    work: Cell<usize>,
}

/// A character in its one form, where several look the same or mean the same.
fn even(ch: char) -> char {
    match ch {
        '\t' | '\r' => ' ',
        _ if ch.is_ascii() => ch,
        '\u{a0}' | '\u{2002}'..='\u{200a}' | '\u{202f}' | '\u{3000}' => ' ',
        '\u{2080}'..='\u{2089}' => char::from_u32(ch as u32 - 0x2080 + 0x30).unwrap_or(ch),
        '\u{ff01}'..='\u{ff5e}' => char::from_u32(ch as u32 - 0xfee0).unwrap_or(ch),
        _ => CHARACTER
            .binary_search_by_key(&ch, |(read, _)| *read)
            .map_or(ch, |at| CHARACTER[at].1),
    }
}

impl Text {
    /// Joins lines.
    pub(crate) fn new<S: AsRef<str>>(lines: &[S]) -> Self {
        let mut text = Self {
            even: String::new(),
            origin: Vec::new(),
            work: Cell::new(0),
        };
        for (line, content) in lines.iter().enumerate() {
            if line > 0 {
                text.push('\n', (line, 0, 0));
            }
            for (start, ch) in content.as_ref().char_indices() {
                let from = (line, start, start + ch.len_utf8());
                match ch {
                    '℃' => {
                        text.push('°', from);
                        text.push('C', from);
                    }
                    '℉' => {
                        text.push('°', from);
                        text.push('F', from);
                    }
                    'Ⅰ' | 'Ⅱ' | 'Ⅲ' => {
                        for _ in 'Ⅰ'..=ch {
                            text.push('I', from);
                        }
                    }
                    // A line that arrives with a break inside keeps it as a blank: spans are a line's.
                    '\n' => text.push(' ', from),
                    _ => text.push(even(ch), from),
                }
            }
        }
        text
    }

    /// Counts work on the text, also where it comes to nothing.
    pub(crate) fn worked(&self, units: usize) {
        self.work.set(self.work.get() + units);
    }

    /// The work that was done on it so far.
    pub(crate) fn work(&self) -> usize {
        self.work.get()
    }

    fn push(&mut self, ch: char, from: (usize, usize, usize)) {
        self.even.push(ch);
        self.origin.resize(self.even.len(), from);
    }

    /// The even text.
    pub(crate) fn as_str(&self) -> &str {
        &self.even
    }

    /// The spans of a range of the even text, one for each line it touches.
    pub(crate) fn spans(&self, start: usize, end: usize) -> Vec<Span> {
        let mut spans: Vec<Span> = Vec::new();
        for at in start..end.min(self.origin.len()) {
            if self.even.as_bytes()[at] == b'\n' {
                continue;
            }
            let (line, first, last) = self.origin[at];
            match spans.last_mut() {
                Some(span) if span.line == line => span.end = span.end.max(last),
                _ => spans.push(Span {
                    line,
                    start: first,
                    end: last,
                }),
            }
        }
        spans
    }

    /// The first span of a range; an empty one at the line's start for an empty range.
    pub(crate) fn span(&self, start: usize, end: usize) -> Span {
        self.spans(start, end).first().copied().unwrap_or_else(|| {
            let line = self.origin.get(start).map_or(0, |o| o.0);
            Span {
                line,
                start: 0,
                end: 0,
            }
        })
    }

    /// Wraps a token that was read from a range.
    pub(crate) fn read<T>(&self, token: Token<T>, start: usize, end: usize) -> Read<T> {
        let raw = self.even[start..end].replace('\n', " ");
        let repairs = token
            .repair
            .map(|(name, to)| Repair {
                name,
                from: raw.trim().to_owned(),
                to,
            })
            .into_iter()
            .collect();
        Read {
            value: token.value,
            raw,
            span: self.span(start, end),
            repairs,
            rivals: token.rivals,
        }
    }
}

/// What a token parser answers: a value, how it was repaired, and what else the shape allows.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Token<T> {
    pub(crate) value: T,
    /// Name of the repair and the text it gives.
    pub(crate) repair: Option<(&'static str, String)>,
    pub(crate) rivals: Vec<T>,
}

impl<T> Token<T> {
    pub(crate) fn strict(value: T) -> Self {
        Self {
            value,
            repair: None,
            rivals: Vec::new(),
        }
    }

    pub(crate) fn repaired(value: T, name: &'static str, to: impl Into<String>) -> Self {
        Self {
            value,
            repair: Some((name, to.into())),
            rivals: Vec::new(),
        }
    }

    #[must_use]
    pub(crate) fn or(mut self, rivals: Vec<T>) -> Self {
        self.rivals = rivals;
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_are_bytes_of_the_original_line() {
        let text = Text::new(&["Tа −20 ℃", "x"]);
        assert_eq!(text.as_str(), "Ta -20 °C\nx");
        let start = text.as_str().find("-20").unwrap();
        let span = text.span(start, start + 3);
        assert_eq!(&"Tа −20 ℃"[span.start..span.end], "−20");
        let end = text.as_str().len();
        assert_eq!(text.spans(0, end).len(), 2);
    }
}
