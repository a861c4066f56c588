//! Where something stands.

use serde::Serialize;
use utoipa::ToSchema;
use vetplate_parser::Span;

/// Characters of one line.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Span)]
pub struct SpanDto {
    /// Index into `lines`, from 0.
    pub line: usize,
    /// First character, counted from 0 in Unicode characters.
    pub start: usize,
    /// One past the last character.
    pub end: usize,
    /// The characters.
    pub text: String,
}

impl SpanDto {
    /// Turns a range of bytes into a range of characters of `lines`.
    ///
    /// None where the span lies outside the lines.
    pub fn new(span: Span, lines: &[String]) -> Option<Self> {
        let line = lines.get(span.line)?;
        let before = line.get(..span.start)?;
        let text = line.get(span.start..span.end)?;
        let start = before.chars().count();
        Some(Self {
            line: span.line,
            start,
            end: start + text.chars().count(),
            text: text.to_owned(),
        })
    }

    /// Every span that lies within the lines.
    pub fn all(spans: &[Span], lines: &[String]) -> Vec<Self> {
        spans.iter().filter_map(|s| Self::new(*s, lines)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_become_characters() {
        let lines = ["T120 °C Db".to_owned()];
        let span = Span {
            line: 0,
            start: 9,
            end: 11,
        };
        let dto = SpanDto::new(span, &lines).unwrap();
        assert_eq!((dto.start, dto.end, dto.text.as_str()), (8, 10, "Db"));
        assert_eq!(
            SpanDto::new(
                Span {
                    line: 1,
                    start: 0,
                    end: 0
                },
                &lines
            ),
            None
        );
        assert_eq!(
            SpanDto::new(
                Span {
                    line: 0,
                    start: 6,
                    end: 7
                },
                &lines
            ),
            None
        );
    }
}
