//! EPL tokens.

use super::text::Token;
use super::words::{Parsed, gap, no, sp, word_end};
use crate::marking::{Atmosphere, Epl, Level};
use crate::tables::{LookAlike, look_alikes};
use nom::Parser;
use nom::character::complete::{char, one_of};
use nom::combinator::opt;

/// One EPL, printed as today.
pub(crate) fn strict(input: &str) -> Parsed<'_, Token<Epl>> {
    let Some(text) = input.get(..2) else {
        return no(input);
    };
    match text.parse::<Epl>() {
        Ok(epl) => {
            let (rest, ()) = word_end(&input[2..])?;
            Ok((rest, Token::strict(epl)))
        }
        Err(_) => no(input),
    }
}

/// What is known of the marking when an EPL is read, for the shapes that need it.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Around {
    /// Atmosphere of the group, where a group was read clean.
    pub(crate) atmosphere: Option<Atmosphere>,
    /// A type with the level b (or an old type worth b) was read clean.
    pub(crate) type_b: bool,
    /// One of the types was, so that the whole is worth no more.
    pub(crate) at_most_b: bool,
}

/// True for a character that the table has.
fn seen(rows: &'static [LookAlike], c: char) -> bool {
    LookAlike::of(rows, c).is_some()
}

/// One EPL, strictly or by one of the known shapes.
///
/// A letter that could be two levels keeps both: shape may be completed, meaning never.
pub(crate) fn epl(input: &str, around: Around) -> Parsed<'_, Token<Epl>> {
    if let Ok(found) = strict(input) {
        return Ok(found);
    }
    if let Ok(found) = apart(input) {
        return Ok(found);
    }
    let mut chars = input.chars();
    let (Some(first), Some(second)) = (chars.next(), chars.next()) else {
        return no(input);
    };
    let length = first.len_utf8() + second.len_utf8();
    let (rest, ()) = word_end(&input[length..])?;
    let atmosphere = match (first, around.atmosphere) {
        ('G' | 'g', _) => Atmosphere::Gas,
        ('D' | 'd', _) => Atmosphere::Dust,
        ('M' | 'm', _) => Atmosphere::Mine,
        (c, Some(Atmosphere::Gas)) if seen(look_alikes::EPL_GAS_LETTER, c) => Atmosphere::Gas,
        (c, Some(Atmosphere::Dust)) if seen(look_alikes::EPL_DUST_LETTER, c) => Atmosphere::Dust,
        _ => return no(input),
    };
    let build = |level| Epl::new(atmosphere, level);
    let (level, rivals, name) = match second {
        'a' | 'A' => (Level::A, vec![], "capitals"),
        'b' | 'B' => (Level::B, vec![], "capitals"),
        'c' | 'C' => (Level::C, vec![], "capitals"),
        // In mines the level is a or b; a type worth b excludes a.
        c if seen(look_alikes::EPL_LEVEL, c)
            && (around.type_b || (atmosphere == Atmosphere::Mine && around.at_most_b)) =>
        {
            (Level::B, vec![], "closed b")
        }
        c if seen(look_alikes::EPL_LEVEL, c) => (Level::B, vec![Level::A, Level::C], "closed b"),
        _ => return no(input),
    };
    if atmosphere == Atmosphere::Mine && level == Level::C {
        return no(input);
    }
    let name = if matches!(first, 'G' | 'D' | 'M') {
        name
    } else {
        "first letter of the EPL"
    };
    let value = build(level);
    Ok((
        rest,
        Token::repaired(value, name, value.to_string()).or(rivals.into_iter().map(build).collect()),
    ))
}

/// `G b`: the letters of an EPL with a blank between them.
fn apart(input: &str) -> Parsed<'_, Token<Epl>> {
    let (rest, (first, _, second)) = (one_of("GDM"), char(' '), one_of("abc")).parse(input)?;
    let (rest, ()) = word_end(rest)?;
    let joined = format!("{first}{second}");
    match joined.parse::<Epl>() {
        Ok(epl) => Ok((rest, Token::repaired(epl, "blank in the EPL", joined))),
        Err(_) => no(input),
    }
}

/// A token that stands where an EPL stands and starts or ends like one, but is none: `G9`, `Ge`,
/// `G_`, `Nb`.
pub(crate) fn illegible(input: &str) -> Parsed<'_, &str> {
    let mut ends = input.chars();
    if let (Some(first), Some('a'..='c')) = (ends.next(), ends.next())
        && seen(look_alikes::EPL_LETTER, first)
        && word_end(ends.as_str()).is_ok()
    {
        return Ok((ends.as_str(), &input[..=first.len_utf8()]));
    }
    let (rest, first) = one_of("GDM").parse(input)?;
    let mut chars = rest.chars();
    match chars.next() {
        Some(c) if !c.is_whitespace() && !matches!(c, '/' | ',' | ';' | ']' | ')') => {
            let end = first.len_utf8() + c.len_utf8();
            if chars.next().is_some_and(char::is_alphanumeric) {
                return no(input);
            }
            Ok((&input[end..], &input[..end]))
        }
        _ => no(input),
    }
}

/// The sign between the two EPLs of a boundary wall.
pub(crate) fn slash(input: &str) -> Parsed<'_, char> {
    let (rest, _) = sp(input)?;
    let (rest, sign) = one_of("/|").parse(rest)?;
    let (rest, _) = opt(gap).parse(rest)?;
    Ok((rest, sign))
}
