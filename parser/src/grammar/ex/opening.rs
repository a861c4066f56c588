//! The mark that opens a string: `Ex`, `EEx`, `AEx`.

use crate::grammar::words::{Parsed, no};
use crate::tables::{LookAlike, look_alikes};

/// Which mark opens a string.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    Ex,
    Eex,
    Aex,
}

/// The marks as they are printed.
const MARKS: [(&str, Mark); 3] = [("EEx", Mark::Eex), ("AEx", Mark::Aex), ("Ex", Mark::Ex)];

/// The opening mark, strictly or in the shapes in which it is misread.
pub(super) fn mark(input: &str) -> Parsed<'_, (Mark, bool)> {
    for (text, mark) in MARKS {
        if let Some(rest) = input.strip_prefix(text) {
            return Ok((rest, (mark, false)));
        }
    }
    let misread = LookAlike::prefix(look_alikes::MARK, input).and_then(|(rest, row)| {
        let (_, mark) = MARKS.into_iter().find(|(text, _)| *text == row.meant)?;
        Some((rest, (mark, true)))
    });
    misread.map_or_else(|| no(input), Ok)
}
