//! Ambient temperature ranges in every spelling.

use super::text::Token;
use super::words::{Parsed, degree_sign, no, no_case, not_letter, signed, sp};
use crate::marking::Ambient;
use crate::tables::{LookAlike, look_alikes};
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::tag;
use nom::character::complete::one_of;
use nom::combinator::{opt, recognize};

/// The words that announce an ambient temperature.
fn name(input: &str) -> Parsed<'_, &str> {
    let short = recognize((
        one_of("Tt"),
        opt(tag(".")),
        sp,
        alt((
            no_case("ambiente"),
            no_case("ambiante"),
            no_case("amb"),
            no_case("amo"),
            tag("a"),
            tag("A"),
            tag("u"),
        )),
        not_letter,
        opt(tag(".")),
    ));
    let long = recognize((
        alt((
            no_case("Umgebungstemperatur"),
            no_case("Umgebungstemp"),
            no_case("ambient temperature"),
            no_case("ambient temp"),
            no_case("temperature ambiante"),
            no_case("température ambiante"),
            no_case("temp. ambiante"),
            no_case("temp. ambiente"),
            no_case("temperatura ambiente"),
            no_case("ambient"),
            no_case("amb"),
        )),
        not_letter,
        opt(tag(".")),
        // `Amb. Temp. Range`, `température ambiante de`
        opt((
            sp,
            alt((no_case("temp"), no_case("range"), no_case("de"))),
            not_letter,
        )),
        opt(tag(".")),
        opt((sp, no_case("range"), not_letter)),
    ));
    alt((long, short)).parse(input)
}

/// The unit: °C, °F or a bare degree sign.
#[derive(Clone, Copy, PartialEq)]
enum Unit {
    Celsius,
    Fahrenheit,
    Bare,
}

fn unit(input: &str) -> Parsed<'_, Unit> {
    let (rest, _) = sp(input)?;
    let (rest, degree) = opt(degree_sign).parse(rest)?;
    let (rest, _) = sp(rest)?;
    let letters = if degree.is_some() { "CFcf" } else { "CF" };
    if let Ok((rest, letter)) = one_of::<_, _, nom::error::Error<&str>>(letters).parse(rest)
        && not_letter(rest).is_ok()
    {
        let unit = if letter.eq_ignore_ascii_case(&'C') {
            Unit::Celsius
        } else {
            Unit::Fahrenheit
        };
        return Ok((rest, unit));
    }
    if degree.is_some() {
        Ok((rest, Unit::Bare))
    } else {
        no(input)
    }
}

/// One temperature with what was seen of it.
#[derive(Clone, Copy)]
struct Point {
    value: f64,
    signed: bool,
    repaired: bool,
    /// A long dash stood before it.
    dash: bool,
    unit: Option<Unit>,
}

fn point(input: &str) -> Parsed<'_, Point> {
    let (rest, (value, signed, repaired)) = signed(input)?;
    let (rest, unit) = opt(unit).parse(rest)?;
    // A number glued to a letter is no temperature.
    let (rest, ()) = not_letter(rest)?;
    Ok((
        rest,
        Point {
            value,
            signed,
            repaired,
            dash: input.starts_with('—'),
            unit,
        },
    ))
}

/// The sign or word between the two ends.
fn between(input: &str) -> Parsed<'_, &str> {
    let (rest, _) = sp(input)?;
    let (rest, sign) = alt((
        tag("..."),
        tag("…"),
        tag(".."),
        no_case("up to"),
        no_case("to"),
        no_case("bis"),
        tag("à"),
        tag("a"),
        tag("÷"),
        tag("/"),
        tag("~"),
        tag("-"),
        tag(","),
    ))
    .parse(rest)?;
    let (rest, _) = sp(rest)?;
    Ok((rest, sign))
}

/// `≤` in every form; true where it was misread, which happens between two temperatures.
fn at_most(input: &str) -> Parsed<'_, bool> {
    let (rest, _) = sp(input)?;
    let (rest, misread) = alt((tag("≤"), tag("<="), tag("=<"), tag("<"), tag("=")))
        .parse(rest)
        .map(|(rest, _): (&str, &str)| (rest, false))
        .or_else(|e| {
            let misread = LookAlike::prefix(look_alikes::AT_MOST, rest);
            misread.map_or(Err(e), |(rest, _)| Ok((rest, true)))
        })?;
    let (rest, _) = sp(rest)?;
    Ok((rest, misread))
}

fn to_celsius(point: Point, fallback: Option<Unit>) -> f64 {
    match point.unit.or(fallback) {
        Some(Unit::Fahrenheit) => ((point.value - 32.0) / 1.8 * 10.0).round() / 10.0,
        _ => point.value,
    }
}

fn build(low: Option<Point>, high: Option<Point>, repaired: bool) -> Token<Ambient> {
    let unit = high.and_then(|p| p.unit).or(low.and_then(|p| p.unit));
    let value = Ambient {
        low_c: low.map_or(Ambient::DEFAULT.low_c, |p| to_celsius(p, unit)),
        high_c: high.map_or(Ambient::DEFAULT.high_c, |p| to_celsius(p, unit)),
    };
    let repaired = repaired || low.is_some_and(|p| p.repaired) || high.is_some_and(|p| p.repaired);
    // A first bound above zero without a sign may have lost its minus.
    let lost_sign = low.is_some_and(|p| !p.signed && p.value > 0.0);
    let mut token = if repaired {
        Token::repaired(
            value,
            "ambient temperature",
            format!("{} to {:+} °C", value.low_c, value.high_c),
        )
    } else {
        Token::strict(value)
    };
    if lost_sign {
        token.rivals.push(Ambient {
            low_c: -value.low_c,
            high_c: value.high_c,
        });
    }
    token
}

/// An ambient range: `Ta -40 °C to +55 °C`, `-20 °C ≤ Ta ≤ +60 °C`, `Tamb 50 °C`, `Ta ≤ +60 °C`.
///
/// Only an upper bound printed: the lower is −20 °C.
/// **Source:** IEC 60079-0:2017 5.1.1 and 29.3 (checked).
pub(crate) fn ambient(input: &str) -> Parsed<'_, Token<Ambient>> {
    alt((enclosed, named, bare)).parse(input)
}

/// `-20 °C ≤ Ta ≤ +60 °C`
fn enclosed(input: &str) -> Parsed<'_, Token<Ambient>> {
    let (rest, low) = point(input)?;
    let (rest, first) = at_most(rest)?;
    let (rest, _) = name(rest)?;
    let (rest, second) = at_most(rest)?;
    let (rest, high) = point(rest)?;
    Ok((rest, build(Some(low), Some(high), first || second)))
}

/// `Ta: -20 °C to +60 °C`, `Ta ≤ 60 °C`, `Tamb +60`, `Ta = -20 °C ≤ Ta ≤ +60 °C`.
fn named(input: &str) -> Parsed<'_, Token<Ambient>> {
    let (rest, label) = name(input)?;
    let (rest, _) = sp(rest)?;
    let (rest, _) = opt(alt((tag("range"), tag("temp."), tag("temp")))).parse(rest)?;
    let (rest, _) = sp(rest)?;
    let (rest, sign) = opt(alt((
        tag(":"),
        tag("="),
        tag("≤"),
        tag("<="),
        tag("<"),
        no_case("max."),
        no_case("max"),
        no_case("up to"),
        tag("≥"),
    )))
    .parse(rest)?;
    let (rest, _) = sp(rest)?;
    if let Ok(found) = enclosed(rest) {
        return Ok(found);
    }
    let repaired = label.contains("amo");
    let (rest, first) = point(rest)?;
    if let Ok((rest, _)) = between(rest)
        && let Ok((rest, second)) = point(rest)
        && (second.unit.is_some() || first.unit.is_some() || second.signed)
    {
        return Ok((rest, build(Some(first), Some(second), repaired)));
    }
    // One value: the upper bound; the name, its sign or its unit must make it a temperature.
    if first.unit.is_none() && !first.signed {
        return no(input);
    }
    match sign {
        Some("≥") => Ok((rest, build(Some(first), None, repaired))),
        // The dash may be a minus before a lower bound, or stand before an upper one.
        _ if first.dash => {
            let mut token = build(None, Some(first), repaired);
            token.rivals.push(Ambient {
                low_c: -token.value.high_c,
                ..Ambient::DEFAULT
            });
            Ok((rest, token))
        }
        _ if first.value < 0.0 && sign != Some("≤") => {
            Ok((rest, build(Some(first), None, repaired)))
        }
        _ => Ok((rest, build(None, Some(first), repaired))),
    }
}

/// `-40 °C to +60 °C`, `-20...+40 °C` without a name: both signs or a unit, and a negative low end.
pub(crate) fn bare(input: &str) -> Parsed<'_, Token<Ambient>> {
    let (rest, low) = point(input)?;
    let (rest, _) = between(rest)?;
    let (rest, high) = point(rest)?;
    let unit = high.unit.or(low.unit);
    if low.signed && low.value <= 0.0 && unit.is_some() && high.value > low.value {
        Ok((rest, build(Some(low), Some(high), false)))
    } else {
        no(input)
    }
}

/// A single temperature with its unit, in °C.
pub(crate) fn alone(input: &str) -> Parsed<'_, f64> {
    let (rest, found) = point(input)?;
    if found.unit.is_none() || found.repaired {
        return no(input);
    }
    Ok((rest, to_celsius(found, None)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn range(text: &str) -> Option<(f64, f64)> {
        ambient(text)
            .ok()
            .map(|(_, t)| (t.value.low_c, t.value.high_c))
    }

    #[test]
    fn spellings() {
        for (text, expected) in [
            ("Ta -40 °C to +55 °C", (-40.0, 55.0)),
            ("-20 °C ≤ Ta ≤ +60 °C", (-20.0, 60.0)),
            ("-25°C<Tamb<+55°C", (-25.0, 55.0)),
            ("Ta: -20...+40 °C", (-20.0, 40.0)),
            ("Ta -40°C...+60°C", (-40.0, 60.0)),
            ("Tamb. -60°C / +65°C", (-60.0, 65.0)),
            ("Tamb 50 °C", (-20.0, 50.0)),
            ("Ta ≤ +60 °C", (-20.0, 60.0)),
            ("Tamb +60", (-20.0, 60.0)),
            ("T amb max. 45°C", (-20.0, 45.0)),
            ("Umgebungstemp. -20 °C bis +40 °C", (-20.0, 40.0)),
            ("Temp. ambiante -30 °C à +50 °C", (-30.0, 50.0)),
            ("Ta = -20°C ≤ Ta ≤ +55°C", (-20.0, 55.0)),
            ("-20 °C s Ta s +55 °C", (-20.0, 55.0)),
            ("Tamb -4 °F to 140 °F", (-20.0, 60.0)),
            ("Ta -2O °C to +4O °C", (-20.0, 40.0)),
            ("-40...+70 °C", (-40.0, 70.0)),
            ("Ta -20-+40°C", (-20.0, 40.0)),
            ("0 °c ≤ Ta ≤ +60 °c", (0.0, 60.0)),
        ] {
            assert_eq!(range(text), Some(expected), "{text}");
        }
        for text in [
            "T4 Gb",
            "Type 40",
            "24 V",
            "10-20 mA",
            "Ta",
            "5 to 10 kg",
            "TYPE 4",
        ] {
            assert_eq!(range(text), None, "{text}");
        }
    }

    #[test]
    fn a_sign_that_may_be_lost_keeps_both() {
        let (_, token) = ambient("Ta 20 °C to 40 °C").unwrap();
        assert_eq!(token.rivals.len(), 1);
        assert!(ambient("Ta 0 °C to 40 °C").unwrap().1.rivals.is_empty());
    }
}
