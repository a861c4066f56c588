//! Temperature classes and surface temperatures.

use super::ambient;
use super::text::Token;
use super::words::{Parsed, degrees_c, digits, gap, no, no_case, not_letter, sp};
use crate::marking::{AmbientClass, DustTemperature, TClass};
use crate::tables::{LookAlike, look_alikes};
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_while_m_n};
use nom::character::complete::{char, one_of};
use nom::combinator::{opt, recognize};
use nom::multi::many1;
use nom::sequence::{delimited, preceded};

/// Nothing follows a class that would make it a temperature or another word.
fn class_end(input: &str) -> Parsed<'_, ()> {
    let mut chars = input.chars();
    match (chars.next(), chars.next()) {
        (Some('G' | 'D' | 'M' | 'g' | 'd'), Some('a'..='c' | 'A'..='C' | 'h' | '6')) => {
            Ok((input, ()))
        }
        (Some('I'), Some('P')) => Ok((input, ())),
        (Some('t'), Some('o')) => Ok((input, ())),
        (Some('°' | '*'), _) => no(input),
        (Some('.' | ','), Some(c)) if c.is_ascii_digit() => no(input),
        (Some(c), _) if c.is_alphanumeric() => no(input),
        (Some(' '), _) => {
            // `T4 °C` is no class.
            let rest = input.trim_start_matches(' ');
            if rest.starts_with('°') {
                no(input)
            } else {
                Ok((input, ()))
            }
        }
        _ => Ok((input, ())),
    }
}

/// A class: `T4`, `T 4`, `T3C`.
pub(crate) fn class(input: &str) -> Parsed<'_, Token<TClass>> {
    let (rest, capital) = one_of("Tt").parse(input)?;
    let (rest, _) = alt((tag("."), sp)).parse(rest)?;
    let (rest, digit) = one_of("123456").parse(rest)?;
    let (after, letter) = opt(one_of("ABCDabcd")).parse(rest)?;
    let lettered = letter.and_then(|l| {
        format!("T{digit}{}", l.to_ascii_uppercase())
            .parse::<TClass>()
            .ok()
            .filter(|_| class_end(after).is_ok())
    });
    // `T3 C`: the letter may belong to the class, or to nothing.
    let apart = preceded(sp, one_of::<_, _, nom::error::Error<&str>>("ABCD"))
        .parse(rest)
        .ok()
        .filter(|(tail, _)| lettered.is_none() && class_end(tail).is_ok())
        .and_then(|(tail, l)| Some((tail, format!("T{digit}{l}").parse::<TClass>().ok()?)));
    if let Some((tail, rival)) = apart
        && let Ok(value) = format!("T{digit}").parse::<TClass>()
    {
        return Ok((
            tail,
            Token::repaired(value, "letter apart from the class", value.to_string())
                .or(vec![rival]),
        ));
    }
    let (rest, value) = match lettered {
        Some(value) => (after, value),
        None => match format!("T{digit}").parse::<TClass>() {
            Ok(value) => (rest, value),
            Err(()) => return no(input),
        },
    };
    let (rest, ()) = class_end(rest)?;
    let token = if capital == 't' {
        Token::repaired(value, "capitals", value.to_string())
    } else {
        Token::strict(value)
    };
    Ok((rest, token))
}

/// A class whose digit was read as a letter: `Tl` is T1, `TZ` is T2; `TS` may be T5 or T6.
pub(crate) fn repaired(input: &str) -> Parsed<'_, Token<TClass>> {
    let (rest, _) = char('T').parse(input)?;
    let Some((rest, row)) = LookAlike::prefix(look_alikes::CLASS_FIGURE, rest) else {
        return no(input);
    };
    let (rest, ()) = class_end(rest)?;
    let class = |figure: &str| format!("T{figure}").parse::<TClass>();
    let Ok(value) = class(row.meant) else {
        return no(input);
    };
    let rivals = row.rivals.iter().filter_map(|r| class(r).ok()).collect();
    Ok((
        rest,
        Token::repaired(value, row.repair, value.to_string()).or(rivals),
    ))
}

/// `T-4`: a class or the start of an ambient temperature; which one cannot be told.
pub(crate) fn dashed(input: &str) -> Parsed<'_, &str> {
    let (rest, text) = recognize((char('T'), sp, char('-'), sp, digits(1, 1))).parse(input)?;
    let (rest, ()) = class_end(rest)?;
    Ok((rest, text))
}

/// A class that no standard knows: `T8`, `T0`, `T3D`.
pub(crate) fn unknown(input: &str) -> Parsed<'_, &str> {
    let (rest, _) = char('T').parse(input)?;
    let (rest, _) = sp(rest)?;
    let (rest, _) = alt((
        recognize((one_of("0789"), opt(one_of("ABCD")))),
        recognize((one_of("123456"), one_of("ABCDEFGH"))),
        recognize(one_of("X*?_")),
    ))
    .parse(rest)?;
    let (rest, ()) = class_end(rest)?;
    let length = input.len() - rest.len();
    Ok((rest, &input[..length]))
}

/// The sign between the ends of a class range.
fn range_sign(input: &str) -> Parsed<'_, &str> {
    delimited(
        gap,
        alt((
            tag("..."),
            tag("…"),
            tag(".."),
            tag("."),
            tag("-"),
            tag("~"),
            tag("/"),
            no_case("to"),
            no_case("bis"),
            tag("à"),
        )),
        gap,
    )
    .parse(input)
}

/// `T6...T4`: both ends as printed.
pub(crate) fn range(input: &str) -> Parsed<'_, (Token<TClass>, Token<TClass>)> {
    let (rest, first) = range_end(input)?;
    let (rest, _) = range_sign(rest)?;
    let (rest, second) = range_end(rest)?;
    Ok((rest, (first, second)))
}

/// One end of a range. `S` at the place of its figure is a 5: the other end stands beside it, and
/// 5 is the weaker of what it may be.
fn range_end(input: &str) -> Parsed<'_, Token<TClass>> {
    if let Ok(found) = class(input) {
        return Ok(found);
    }
    let (rest, _) = tag("TS").parse(input)?;
    let (_, token) = repaired(&input[..2])?;
    Ok((rest, token.or(Vec::new())))
}

/// `T6 (Ta ≤ +40 °C)`: one class with the ambient up to which it holds.
fn class_with_ambient(input: &str) -> Parsed<'_, AmbientClass> {
    let (rest, class) = class(input)?;
    let (rest, _) = gap(rest)?;
    let (rest, bracket) = opt(char('(')).parse(rest)?;
    let (rest, _) = sp(rest)?;
    let (rest, ambient) = ambient::ambient(rest)?;
    let rest = if bracket.is_some() {
        let (rest, _) = sp(rest)?;
        let (rest, _) = char(')').parse(rest)?;
        rest
    } else {
        rest
    };
    Ok((
        rest,
        AmbientClass {
            class: class.value,
            ambient_max_c: ambient.value.high_c,
        },
    ))
}

/// Two or more classes each with its ambient, or one in brackets.
pub(crate) fn by_ambient(input: &str) -> Parsed<'_, Vec<AmbientClass>> {
    let (rest, first) = class_with_ambient(input)?;
    let (rest, more) = nom::multi::many0(preceded(
        (gap, opt(one_of("/,;|")), gap),
        class_with_ambient,
    ))
    .parse(rest)?;
    let mut classes = vec![first];
    classes.extend(more);
    let bracketed = input[..input.len() - rest.len()].contains('(');
    if classes.len() == 1 && !bracketed {
        return no(input);
    }
    Ok((rest, classes))
}

/// A surface temperature in °C with or without `T` before it and a class in brackets behind it.
pub(crate) fn celsius(input: &str) -> Parsed<'_, (Token<f64>, Option<TClass>)> {
    let (rest, t) = opt((one_of("Tt"), sp)).parse(input)?;
    let (rest, token) = celsius_number(rest, t.is_some())?;
    let (rest, class) = opt(preceded(gap, delimited(char('('), class, char(')')))).parse(rest)?;
    Ok((rest, (token, class.map(|c| c.value))))
}

/// The number and its unit. Without a degree sign the shape is a repair, and four figures
/// (`T1350C`) are read with the last as the degree sign only up to the ceiling of 450 °C.
fn celsius_number(input: &str, t_printed: bool) -> Parsed<'_, Token<f64>> {
    let (rest, figures) =
        take_while_m_n(2, 4, |c: char| c.is_ascii_digit() || c == 'O').parse(input)?;
    if !figures.starts_with(|c: char| c.is_ascii_digit()) {
        return no(input);
    }
    let tidy = figures.replace('O', "0");
    if let Ok((rest, sign)) = degrees_c(rest) {
        if tidy.len() > 3 {
            return no(input);
        }
        let Ok(value) = tidy.parse::<f64>() else {
            return no(input);
        };
        let clean = sign.contains('°') && !figures.contains('O');
        let token = if clean {
            Token::strict(value)
        } else {
            Token::repaired(value, "degree sign", format!("{value} °C"))
        };
        return Ok((rest, token));
    }
    // `T85°` with the C lost, and `T120C` with the degree sign lost.
    if let Ok((rest, _)) = (sp, char('°'), not_letter).parse(rest)
        && tidy.len() <= 3
        && t_printed
        && let Ok(value) = tidy.parse::<f64>()
    {
        return Ok((
            rest,
            Token::repaired(value, "degree sign", format!("{value} °C")),
        ));
    }
    let (rest, _) = (char('C'), not_letter).parse(rest)?;
    if !t_printed {
        return no(input);
    }
    let number = |text: &str| {
        text.parse::<f64>()
            .ok()
            .filter(|v| (40.0..=450.0).contains(v))
    };
    let whole = number(&tidy).filter(|_| tidy.len() <= 3);
    let shortened = tidy
        .strip_suffix('0')
        .filter(|s| s.len() >= 2)
        .and_then(number);
    // T2000C may be 200 °C, or a depth of 200 mm with its temperature lost: as it stands it is no
    // temperature, which is what the second reading says.
    if tidy.len() == 4
        && let (Some(short), Ok(as_read)) = (shortened, tidy.parse::<f64>())
        && short >= 200.0
    {
        return Ok((
            rest,
            Token::repaired(short, "degree sign", format!("{short} °C")).or(vec![as_read]),
        ));
    }
    let (value, rivals) = match (whole, shortened) {
        // 850C with three figures: 85 °C with a misread degree sign, or 850 (no such limit).
        (Some(whole), Some(short)) => (whole, vec![short]),
        (Some(value), None) | (None, Some(value)) => (value, vec![]),
        (None, None) => return no(input),
    };
    Ok((
        rest,
        Token::repaired(value, "degree sign", format!("{value} °C")).or(rivals),
    ))
}

/// The surface temperature of an old dust type by its practice: `TA 170 °C`, `TB 120 °C`.
///
/// On a plate in capitals `TA 40 °C` is the ambient; no surface limit is that low.
///
/// **Source:** IEC 61241-1-1, marking (memory).
pub(crate) fn by_practice(input: &str) -> Parsed<'_, Token<DustTemperature>> {
    const LEAST_C: f64 = 80.0;
    let (rest, _) = (char('T'), opt(char('_')), one_of("AB"), sp).parse(input)?;
    let (rest, token) = celsius_number(rest, true)?;
    if token.value < LEAST_C {
        return no(input);
    }
    let build = |celsius| DustTemperature {
        celsius,
        layer_mm: None,
    };
    Ok((
        rest,
        Token {
            value: build(token.value),
            repair: token.repair,
            rivals: token.rivals.into_iter().map(build).collect(),
        },
    ))
}

/// A dust temperature: `T120 °C`, `T200 110 °C` (110 °C under 200 mm), `T80 °C ... T130 °C`
/// (the higher is kept).
pub(crate) fn dust(input: &str) -> Parsed<'_, Token<DustTemperature>> {
    if let Ok((rest, (depth, _, token))) = preceded(
        (char('T'), sp),
        (
            digits(1, 3),
            alt((
                recognize((many1(char(' ')), opt((char('T'), sp)))),
                tag("/"),
            )),
            |i| celsius_number(i, true),
        ),
    )
    .parse(input)
        && let Ok(depth) = depth.parse::<f64>()
    {
        return Ok((
            rest,
            Token {
                value: DustTemperature {
                    celsius: token.value,
                    layer_mm: Some(depth),
                },
                repair: token.repair,
                rivals: Vec::new(),
            },
        ));
    }
    let (rest, (token, _)) = celsius(input)?;
    // `T200 °C 110 °C`: two temperatures, or a depth that was printed small and its temperature.
    if let Ok((after, second)) = preceded(many1(char(' ')), |i| celsius_number(i, true)).parse(rest)
        && second.value < token.value
    {
        let value = DustTemperature {
            celsius: token.value,
            layer_mm: None,
        };
        let rival = DustTemperature {
            celsius: second.value,
            layer_mm: Some(token.value),
        };
        return Ok((
            after,
            Token::repaired(value, "two temperatures", format!("{} °C", token.value))
                .or(vec![rival]),
        ));
    }
    // A dash before an ambient range is its minus, and a range does not go over a line break.
    let tail = rest.trim_start_matches(' ');
    let higher = if tail.starts_with('\n') || ambient::ambient(tail).is_ok() {
        no(rest)
    } else {
        preceded(
            range_sign,
            preceded(opt((char('T'), sp)), |i| celsius_number(i, true)),
        )
        .parse(rest)
    };
    let (rest, token) = match higher {
        Ok((rest, second)) => {
            let repair = token.repair.or(second.repair);
            (
                rest,
                Token {
                    value: token.value.max(second.value),
                    repair,
                    rivals: Vec::new(),
                },
            )
        }
        Err(_) => (rest, token),
    };
    let build = |celsius| DustTemperature {
        celsius,
        layer_mm: None,
    };
    Ok((
        rest,
        Token {
            value: build(token.value),
            repair: token.repair,
            rivals: token.rivals.into_iter().map(build).collect(),
        },
    ))
}

/// A surface temperature in brackets behind a class: `T6 (T120 °C)`.
pub(crate) fn bracketed(input: &str) -> Parsed<'_, f64> {
    let (rest, (token, _)) =
        preceded(gap, delimited((char('('), sp), celsius, (sp, char(')')))).parse(input)?;
    Ok((rest, token.value))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn celsius_of(text: &str) -> i64 {
        dust(text).unwrap().1.value.celsius as i64
    }

    #[test]
    fn classes() {
        for (text, expected) in [
            ("T4 Gb", "T4"),
            ("T4Gb", "T4"),
            ("T 6", "T6"),
            ("T3C Gb", "T3C"),
            ("T2D", "T2D"),
            ("T6IP66", "T6"),
        ] {
            assert_eq!(class(text).unwrap().1.value.to_string(), expected, "{text}");
        }
        for text in ["T40", "T4 °C", "T4°C", "T8", "T4.5", "TYPE", "T3D", "T6X"] {
            assert!(class(text).is_err(), "{text}");
        }
        assert_eq!(unknown("T8 Gb").unwrap().1, "T8");
        assert_eq!(unknown("T3D Gb").unwrap().1, "T3D");
    }

    #[test]
    fn depth_is_no_temperature() {
        let (_, token) = dust("T200 110 °C Da").unwrap();
        assert_eq!(
            (token.value.celsius, token.value.layer_mm),
            (110.0, Some(200.0))
        );
        let (_, token) = dust("T120 °C Db").unwrap();
        assert_eq!((token.value.celsius, token.value.layer_mm), (120.0, None));
    }

    #[test]
    fn the_practice_beside_the_temperature() {
        assert_eq!(
            by_practice("TA 170 °C IP65").unwrap().1.value.celsius as i64,
            170
        );
        assert!(by_practice("TA 40 °C").is_err());
        assert!(by_practice("Ta 170 °C").is_err());
    }

    #[test]
    fn lost_degree_sign() {
        assert_eq!(celsius_of("T1350C"), 135);
        assert_eq!(celsius_of("T850C"), 85);
        assert_eq!(celsius_of("T135C"), 135);
        assert!(dust("T2000C").unwrap().1.value.celsius <= 450.0);
        // Three figures ending in 0: 120 or 12 °C; below 40 is no surface limit.
        assert_eq!(dust("T120C").unwrap().1.rivals.len(), 0);
    }
}
