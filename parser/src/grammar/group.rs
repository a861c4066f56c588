//! Group tokens.

use super::text::Token;
use super::words::{Parsed, no, sp, word};
use crate::marking::Group;
use crate::tables::{LookAlike, look_alikes};
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_while_m_n, take_while1};
use nom::character::complete::one_of;
use nom::combinator::{opt, value};
use nom::sequence::{delimited, preceded};

/// Nothing follows that would make the token another word: `IICT4` and `IIC` end well, `IICX` not.
fn group_end(input: &str) -> Parsed<'_, ()> {
    let mut chars = input.chars();
    match (chars.next(), chars.next()) {
        (Some('T' | 't'), Some(c)) if c.is_ascii_digit() || c == ' ' || c == '.' => Ok((input, ())),
        (Some('G' | 'D' | 'M'), Some('a'..='c')) => Ok((input, ())),
        (Some(c), _) if c.is_alphanumeric() => no(input),
        _ => Ok((input, ())),
    }
}

fn numerals(input: &str) -> Parsed<'_, usize> {
    let (rest, strokes) = take_while_m_n(1, 3, |c| c == 'I').parse(input)?;
    Ok((rest, strokes.len()))
}

fn build(strokes: usize, letter: Option<char>) -> Option<Group> {
    Some(match (strokes, letter) {
        (1, None) => Group::I,
        (2, None) => Group::II,
        (2, Some('A')) => Group::IIA,
        (2, Some('B')) => Group::IIB,
        (2, Some('C')) => Group::IIC,
        (3, None) => Group::III,
        (3, Some('A')) => Group::IIIA,
        (3, Some('B')) => Group::IIIB,
        (3, Some('C')) => Group::IIIC,
        _ => return None,
    })
}

/// `+H2` behind IIB, in every spelling that keeps the plus and the H clean.
fn hydrogen(input: &str) -> Parsed<'_, Token<()>> {
    let (rest, _) = sp(input)?;
    let (rest, _) = alt((tag("+"), tag("plus "))).parse(rest)?;
    let (rest, _) = sp(rest)?;
    if let Ok((rest, _)) = word("hydrogen").parse(rest) {
        return Ok((rest, Token::strict(())));
    }
    let (rest, _) = tag("H").parse(rest)?;
    let (rest, _) = sp(rest)?;
    alt((
        value(Token::strict(()), tag("2")),
        value(Token::repaired((), "hydrogen sign", "+H2"), one_of("Zz")),
    ))
    .parse(rest)
}

fn with_hydrogen(rest: &str, group: Token<Group>) -> (&str, Token<Group>) {
    if group.value == Group::IIB
        && let Ok((rest, h2)) = hydrogen(rest)
    {
        let repair = match (group.repair, h2.repair) {
            (None, None) => None,
            (Some((name, _)), _) | (None, Some((name, _))) => {
                Some((name, Group::IIBPlusH2.to_string()))
            }
        };
        return (
            rest,
            Token {
                value: Group::IIBPlusH2,
                repair,
                rivals: group.rivals,
            },
        );
    }
    // A plus with nothing behind it, or an H without its figure: the tail may be lost. Only the
    // plain group is named first.
    if group.value == Group::IIB
        && let Ok((after, _)) = (sp, tag::<_, _, nom::error::Error<&str>>("+")).parse(rest)
        && let Ok((after, _)) = (sp, opt(tag::<_, _, nom::error::Error<&str>>("H"))).parse(after)
        && group_end(after).is_ok()
    {
        let mut rivals = group.rivals;
        rivals.push(Group::IIBPlusH2);
        return (
            after,
            Token::repaired(Group::IIB, "lost tail of +H2", "IIB").or(rivals),
        );
    }
    (rest, group)
}

/// A group printed as it should be: `I`, `II`, `IIC`, `II C`, `IIB+H2`, `IIIC`.
pub(crate) fn strict(input: &str) -> Parsed<'_, Token<Group>> {
    let (rest, strokes) = numerals(input)?;
    let (after, letter) = opt(preceded(sp, one_of("ABC"))).parse(rest)?;
    let (rest, letter) = if group_end(after).is_ok() {
        (after, letter)
    } else {
        (rest, None)
    };
    let (rest, ()) = group_end(rest)?;
    match build(strokes, letter) {
        Some(group) => {
            let (rest, token) = with_hydrogen(rest, Token::strict(group));
            Ok((rest, token))
        }
        None => no(input),
    }
}

/// A group with strokes read as other strokes: `llC`, `1IB`, `II8`.
///
/// The number of strokes is what a camera loses first, so the other numeral stays as a rival
/// until a fact of the plate that was read clean (a class, an EPL) excludes it.
pub(crate) fn repaired(input: &str) -> Parsed<'_, Token<Group>> {
    let (rest, strokes) = take_while_m_n(1, 3, |c| {
        c == 'I' || LookAlike::of(look_alikes::GROUP_STROKE, c).is_some()
    })
    .parse(input)?;
    let count = strokes.chars().count();
    // Two exclamation marks are no strokes that anybody could count.
    if strokes.chars().filter(|c| *c == '!').count() > 1 {
        return no(input);
    }
    let (after, letter) = opt(preceded(sp, one_of("ABC8abc"))).parse(rest)?;
    let (rest, letter) = if letter.is_some() && group_end(after).is_ok() {
        (after, letter)
    } else {
        (rest, None)
    };
    let (rest, ()) = group_end(rest)?;
    let tidy = letter
        .map(|l| LookAlike::meant(look_alikes::GROUP_LETTER, l).unwrap_or(l.to_ascii_uppercase()));
    // A plate in small letters: only the case differs.
    if letter.is_some_and(|l| l.is_ascii_lowercase())
        && strokes.chars().all(|c| c == 'i')
        && let Some(group) = build(count, tidy)
    {
        let to = group.to_string();
        return Ok((rest, Token::repaired(group, "capitals", to)));
    }
    // A bare stroke or two without a letter is a number as likely as a group.
    if tidy.is_none() && !strokes.chars().all(|c| matches!(c, 'I' | 'l' | '|')) {
        return no(input);
    }
    let Some(group) = build(count, tidy) else {
        return no(input);
    };
    let rivals = match count {
        1 => vec![build(2, tidy), build(3, tidy)],
        2 => vec![build(3, tidy)],
        _ => vec![build(2, tidy)],
    };
    let token = Token::repaired(group.clone(), "strokes of the group", group.to_string())
        .or(rivals.into_iter().flatten().collect());
    let (rest, mut token) = with_hydrogen(rest, token);
    if let Some((_, to)) = &mut token.repair {
        *to = token.value.to_string();
    }
    Ok((rest, token))
}

/// A token at the place of the group that looks like a group and is none: `IID`, `IV`, `IIG`.
pub(crate) fn unknown(input: &str) -> Parsed<'_, &str> {
    let (rest, strokes) = numerals(input)?;
    let (rest, tail) = match rest.chars().next() {
        Some(c) if c.is_alphanumeric() || matches!(c, '_' | '?') => (&rest[c.len_utf8()..], c),
        _ => return no(input),
    };
    let (rest, ()) = group_end(rest)?;
    // `II8` is IIB by its look, and there is no other group near it.
    if (strokes == 1 && tail != 'V') || (strokes == 2 && tail == '8') {
        return no(input);
    }
    let length = input.len() - rest.len();
    Ok((rest, &input[..length]))
}

/// A gas in round brackets behind the group: `II (NH3)`, `IIA (ammonia)`.
pub(crate) fn only_gas(input: &str) -> Parsed<'_, &str> {
    let (rest, name) = preceded(
        sp,
        delimited(
            tag("("),
            take_while1(|c: char| c.is_alphanumeric() || matches!(c, ' ' | '-' | ',' | '.')),
            tag(")"),
        ),
    )
    .parse(input)?;
    let name = name.trim();
    let class_or_ambient = name.starts_with("Ta")
        || name.starts_with("TA")
        || name
            .strip_prefix('T')
            .is_some_and(|t| t.starts_with(|c: char| c.is_ascii_digit() || c == ' '));
    if class_or_ambient || !name.starts_with(char::is_alphabetic) {
        return no(input);
    }
    Ok((rest, name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strict_groups() {
        for (text, expected) in [
            ("IIC", "IIC"),
            ("IICT4", "IIC"),
            ("II C T4", "IIC"),
            ("IIB + H2 T4", "IIB+H2"),
            ("IIB+H2", "IIB+H2"),
            ("IIB + Hydrogen T4", "IIB+H2"),
            ("IIIC T120", "IIIC"),
            ("I Mb", "I"),
            ("II T3", "II"),
        ] {
            let (_, token) = strict(text).unwrap();
            assert_eq!(token.value.to_string(), expected, "{text}");
            assert_eq!(token.repair, None, "{text}");
        }
        for text in ["IIX", "IIDX", "V", "1", "INPUT"] {
            assert!(strict(text).is_err(), "{text}");
        }
    }

    #[test]
    fn strokes_keep_the_other_numeral() {
        let (_, token) = repaired("llC T4").unwrap();
        assert_eq!(token.value, Group::IIC);
        assert_eq!(token.rivals, [Group::IIIC]);
        let (_, token) = repaired("1IIC").unwrap();
        assert_eq!((token.value, token.rivals), (Group::IIIC, vec![Group::IIC]));
    }

    #[test]
    fn what_is_no_group() {
        assert_eq!(unknown("IID T4").unwrap().1, "IID");
        assert_eq!(unknown("IIG T4").unwrap().1, "IIG");
        assert!(unknown("IIC T4").is_ok());
        assert!(unknown("II T4").is_err());
        assert_eq!(only_gas(" (NH3) T1").unwrap().1, "NH3");
        assert!(only_gas(" (T4)").is_err());
        assert!(only_gas(" (Ta 40)").is_err());
    }
}
