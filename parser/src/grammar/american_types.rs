//! Types of protection that stand with a class and division: `XP CL I DIV 1`, and the lists that are
//! parted by strokes: `IS / I,II,III / 1 / ABCDEFG / T4`.
//!
//! **Source:** NEC 500.7 for the types, the letters and the list form from memory.

use super::american::{self, Words};
use super::text::Token;
use super::words::{Parsed, no, no_case, sp, word_end};
use crate::marking::ProtectionType as T;
use crate::tables::look_alikes;
use nom::Parser;
use nom::branch::alt;
use nom::character::complete::{char, one_of};
use nom::combinator::opt;
use nom::multi::many0;

/// A type with whether it is that of a circuit that leads elsewhere.
pub(crate) type Kind = (T, bool);

/// Types with their first byte and one past the last.
pub(crate) type Types = Vec<(usize, usize, Token<Kind>)>;

/// The letters as they are printed, longest first.
const LETTERS: [(&str, Kind); 10] = [
    ("AIS", (T::AmericanIntrinsicSafety, true)),
    ("ANI", (T::AmericanNonincendive, true)),
    ("DIP", (T::AmericanDustIgnitionproof, false)),
    ("XP", (T::AmericanExplosionproof, false)),
    ("IS", (T::AmericanIntrinsicSafety, false)),
    ("NI", (T::AmericanNonincendive, false)),
    ("PX", (T::AmericanPurgedX, false)),
    ("PY", (T::AmericanPurgedY, false)),
    ("PZ", (T::AmericanPurgedZ, false)),
    ("S", (T::AmericanSpecial, false)),
];

/// The same in full words; what names a circuit stands before what it begins with.
const WORDS: [(&str, Kind); 19] = [
    ("associated apparatus", (T::AmericanIntrinsicSafety, true)),
    ("associated equipment", (T::AmericanIntrinsicSafety, true)),
    (
        "associated intrinsically safe",
        (T::AmericanIntrinsicSafety, true),
    ),
    ("associated nonincendive", (T::AmericanNonincendive, true)),
    (
        "intrinsically safe connections",
        (T::AmericanIntrinsicSafety, true),
    ),
    (
        "intrinsically safe circuits",
        (T::AmericanIntrinsicSafety, true),
    ),
    (
        "intrinsically safe circuit",
        (T::AmericanIntrinsicSafety, true),
    ),
    (
        "intrinsically safe outputs",
        (T::AmericanIntrinsicSafety, true),
    ),
    (
        "intrinsically safe output",
        (T::AmericanIntrinsicSafety, true),
    ),
    ("intrinsically safe", (T::AmericanIntrinsicSafety, false)),
    ("nonincendive", (T::AmericanNonincendive, false)),
    ("non-incendive", (T::AmericanNonincendive, false)),
    ("explosionproof", (T::AmericanExplosionproof, false)),
    ("explosion-proof", (T::AmericanExplosionproof, false)),
    ("explosion proof", (T::AmericanExplosionproof, false)),
    ("dust-ignitionproof", (T::AmericanDustIgnitionproof, false)),
    ("dust ignitionproof", (T::AmericanDustIgnitionproof, false)),
    ("dust-ignition-proof", (T::AmericanDustIgnitionproof, false)),
    ("dust ignition proof", (T::AmericanDustIgnitionproof, false)),
];

/// True where types may begin: cheap, for it is asked of every word.
pub(crate) fn opens(input: &str) -> bool {
    input.starts_with([
        'X', 'I', 'l', '1', '|', 'N', 'A', 'a', 'D', 'd', 'P', 'S', 'i', 'n', 'E', 'e', 'x',
    ])
}

fn letters(input: &str) -> Parsed<'_, Token<Kind>> {
    for (text, kind) in LETTERS {
        if let Some(rest) = input.strip_prefix(text)
            && word_end(rest).is_ok()
        {
            return Ok((rest, Token::strict(kind)));
        }
    }
    for row in look_alikes::AMERICAN_TYPE {
        if let Some(rest) = input.strip_prefix(row.read)
            && word_end(rest).is_ok()
            && let Some((_, kind)) = LETTERS.iter().find(|(text, _)| *text == row.meant)
        {
            return Ok((rest, Token::repaired(*kind, row.repair, row.meant)));
        }
    }
    no(input)
}

fn words(input: &str) -> Parsed<'_, Token<Kind>> {
    for (text, kind) in WORDS {
        if let Ok((rest, _)) = no_case(text).parse(input)
            && word_end(rest).is_ok()
        {
            return Ok((rest, Token::strict(kind)));
        }
    }
    no(input)
}

/// One type, or several with a sign between them.
pub(crate) fn types(input: &str) -> Parsed<'_, Types> {
    // No plate names more.
    const MOST: usize = 6;
    let mut found: Types = Vec::new();
    let mut rest = input;
    while found.len() < MOST {
        let next = if found.is_empty() {
            rest
        } else {
            let (after, _) =
                (sp, opt(one_of("-,/&;+")), sp, opt(no_case("and ")), sp).parse(rest)?;
            after
        };
        let Ok((after, token)) = letters(next).or_else(|_| words(next)) else {
            break;
        };
        // One type twice is no list.
        if found.iter().any(|(.., known)| known.value == token.value) {
            break;
        }
        found.push((input.len() - next.len(), input.len() - after.len(), token));
        rest = after;
    }
    if found.is_empty() {
        return no(input);
    }
    Ok((rest, found))
}

/// Words between the type and the class: `for use in`, `for`, `equipment`.
fn linking(input: &str) -> Parsed<'_, ()> {
    let (rest, _) = many0((
        one_of(" ,:-\n"),
        opt(alt((
            no_case("for use in "),
            no_case("for "),
            no_case("to "),
            no_case("in "),
            no_case("equipment "),
        ))),
    ))
    .parse(input)?;
    Ok((rest, ()))
}

/// Types of protection right before a class: where the class begins.
pub(crate) fn before_class<'a>(input: &'a str, rest: &'a str, types: &Types) -> Parsed<'a, ()> {
    let (rest, ()) = linking(rest)?;
    // The special type is a single letter, and means something in a list alone.
    let single = types.iter().any(|(.., t)| t.value.0 == T::AmericanSpecial);
    if single || !rest.starts_with(['C', 'c']) || american::words(rest).is_err() {
        return no(input);
    }
    Ok((rest, ()))
}

/// A list parted by strokes, behind its types: classes, division. What stands behind is read as behind
/// words.
pub(crate) fn list<'a>(input: &'a str, rest: &'a str) -> Parsed<'a, Words> {
    let (rest, _) = (sp, char('/'), sp).parse(rest)?;
    let (rest, (classes, mut repairs)) = classes(rest, input.len())?;
    let (rest, _) = (sp, char('/'), sp).parse(rest)?;
    let start = input.len() - rest.len();
    let (rest, token) = division(rest)?;
    let end = input.len() - rest.len();
    repairs.extend(token.repair.clone().map(|(_, to)| (start, end, to)));
    Ok((
        rest,
        Words {
            classes,
            division: Some((start, end, token)),
            zone: None,
            repairs,
        },
    ))
}

/// `1`, `2`, or both, which is as good as Division 1.
fn division(input: &str) -> Parsed<'_, Token<u8>> {
    let (rest, token) = american::figure(input, false)?;
    if let Ok((after, _)) = (
        sp,
        one_of::<_, _, nom::error::Error<&str>>(",&"),
        sp,
        char('2'),
    )
        .parse(rest)
        && token.value == 1
        && word_end(after).is_ok()
    {
        return Ok((after, token));
    }
    Ok((rest, token))
}

type Classes = (Vec<u8>, Vec<(usize, usize, String)>);

/// `I`, `I,II,III`, `II, III`.
fn classes(input: &str, whole: usize) -> Parsed<'_, Classes> {
    let mut found: Vec<u8> = Vec::new();
    let mut repairs = Vec::new();
    let mut rest = input;
    while found.len() < 3 {
        let next = if found.is_empty() {
            rest
        } else {
            let Ok((after, _)) =
                (sp, one_of::<_, _, nom::error::Error<&str>>(",&;"), sp).parse(rest)
            else {
                break;
            };
            after
        };
        let (after, (class, clean)) = american::roman(next)?;
        if found.last().is_some_and(|last| *last >= class) {
            return no(input);
        }
        if !clean {
            let at = (whole - next.len(), whole - after.len());
            repairs.push((at.0, at.1, "I".repeat(usize::from(class))));
        }
        found.push(class);
        rest = after;
    }
    Ok((rest, (found, repairs)))
}

/// `I / 0 / AEx ia / IIC / T4`: class and zone before a string.
pub(crate) fn zone_list(input: &str) -> Parsed<'_, Words> {
    let (rest, (classes, mut repairs)) = classes(input, input.len())?;
    let (rest, _) = (sp, char('/'), sp).parse(rest)?;
    let start = input.len() - rest.len();
    let (rest, token) = american::figure(rest, true)?;
    let end = input.len() - rest.len();
    let (rest, _) = (sp, char('/'), sp).parse(rest)?;
    if !rest.starts_with("AEx") || classes.len() > 1 {
        return no(input);
    }
    repairs.extend(token.repair.clone().map(|(_, to)| (start, end, to)));
    Ok((
        rest,
        Words {
            classes,
            division: None,
            zone: Some((start, end, token)),
            repairs,
        },
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(types: &Types) -> Vec<String> {
        types
            .iter()
            .map(|(.., t)| {
                let (kind, associated) = t.value;
                format!("{}{}", if associated { "A" } else { "" }, kind.symbol())
            })
            .collect()
    }

    #[test]
    fn types_stand_before_a_class() {
        for (text, expected) in [
            ("XP CL I DIV 1", vec!["XP"]),
            ("NI CLASS I, DIV 2", vec!["NI"]),
            ("XP, DIP Class I", vec!["XP", "DIP"]),
            ("XP-IS Class I", vec!["XP", "IS"]),
            ("AIS Class I", vec!["AIS"]),
            ("Intrinsically safe for use in Class I", vec!["IS"]),
            ("INTRINSICALLY SAFE CIRCUITS FOR CLASS I", vec!["AIS"]),
            ("Nonincendive for Class I", vec!["NI"]),
            ("lS CL I", vec!["IS"]),
        ] {
            let (behind, types) = types(text).unwrap();
            let (rest, ()) = before_class(text, behind, &types).unwrap();
            assert_eq!(kinds(&types), expected, "{text}");
            assert!(rest.starts_with(['C', 'c']), "{text}: {rest}");
        }
        for text in [
            "IS",
            "NI 20",
            "XP 5000",
            "S Class I",
            "IS the",
            "DIP A21",
            "NI / 2",
        ] {
            let found = types(text);
            let before = found.and_then(|(rest, types)| before_class(text, rest, &types));
            assert!(before.is_err(), "{text}");
        }
    }

    #[test]
    fn lists_parted_by_strokes() {
        for (text, types, classes, division, rest) in [
            (
                "IS / I,II,III / 1 / ABCDEFG / T4",
                "IS",
                vec![1, 2, 3],
                1,
                " / ABCDEFG / T4",
            ),
            ("XP/I/1/ABCD/T6", "XP", vec![1], 1, "/ABCD/T6"),
            ("NI / I / 2 / ABCD / T5", "NI", vec![1], 2, " / ABCD / T5"),
            ("S / II,III / 2 / FG", "S", vec![2, 3], 2, " / FG"),
            ("DIP / II, III / 1 / EFG", "DIP", vec![2, 3], 1, " / EFG"),
            ("IS / I / 1,2 / ABCD", "IS", vec![1], 1, " / ABCD"),
        ] {
            let (behind, found) = super::types(text).unwrap();
            let (tail, words) = list(text, behind).unwrap();
            assert_eq!(kinds(&found).join(" "), types, "{text}");
            assert_eq!(words.classes, classes, "{text}");
            assert_eq!(words.division.map(|d| d.2.value), Some(division), "{text}");
            assert_eq!(tail, rest, "{text}");
        }
        for text in ["IS / 24 V / 1", "S / N 1234", "NI / Cd / 2"] {
            let (behind, _) = super::types(text).unwrap();
            assert!(list(text, behind).is_err(), "{text}");
        }
        assert!(zone_list("I / 0 / AEx ia / IIC / T4").is_ok());
        assert!(zone_list("I / 0 / 1").is_err());
    }
}
