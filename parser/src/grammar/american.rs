//! North American words: class, division, zone, groups, temperature code.

use super::text::Token;
use super::words::{Parsed, no, no_case, one_word, sp, word};
use crate::tables::look_alikes;
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::tag;
use nom::character::complete::one_of;
use nom::combinator::opt;
use nom::multi::many0;

/// Classes (1 to 3) with what was printed of division and zone.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Words {
    pub(crate) classes: Vec<u8>,
    /// Figure of the division; kept even where no such division exists.
    pub(crate) division: Option<(usize, usize, Token<u8>)>,
    /// Figure of the zone; kept even where no such zone exists.
    pub(crate) zone: Option<(usize, usize, Token<u8>)>,
    /// Words that were repaired: first byte, one past the last, what was meant.
    pub(crate) repairs: Vec<(usize, usize, String)>,
}

fn separator(input: &str) -> Parsed<'_, ()> {
    let (rest, _) = many0(one_of(" ,;/&.:-")).parse(input)?;
    Ok((rest, ()))
}

pub(crate) fn roman(input: &str) -> Parsed<'_, (u8, bool)> {
    let end = input
        .find(|c: char| !matches!(c, 'I' | 'i' | 'l' | '1' | '|'))
        .unwrap_or(input.len());
    let text = &input[..end];
    let clean = text.chars().all(|c| c == 'I') || text.chars().all(|c| c == 'i');
    let class = match text.chars().count() {
        n @ 1..=3 => n as u8,
        _ => return no(input),
    };
    match input[end..].chars().next() {
        Some(c) if c.is_alphanumeric() => no(input),
        _ => Ok((&input[end..], (class, clean))),
    }
}

/// The classes, and the place of a first numeral that was printed with other strokes.
/// Classes, and the range and text of a numeral that was read by its look.
type Classes = (Vec<u8>, Option<(usize, usize, String)>);

fn classes(input: &str) -> Parsed<'_, Classes> {
    let (rest, _) = one_word(&["CLASS", "CL"])(input)?;
    let (numeral, ()) = separator(rest)?;
    let (rest, (first, clean)) = roman(numeral)?;
    let repair = (!clean).then(|| {
        (
            input.len() - numeral.len(),
            input.len() - rest.len(),
            "I".repeat(usize::from(first)),
        )
    });
    let mut classes = vec![first];
    let mut rest = rest;
    while let Ok((after, ())) = separator(rest) {
        // `Class I, II, III` and `Class I, Class II`
        let after = one_word(&["CLASS", "CL"])(after).map_or(after, |(a, _)| a);
        let (after, ()) = separator(after)?;
        match roman(after) {
            Ok((next, (class, true))) if class > classes[classes.len() - 1] => {
                classes.push(class);
                rest = next;
            }
            _ => break,
        }
    }
    Ok((rest, (classes, repair)))
}

/// A figure behind `Division` or `Zone`, with what it may be else.
pub(crate) fn figure(input: &str, two: bool) -> Parsed<'_, Token<u8>> {
    let end = input
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, 'I' | 'l' | '|' | 'O')))
        .unwrap_or(input.len());
    let text = &input[..end];
    if input[end..].starts_with(char::is_alphabetic) || text.is_empty() {
        return no(input);
    }
    let token = if let Ok(value) = text.parse::<u8>() {
        Token::strict(value)
    } else {
        match text {
            "II" => Token::repaired(2, "figure printed as numeral", "2"),
            // One stroke may be a 1 or what is left of II.
            "I" | "l" | "|" => Token::repaired(1, "figure printed as stroke", "1").or(vec![2]),
            "O" if two => Token::repaired(0, "figure printed as letter", "0").or(vec![2]),
            _ => return no(input),
        }
    };
    Ok((&input[end..], token))
}

/// The word for a division, and what is meant where it was misread.
fn division(input: &str) -> Parsed<'_, Option<&'static str>> {
    if let Ok((rest, _)) = one_word(&["DIVISION", "DIVS", "DIV"])(input) {
        return Ok((rest, None));
    }
    for row in look_alikes::DIVISION_WORD {
        if let Ok((rest, _)) = word(row.read).parse(input) {
            return Ok((rest, Some(row.meant)));
        }
    }
    no(input)
}

/// `Class I, Division 1`, `CL II DIV 2`, `Class I, Zone 1`, `Zone 21`, `CL III`.
pub(crate) fn words(input: &str) -> Parsed<'_, Words> {
    let (rest, classes) = opt(classes).parse(input)?;
    let (classes, repair) = classes.unwrap_or_default();
    let mut repairs: Vec<_> = repair.into_iter().collect();
    let (after, ()) = separator(rest)?;
    if let Ok((behind, misread)) = division(after)
        && !classes.is_empty()
    {
        repairs.extend(misread.map(|meant| {
            let from = input.len() - after.len();
            (from, input.len() - behind.len(), meant.to_owned())
        }));
        let after = behind;
        let (after, ()) = separator(after)?;
        let start = input.len() - after.len();
        let (after, token) = figure(after, false)?;
        let end = input.len() - after.len();
        repairs.extend(token.repair.clone().map(|(_, to)| (start, end, to)));
        return Ok((
            after,
            Words {
                classes,
                division: Some((start, end, token)),
                zone: None,
                repairs,
            },
        ));
    }
    if let Ok((after, _)) = one_word(&["ZONE", "ZN"])(after) {
        let (after, ()) = separator(after)?;
        let start = input.len() - after.len();
        let (after, token) = figure(after, true)?;
        let end = input.len() - after.len();
        repairs.extend(token.repair.clone().map(|(_, to)| (start, end, to)));
        return Ok((
            after,
            Words {
                classes,
                division: None,
                zone: Some((start, end, token)),
                repairs,
            },
        ));
    }
    if classes.is_empty() {
        return no(input);
    }
    Ok((
        rest,
        Words {
            classes,
            division: None,
            zone: None,
            repairs,
        },
    ))
}

/// Group letters: `Groups A, B, C, D`, `GP ABCD`, `GRP. C & D`, `Groups A-D`.
pub(crate) fn groups(input: &str) -> Parsed<'_, Vec<char>> {
    let (rest, ()) = separator(input)?;
    let (rest, _) = one_word(&["GROUPS", "GROUP", "GRPS", "GRP", "GPS", "GP", "GR"])(rest)?;
    let (rest, ()) = separator(rest)?;
    letters_only(rest)
}

/// The letters alone, A to G.
fn letters_only(input: &str) -> Parsed<'_, Vec<char>> {
    let rest = input;
    let mut letters: Vec<char> = Vec::new();
    let mut rest = rest;
    loop {
        let after = if letters.is_empty() {
            rest
        } else {
            // `C, and D` has two of them.
            let sign = || {
                alt((
                    tag(","),
                    tag("&"),
                    tag("/"),
                    no_case("and "),
                    no_case("und "),
                ))
            };
            let (after, _) = (sp, opt(sign()), sp, opt(sign()), sp).parse(rest)?;
            after
        };
        let mut chars = after.chars();
        let printed = chars.next();
        let next = chars.next();
        // A plate in small letters: each stands alone.
        let small = matches!(printed, Some('a'..='g')) && next.is_none_or(|c| !c.is_alphanumeric());
        let Some(letter @ 'A'..='G') =
            printed.map(|c| if small { c.to_ascii_uppercase() } else { c })
        else {
            break;
        };
        if next.is_some_and(|c| c.is_alphanumeric() && !('A'..='G').contains(&c)) {
            // `D` of `DIV` or of `Db`; the T of `T4` is no group letter anyway, but `CT4` is C and T4.
            if next != Some('T') {
                break;
            }
        }
        if letters.contains(&letter) {
            break;
        }
        rest = &after[1..];
        // `A-D`: the letters between belong.
        if let Ok((tail, (_, _, last))) = (
            sp,
            alt((tag::<_, _, nom::error::Error<&str>>("-"), tag("to "))),
            (sp, one_of("BCDEFG")).map(|(_, c)| c),
        )
            .parse(rest)
            && last > letter
            && !tail.starts_with(char::is_alphanumeric)
        {
            letters.extend(letter..=last);
            rest = tail;
            continue;
        }
        letters.push(letter);
    }
    // `ABCO`: what hangs on the letters may be one more of them, so none of them is sure.
    let hangs = rest.starts_with(char::is_alphanumeric)
        && !(rest.starts_with('T') && rest[1..].starts_with(|c: char| c.is_ascii_digit()));
    if letters.is_empty() || hangs {
        return no(input);
    }
    Ok((rest, letters))
}

/// Group letters without the word, right behind a division: `CL I DIV 2 ABCD T4`.
pub(crate) fn bare_groups(input: &str) -> Parsed<'_, Vec<char>> {
    let (rest, ()) = separator(input)?;
    let (rest, letters) = letters_only(rest)?;
    // One letter alone may begin anything.
    if letters.len() < 2 && !rest.trim_start_matches([' ', ',', '/']).starts_with('T') {
        return no(input);
    }
    Ok((rest, letters))
}

/// Letters behind the word `Groups` that cannot be read as groups.
pub(crate) fn garbled_groups(input: &str) -> Parsed<'_, &str> {
    let (rest, ()) = separator(input)?;
    let (rest, _) = one_word(&["GROUPS", "GROUP", "GRPS", "GRP", "GPS", "GP", "GR"])(rest)?;
    let (rest, ()) = separator(rest)?;
    let end = rest
        .find(|c: char| !c.is_alphanumeric())
        .unwrap_or(rest.len());
    if end == 0 {
        return no(input);
    }
    Ok((&rest[end..], &rest[..end]))
}

/// The word `Group` before a lettered group of the zone system.
pub(crate) fn group_word(input: &str) -> Parsed<'_, ()> {
    let (rest, ()) = separator(input)?;
    let (rest, _) = opt(one_word(&["GROUPS", "GROUP", "GRP", "GP"])).parse(rest)?;
    let (rest, ()) = separator(rest)?;
    Ok((rest, ()))
}

/// Words before a temperature code: `Temp Code T3C`, `T-Code T4`, `Operating temperature code`.
pub(crate) fn code_words(input: &str) -> Parsed<'_, ()> {
    let (rest, ()) = separator(input)?;
    let (rest, _) = opt((one_word(&["OPERATING"]), sp)).parse(rest)?;
    let (rest, _) = opt((
        alt((no_case("temperature"), no_case("temp"), no_case("t"))),
        many0(one_of(" .-")),
        no_case("code"),
    ))
    .parse(rest)?;
    let (rest, ()) = separator(rest)?;
    Ok((rest, ()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_and_divisions() {
        for (text, classes, division, zone) in [
            ("Class I, Division 1, Groups", vec![1], Some(1), None),
            ("CL I DIV 2 GP", vec![1], Some(2), None),
            ("CL. II, DIV. 1", vec![2], Some(1), None),
            ("CL III", vec![3], None, None),
            ("Class I, II, III, Division 1", vec![1, 2, 3], Some(1), None),
            ("Class I, Zone 1, AEx", vec![1], None, Some(1)),
            ("Zone 21, AEx", vec![], None, Some(21)),
            ("CL I, DIV 2, GP A,B,C,D T4", vec![1], Some(2), None),
            ("Class I Div. II", vec![1], Some(2), None),
            ("CLASS 1 DIV 2", vec![1], Some(2), None),
        ] {
            let (_, words) = words(text).unwrap();
            assert_eq!(words.classes, classes, "{text}");
            assert_eq!(words.division.map(|d| d.2.value), division, "{text}");
            assert_eq!(words.zone.map(|d| d.2.value), zone, "{text}");
        }
        assert_eq!(
            words("Class I DIV I").unwrap().1.division.unwrap().2.rivals,
            [2]
        );
        for text in [
            "Class F",
            "Classic",
            "Insulation class F",
            "CLOSED",
            "Zones",
        ] {
            assert!(words(text).is_err(), "{text}");
        }
    }

    #[test]
    fn group_letters() {
        for (text, expected) in [
            (", Groups A, B, C, D T4", "ABCD"),
            (" GP ABCD T4A", "ABCD"),
            (" GP A,B,C,D T4", "ABCD"),
            (", Group D T2C", "D"),
            (" GRP. C & D", "CD"),
            (" Groups A-D", "ABCD"),
            (" GP EFG; CL III", "EFG"),
            (" Groups E, F and G", "EFG"),
            (" Group A, B, C, and D, T4", "ABCD"),
        ] {
            let letters: String = groups(text).unwrap().1.into_iter().collect();
            assert_eq!(letters, expected, "{text}");
        }
    }
}
