//! Entity parameters: `Ui = 30 V`, `Co: 83 nF`, `Lo/Ro ≤ 28 µH/Ω`.

use super::text::Token;
use super::words::{Parsed, comma_doubt, decimal, is, is_no_case, no, no_case, not_letter, sp};
use crate::marking::Quantity;
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::tag;
use nom::character::complete::one_of;
use nom::combinator::opt;

/// What a unit measures, and the factor to the unit of [`Quantity::unit`].
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Voltage,
    Current,
    Power,
    Capacitance,
    Inductance,
    Ratio,
}

fn unit(input: &str) -> Parsed<'_, (Kind, f64)> {
    let (rest, found) = alt((
        alt((
            is("µH/Ω", (Kind::Ratio, 1.0)),
            is("uH/Ω", (Kind::Ratio, 1.0)),
            is("µH/ohm", (Kind::Ratio, 1.0)),
            is("uH/ohm", (Kind::Ratio, 1.0)),
            is("mH/Ω", (Kind::Ratio, 1000.0)),
        )),
        alt((
            is("mV", (Kind::Voltage, 0.001)),
            is("kV", (Kind::Voltage, 1000.0)),
            is("V", (Kind::Voltage, 1.0)),
            is("mA", (Kind::Current, 1.0)),
            is("µA", (Kind::Current, 0.001)),
            is("uA", (Kind::Current, 0.001)),
            is("A", (Kind::Current, 1000.0)),
            is("mW", (Kind::Power, 0.001)),
            is("µW", (Kind::Power, 1e-6)),
            is("W", (Kind::Power, 1.0)),
        )),
        alt((
            is("pF", (Kind::Capacitance, 0.001)),
            is("nF", (Kind::Capacitance, 1.0)),
            is("µF", (Kind::Capacitance, 1000.0)),
            is("uF", (Kind::Capacitance, 1000.0)),
            is("mF", (Kind::Capacitance, 1e6)),
            is("nH", (Kind::Inductance, 0.001)),
            is("µH", (Kind::Inductance, 1.0)),
            is("uH", (Kind::Inductance, 1.0)),
            is("mH", (Kind::Inductance, 1000.0)),
            is("H", (Kind::Inductance, 1e6)),
        )),
    ))
    .parse(input)?;
    // `V DC` and `VDC` are volts too.
    let (rest, _) = opt(alt((tag("DC"), tag("AC"), tag("dc"), tag("ac")))).parse(rest)?;
    let (rest, ()) = not_letter(rest)?;
    Ok((rest, found))
}

/// What a name says before the unit is known.
#[derive(Clone, Copy)]
struct Name {
    /// First letter in its one form, or none where strokes hide it.
    letter: Option<char>,
    /// `i` input, `o` output, `m` mains.
    port: char,
    repaired: bool,
}

fn name(input: &str) -> Parsed<'_, Name> {
    let fixed = |letter, port| Name {
        letter: Some(letter),
        port,
        repaired: false,
    };
    if let Ok((rest, found)) = alt((
        is_no_case("Lo/Ro", fixed('R', 'o')),
        is_no_case("Lo / Ro", fixed('R', 'o')),
        is_no_case("Vmax", fixed('U', 'i')),
        is_no_case("Umax", fixed('U', 'i')),
        is_no_case("Imax", fixed('I', 'i')),
        is_no_case("Pmax", fixed('P', 'i')),
        is_no_case("Voc", fixed('U', 'o')),
        is_no_case("Isc", fixed('I', 'o')),
        is("Ca", fixed('C', 'o')),
        is("La", fixed('L', 'o')),
    ))
    .parse(input)
    {
        let (rest, ()) = not_letter(rest)?;
        return Ok((rest, found));
    }
    let (rest, letter) = one_of("UuVvIiPpCcLl1|").parse(input)?;
    let (rest, _) = opt(one_of("_")).parse(rest)?;
    let (rest, port) = one_of("iIl1|o0Om").parse(rest)?;
    let (rest, ()) = not_letter(rest)?;
    let first = match letter {
        'U' | 'u' | 'V' | 'v' => Some('U'),
        'P' | 'p' => Some('P'),
        'C' | 'c' => Some('C'),
        'L' => Some('L'),
        'I' | 'i' => Some('I'),
        _ => None,
    };
    let tidy_port = match port {
        'o' | 'O' | '0' => 'o',
        'm' => 'm',
        _ => 'i',
    };
    Ok((
        rest,
        Name {
            letter: first,
            port: tidy_port,
            repaired: first.is_none() || !matches!(port, 'i' | 'o' | 'm'),
        },
    ))
}

fn quantity(kind: Kind, port: char) -> Option<Quantity> {
    Some(match (kind, port) {
        (Kind::Voltage, 'i') => Quantity::Ui,
        (Kind::Voltage, 'o') => Quantity::Uo,
        (Kind::Voltage, 'm') => Quantity::Um,
        (Kind::Current, 'i') => Quantity::Ii,
        (Kind::Current, 'o') => Quantity::Io,
        (Kind::Power, 'i') => Quantity::Pi,
        (Kind::Power, 'o') => Quantity::Po,
        (Kind::Capacitance, 'i') => Quantity::Ci,
        (Kind::Capacitance, 'o') => Quantity::Co,
        (Kind::Inductance, 'i') => Quantity::Li,
        (Kind::Inductance, 'o') => Quantity::Lo,
        (Kind::Ratio, _) => Quantity::LoRo,
        _ => return None,
    })
}

/// The quantity that a letter names, for values without a unit.
fn by_letter(letter: char, port: char) -> Option<Quantity> {
    match letter {
        'C' => quantity(Kind::Capacitance, port),
        'L' => quantity(Kind::Inductance, port),
        _ => None,
    }
}

/// True if letter and unit agree, or the letter is a stroke that the unit explains.
fn agrees(name: Name, kind: Kind) -> (bool, bool) {
    let expected = match kind {
        Kind::Voltage => 'U',
        Kind::Current => 'I',
        Kind::Power => 'P',
        Kind::Capacitance => 'C',
        Kind::Inductance => 'L',
        Kind::Ratio => 'R',
    };
    match name.letter {
        Some(letter) if letter == expected => (true, false),
        Some('L') if expected == 'I' => (true, true),
        Some('I') if expected == 'L' => (true, true),
        None if matches!(expected, 'I' | 'L') => (true, true),
        _ => (false, false),
    }
}

/// One entity parameter in its unit. `Ci negligible` and `Ci = 0` are zero.
pub(crate) fn entity(input: &str) -> Parsed<'_, (Quantity, Token<f64>)> {
    let (rest, name) = name(input)?;
    let (rest, _) = sp(rest)?;
    let (rest, sign) = opt(alt((
        tag("="),
        tag(":"),
        tag("≤"),
        tag("<="),
        tag("<"),
        tag("≈"),
        tag("~"),
        tag(".."),
    )))
    .parse(rest)?;
    let (rest, _) = sp(rest)?;
    if let Ok((rest, _)) = alt((
        no_case("negligible"),
        no_case("negligibly small"),
        no_case("vernachlässigbar"),
        no_case("négligeable"),
        no_case("trascurabile"),
        no_case("despreciable"),
    ))
    .parse(rest)
        && let Some(quantity) = name.letter.and_then(|l| by_letter(l, name.port))
    {
        return Ok((rest, (quantity, Token::strict(0.0))));
    }
    let (after, number) = decimal(rest)?;
    let text = &rest[..rest.len() - after.len()];
    let (tail, _) = sp(after)?;
    let Ok((tail, (kind, factor))) = unit(tail) else {
        // `Ci = 0` needs no unit.
        return match name.letter.and_then(|l| by_letter(l, name.port)) {
            Some(quantity) if number == 0.0 && sign.is_some() => {
                Ok((after, (quantity, Token::strict(0.0))))
            }
            _ => no(input),
        };
    };
    let (fits, letter_repaired) = agrees(name, kind);
    let Some(quantity) = quantity(kind, name.port).filter(|_| fits) else {
        return no(input);
    };
    // Without a sign only the tidy names count: `I1 2 A` may be a phase current.
    if sign.is_none() && (name.repaired || letter_repaired) {
        return no(input);
    }
    // Rounded to a picounit: the factor is a power of ten.
    let scaled = |v: f64| (v * factor * 1e9).round() / 1e9;
    let value = scaled(number);
    let mut token = if name.repaired || letter_repaired {
        Token::repaired(
            value,
            "name of the parameter",
            format!("{} = {text}", quantity.name()),
        )
    } else {
        Token::strict(value)
    };
    if comma_doubt(text) {
        token.rivals.push(scaled(number * 1000.0));
    }
    Ok((tail, (quantity, token)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_in_their_units() {
        for (text, quantity, value) in [
            ("Ui = 30 V", Quantity::Ui, 30.0),
            ("Uo=28 V", Quantity::Uo, 28.0),
            ("Io=93 mA", Quantity::Io, 93.0),
            ("Ii: 0,12 A", Quantity::Ii, 120.0),
            ("Pi 0.8 W", Quantity::Pi, 0.8),
            ("Po ≤ 651 mW", Quantity::Po, 0.651),
            ("Ci = 5 nF", Quantity::Ci, 5.0),
            ("Co = 0.083 µF", Quantity::Co, 83.0),
            ("Lo=4,2 mH", Quantity::Lo, 4200.0),
            ("Li = 10 uH", Quantity::Li, 10.0),
            ("Lo/Ro = 28 µH/Ω", Quantity::LoRo, 28.0),
            ("Um = 250 V", Quantity::Um, 250.0),
            ("U1 = 30 V", Quantity::Ui, 30.0),
            ("Li = 100 mA", Quantity::Ii, 100.0),
            ("l1 = 10 µH", Quantity::Li, 10.0),
            ("Ci negligible", Quantity::Ci, 0.0),
            ("Voc = 28 V", Quantity::Uo, 28.0),
            ("Ci = 0", Quantity::Ci, 0.0),
        ] {
            let (_, (q, token)) = entity(text).unwrap_or_else(|e| panic!("{text}: {e}"));
            assert_eq!((q, token.value), (quantity, value), "{text}");
        }
        for text in ["Ui", "Ui = 30 A", "I 1.2 A", "Co", "Input 30 V", "U = 30 V"] {
            assert!(entity(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_thousand_or_a_decimal() {
        let (_, (_, token)) = entity("Lo = 3,050 mH").unwrap();
        assert_eq!((token.value, token.rivals), (3050.0, vec![3_050_000.0]));
    }
}
