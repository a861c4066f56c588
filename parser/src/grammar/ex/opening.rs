//! The mark that opens a string: `Ex`, `EEx`, `AEx`.

use crate::grammar::words::{Parsed, no};

/// Which mark opens a string.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    Ex,
    Eex,
    Aex,
}

/// The opening mark, strictly or in the shapes in which it is misread.
pub(super) fn mark(input: &str) -> Parsed<'_, (Mark, bool)> {
    const FORMS: &[(&str, Mark, bool)] = &[
        ("EEx", Mark::Eex, false),
        ("E Ex", Mark::Eex, true),
        ("EEX", Mark::Eex, true),
        ("EE×", Mark::Eex, true),
        ("EFx", Mark::Eex, true),
        ("FEx", Mark::Eex, true),
        ("AEx", Mark::Aex, false),
        ("A Ex", Mark::Aex, true),
        ("AEX", Mark::Aex, true),
        ("AFx", Mark::Aex, true),
        ("Ex", Mark::Ex, false),
        ("EX", Mark::Ex, true),
        ("E×", Mark::Ex, true),
        ("Fx", Mark::Ex, true),
        ("£x", Mark::Ex, true),
        ("€x", Mark::Ex, true),
        ("Ɛx", Mark::Ex, true),
        ("εx", Mark::Ex, true),
        ("ξx", Mark::Ex, true),
        ("eex", Mark::Eex, true),
        ("aex", Mark::Aex, true),
        ("ex", Mark::Ex, true),
    ];
    for &(text, mark, repaired) in FORMS {
        if let Some(rest) = input.strip_prefix(text) {
            return Ok((rest, (mark, repaired)));
        }
    }
    no(input)
}
