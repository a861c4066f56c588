//! The smallest parsers: blanks, numbers, word ends.

use crate::tables::{LookAlike, look_alikes};
use nom::bytes::complete::{tag, tag_no_case, take_while, take_while_m_n, take_while1};
use nom::character::complete::{one_of, satisfy};
use nom::combinator::{opt, recognize, value, verify};
use nom::sequence::{pair, preceded, terminated};
use nom::{IResult, Parser};

/// What every parser here answers.
pub(crate) type Parsed<'a, T> = IResult<&'a str, T>;

/// The parser does not apply here.
pub(crate) fn no<T>(input: &str) -> Parsed<'_, T> {
    Err(nom::Err::Error(nom::error::Error::new(
        input,
        nom::error::ErrorKind::Verify,
    )))
}

/// Blanks within a line, or none.
pub(crate) fn sp(input: &str) -> Parsed<'_, &str> {
    take_while(|c| c == ' ').parse(input)
}

/// Blanks and at most one line break, or nothing.
pub(crate) fn gap(input: &str) -> Parsed<'_, &str> {
    recognize((sp, opt(tag("\n")), sp)).parse(input)
}

/// Succeeds where no letter or digit follows.
pub(crate) fn word_end(input: &str) -> Parsed<'_, ()> {
    match input.chars().next() {
        Some(c) if c.is_alphanumeric() => no(input),
        _ => Ok((input, ())),
    }
}

/// A text without regard to case. Bytes are compared before anything else: it is asked of every word and
/// is nearly always another.
pub(crate) fn no_case<'a>(
    text: &'static str,
) -> impl Parser<&'a str, Output = &'a str, Error = nom::error::Error<&'a str>> {
    move |input: &'a str| {
        let (wanted, given) = (text.as_bytes(), input.as_bytes());
        let head = &given[..wanted.len().min(given.len())];
        if head.eq_ignore_ascii_case(wanted) {
            return Ok((&input[wanted.len()..], &input[..wanted.len()]));
        }
        let differ = |(a, b): (&u8, &u8)| !a.eq_ignore_ascii_case(b);
        // Other letters have small forms that are not told by their bytes.
        match wanted.iter().zip(head).find(|(a, b)| differ((a, b))) {
            Some((a, b)) if !(a.is_ascii() && b.is_ascii()) => tag_no_case(text).parse(input),
            _ => no(input),
        }
    }
}

/// A word without regard to case, followed by no letter.
pub(crate) fn word<'a>(
    text: &'static str,
) -> impl Parser<&'a str, Output = &'a str, Error = nom::error::Error<&'a str>> {
    terminated(no_case(text), not_letter)
}

/// Succeeds where no letter follows.
pub(crate) fn not_letter(input: &str) -> Parsed<'_, ()> {
    match input.chars().next() {
        Some(c) if c.is_alphabetic() => no(input),
        _ => Ok((input, ())),
    }
}

/// The first of several words, longest first in the list where one begins another.
pub(crate) fn one_word<'a>(
    words: &'static [&'static str],
) -> impl Fn(&'a str) -> Parsed<'a, &'a str> {
    move |input| {
        for text in words {
            if let Ok(found) = word(text).parse(input) {
                return Ok(found);
            }
        }
        no(input)
    }
}

/// A fixed text with what it stands for.
pub(crate) fn is<'a, T: Clone>(
    text: &'static str,
    meaning: T,
) -> impl Parser<&'a str, Output = T, Error = nom::error::Error<&'a str>> {
    value(meaning, tag(text))
}

/// The same without regard to case.
pub(crate) fn is_no_case<'a, T: Clone>(
    text: &'static str,
    meaning: T,
) -> impl Parser<&'a str, Output = T, Error = nom::error::Error<&'a str>> {
    value(meaning, no_case(text))
}

/// `min` to `max` digits.
pub(crate) fn digits<'a>(
    min: usize,
    max: usize,
) -> impl Parser<&'a str, Output = &'a str, Error = nom::error::Error<&'a str>> {
    terminated(
        take_while_m_n(min, max, |c: char| c.is_ascii_digit()),
        no_digit,
    )
}

fn no_digit(input: &str) -> Parsed<'_, ()> {
    match input.chars().next() {
        Some(c) if c.is_ascii_digit() => no(input),
        _ => Ok((input, ())),
    }
}

/// A number with point or comma, without a sign: `0,65`, `4.2`, `100`.
/// A comma with three digits behind it could be a thousands mark: see [`comma_doubt`].
pub(crate) fn decimal(input: &str) -> Parsed<'_, f64> {
    let (rest, text) = recognize(pair(
        take_while1(|c: char| c.is_ascii_digit()),
        opt(preceded(
            one_of(".,"),
            take_while1(|c: char| c.is_ascii_digit()),
        )),
    ))
    .parse(input)?;
    match text.replace(',', ".").parse::<f64>() {
        Ok(value) if value.is_finite() => Ok((rest, value)),
        _ => no(input),
    }
}

/// True where a decimal comma is followed by exactly three digits: 3,050 may be 3050.
pub(crate) fn comma_doubt(text: &str) -> bool {
    text.split(',')
        .nth(1)
        .is_some_and(|tail| tail.chars().take_while(char::is_ascii_digit).count() == 3)
}

/// A whole number of degrees with an optional sign; `O` inside is read as zero (repaired).
/// Answers the number, whether a sign stood there, and whether a letter was taken for a digit. A
/// long dash may be a sign or a separator: it is skipped and counts as no sign.
pub(crate) fn signed(input: &str) -> Parsed<'_, (f64, bool, bool)> {
    let (rest, sign) = opt(one_of("+-±—")).parse(input)?;
    let (rest, _) = sp(rest)?;
    let (rest, text) = verify(
        take_while_m_n(1, 3, |c: char| c.is_ascii_digit() || c == 'O'),
        |t: &str| t.chars().next().is_some_and(|c| c.is_ascii_digit()),
    )
    .parse(rest)?;
    let (rest, ()) = no_digit(rest)?;
    let letter = text.contains('O');
    let (rest, fraction) = opt(preceded(one_of(".,"), digits(1, 1))).parse(rest)?;
    let Ok(whole) = text.replace('O', "0").parse::<f64>() else {
        return no(input);
    };
    let part = fraction.map_or(0.0, |f| f.parse::<f64>().unwrap_or(0.0) / 10.0);
    let magnitude = whole + part;
    Ok((
        rest,
        (
            if sign == Some('-') {
                -magnitude
            } else {
                magnitude
            },
            sign.is_some_and(|s| s != '—'),
            letter,
        ),
    ))
}

/// A degree sign as printed or as commonly misread.
pub(crate) fn degree_sign(input: &str) -> Parsed<'_, char> {
    satisfy(|c| c == '°' || LookAlike::of(look_alikes::DEGREE_SIGN, c).is_some()).parse(input)
}

/// A degree sign as printed or as commonly misread, with the C: `°C`, `° C`, `*C`, `'C`.
pub(crate) fn degrees_c(input: &str) -> Parsed<'_, &str> {
    recognize((sp, degree_sign, sp, one_of("Cc"), not_letter_but_level)).parse(input)
}

/// Succeeds where no letter follows but those of an EPL glued to what stands before: `T80°CDb`.
fn not_letter_but_level(input: &str) -> Parsed<'_, ()> {
    let mut chars = input.chars();
    match (chars.next(), chars.next()) {
        (Some('G' | 'D' | 'M'), Some('a'..='c')) if word_end(chars.as_str()).is_ok() => {
            Ok((input, ()))
        }
        _ => not_letter(input),
    }
}

/// Whether the rest of a number stands in the next line, which it must have for itself: see [`ends_line`].
pub(crate) fn next_line(input: &str) -> (&str, bool) {
    match input.strip_prefix('\n') {
        Some(rest) => (rest.trim_start_matches(' '), true),
        None => (input, false),
    }
}

/// True where nothing more stands in the line.
pub(crate) fn ends_line(rest: &str) -> bool {
    let rest = rest.trim_start_matches(' ');
    rest.is_empty() || rest.starts_with('\n')
}

/// True of four figures that may as well be a year of manufacture in the line below what is incomplete (common
/// practice, no source).
pub(crate) fn is_year(figures: &str) -> bool {
    figures.len() == 4 && (figures.starts_with("19") || figures.starts_with("20"))
}
