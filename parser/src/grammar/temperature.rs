//! Temperature classes and surface temperatures.

use super::ambient;
use super::text::Token;
use super::words::{Parsed, degrees_c, digits, gap, no, no_case, not_letter, one_word, sp};
use crate::marking::{Ambient, AmbientClass, DustTemperature, TClass, Temperature};
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

/// The sign between the ends of a range.
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

/// Words between two things of which either may hold.
const EITHER: [&str; 6] = ["or", "and", "oder", "und", "ou", "et"];

/// The sign or word between two classes of which either may hold: `T5 or T6`, `T6, T5`.
fn list_sign(input: &str) -> Parsed<'_, &str> {
    range_sign(input).or_else(|_| {
        delimited(
            gap,
            alt((recognize(one_of(",;&+|")), one_word(&EITHER))),
            gap,
        )
        .parse(input)
    })
}

/// `T6...T4`, `T5 or T6`: both ends as printed; of a list, `T6/T5/T4`, its coldest and its hottest class.
pub(crate) fn range(input: &str) -> Parsed<'_, (Token<TClass>, Token<TClass>)> {
    let (rest, mut first) = range_end(input)?;
    let (mut rest, mut second) = preceded(list_sign, range_end).parse(rest)?;
    while let Ok((after, next)) = preceded(list_sign, range_end).parse(rest) {
        let hotter = first.value.min(second.value).min(next.value);
        let colder = first.value.max(second.value).max(next.value);
        let falls = first.value < second.value;
        (first.value, second.value) = if falls {
            (hotter, colder)
        } else {
            (colder, hotter)
        };
        second.repair = second.repair.or(next.repair);
        rest = after;
    }
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

/// What a gas string or a class and division say with classes: a table by ambient, a range, one class.
pub(crate) fn classes(input: &str) -> Parsed<'_, Token<Temperature>> {
    if let Ok((rest, classes)) = by_ambient(input) {
        return Ok((rest, Token::strict(Temperature::ByAmbient(classes))));
    }
    if let Ok((rest, (first, second))) = range(input) {
        let repair = first.repair.or(second.repair);
        let text = format!("{}...{}", first.value, second.value);
        let token = Token {
            value: Temperature::Range(first.value, second.value),
            repair: repair.map(|(name, _)| (name, text)),
            rivals: Vec::new(),
        };
        return Ok((rest, token));
    }
    let (rest, token) = class(input)?;
    let token = Token {
        value: Temperature::Class(token.value),
        repair: token.repair,
        rivals: token.rivals.into_iter().map(Temperature::Class).collect(),
    };
    Ok((rest, token))
}

/// The ambient of a class. A number without a name is one only where `@` or a word for it stands before.
fn ambient_of_class(input: &str) -> Parsed<'_, Ambient> {
    let (rest, at) = opt(alt((tag("@"), one_word(&["at", "for", "bei", "à"])))).parse(input)?;
    let (rest, _) = sp(rest)?;
    let (rest, _) = opt((one_of(":="), sp)).parse(rest)?;
    if let Ok((rest, token)) = ambient::ambient(rest) {
        return Ok((rest, token.value));
    }
    if at.is_none() {
        return no(input);
    }
    let (rest, high_c) = ambient::alone(rest)?;
    let low_c = Ambient::DEFAULT.low_c;
    Ok((rest, Ambient { low_c, high_c }))
}

/// `T6 (Ta ≤ +40 °C)`, `T4 @ 60 °C`, `T6: Ta -20 to +40 °C`: one class with the ambient for which it holds.
fn class_with_ambient(input: &str) -> Parsed<'_, AmbientClass> {
    let (rest, class) = class(input)?;
    let (rest, _) = gap(rest)?;
    let (rest, bracket) = opt(one_of("([")).parse(rest)?;
    let (rest, _) = sp(rest)?;
    let (rest, ambient) = ambient_of_class(rest)?;
    let rest = if bracket.is_some() {
        closed(rest)?.0
    } else {
        rest
    };
    Ok((rest, AmbientClass::new(class.value, ambient)))
}

fn closed(input: &str) -> Parsed<'_, char> {
    preceded(sp, one_of(")]")).parse(input)
}

/// `Ta ≤ 40 °C: T6`, `-20 °C ≤ Ta ≤ +40 °C (T6)`: the same with the ambient first.
fn ambient_with_class(input: &str) -> Parsed<'_, AmbientClass> {
    let (rest, ambient) = ambient::ambient(input)?;
    let sign = alt((
        tag("->"),
        recognize(one_of(":=→,;/|-([")),
        one_word(&["for", "is"]),
    ));
    let (rest, sign) = delimited(sp, opt(sign), sp).parse(rest)?;
    let (rest, class) = class(rest)?;
    let rest = if matches!(sign, Some("(" | "[")) {
        closed(rest)?.0
    } else {
        rest
    };
    Ok((rest, AmbientClass::new(class.value, ambient.value)))
}

/// One row behind another, as often as they come.
fn rows<'a>(
    input: &'a str,
    row: impl Fn(&'a str) -> Parsed<'a, AmbientClass>,
) -> Parsed<'a, Vec<AmbientClass>> {
    let (mut rest, first) = row(input)?;
    let mut classes = vec![first];
    loop {
        let sign = alt((tag("..."), recognize(one_of("/,;|&-…")), one_word(&EITHER)));
        let (next, _) = (gap, opt(sign), gap).parse(rest)?;
        match row(next) {
            Ok((after, class)) => {
                classes.push(class);
                rest = after;
            }
            Err(_) => return Ok((rest, classes)),
        }
    }
}

/// Two or more classes each with its ambient, or one in brackets.
pub(crate) fn by_ambient(input: &str) -> Parsed<'_, Vec<AmbientClass>> {
    let (rest, classes) = rows(input, class_with_ambient)?;
    let bracketed = input[..input.len() - rest.len()].contains('(');
    if classes.len() == 1 && !bracketed {
        return no(input);
    }
    Ok((rest, classes))
}

/// A table away from its string: two rows at least, with the class or the ambient first.
///
/// **Source:** common practice.
pub(crate) fn table(input: &str) -> Parsed<'_, Vec<AmbientClass>> {
    let found = rows(input, class_with_ambient).or_else(|_| rows(input, ambient_with_class));
    match found {
        Ok((rest, classes)) if classes.len() > 1 => Ok((rest, classes)),
        _ => no(input),
    }
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

/// A class in the place of the surface temperature of an old dust type, with the practice before it or
/// alone: `TA,T6`, `TB T4`, `T6`. The limit of the class is what it promises at most, so that is the surface
/// temperature to reckon with.
///
/// **Source:** IEC 61241-1-1, marking (memory); limits of the classes: IEC 60079-0 5.3 (checked).
pub(crate) fn class_by_practice(input: &str) -> Parsed<'_, Token<DustTemperature>> {
    let practice = (
        char('T'),
        opt(char('_')),
        one_of("AB"),
        sp,
        opt(one_of(",:;/-=")),
        sp,
    );
    let (rest, _) = opt(practice).parse(input)?;
    let (rest, token) = class(rest)?;
    if token.value.is_american() || !token.rivals.is_empty() {
        return no(input);
    }
    let value = DustTemperature {
        celsius: token.value.limit_c(),
        layer_mm: None,
    };
    Ok((rest, Token::strict(value)))
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

    #[test]
    fn several_classes() {
        for (text, expected) in [
            ("T6...T4", "T6...T4"),
            ("T5 or T6", "T5...T6"),
            ("T6, T5", "T6...T5"),
            ("T6/T5/T4 Gb", "T6...T4"),
            ("T4/T5/T6", "T4...T6"),
            (
                "T4 Ta ≤ 60 °C / T5 Ta ≤ 40 °C",
                "T4 (Ta ≤ +60 °C) / T5 (Ta ≤ +40 °C)",
            ),
            (
                "T6 (Ta=40°C), T5 (Ta=55°C)",
                "T6 (Ta ≤ +40 °C) / T5 (Ta ≤ +55 °C)",
            ),
            (
                "T4 @ 60 °C, T5 @ 40 °C",
                "T4 (Ta ≤ +60 °C) / T5 (Ta ≤ +40 °C)",
            ),
            (
                "T6 (Ta 40 °C) and T5 (Ta 55 °C)",
                "T6 (Ta ≤ +40 °C) / T5 (Ta ≤ +55 °C)",
            ),
            ("T6 Gb", "T6"),
        ] {
            let (_, token) = super::classes(text).unwrap();
            assert_eq!(token.value.to_string(), expected, "{text}");
        }
    }

    #[test]
    fn tables_away_from_their_string() {
        for text in [
            "T6: Ta -20 to +40 °C\nT5: Ta -20 to +55 °C",
            "Ta 40 °C: T6\nTa 55 °C: T5",
            "Ta=40°C T6\nTa=55°C T5",
            "T6 (Ta 40 °C) - T5 (Ta 55 °C)",
            "-20 °C ≤ Ta ≤ +40 °C (T6), -20 °C ≤ Ta ≤ +55 °C (T5)",
        ] {
            let (rest, rows) = table(text).unwrap();
            let rows: Vec<_> = rows
                .iter()
                .map(|row| (row.class, row.ambient_max_c as i64))
                .collect();
            assert_eq!(rest, "", "{text}");
            assert_eq!(rows, [(TClass::T6, 40), (TClass::T5, 55)], "{text}");
        }
        for text in ["T6 Gb", "T6: Ta 40 °C", "Ta 40 °C", "T6 @ 40"] {
            assert!(table(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_class_in_the_place_of_a_surface_temperature() {
        for (text, celsius) in [
            ("TA T6 IP65", 85),
            ("TA,T4", 135),
            ("TAT3", 200),
            ("T5", 100),
        ] {
            let value = class_by_practice(text).unwrap().1.value;
            assert_eq!(value.celsius as i64, celsius, "{text}");
        }
        for text in ["TA", "TA 170 °C", "TA T3C", "T8"] {
            assert!(class_by_practice(text).is_err(), "{text}");
        }
    }
}
