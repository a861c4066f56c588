//! The rest of the plate: captioned values, ratings, warnings.

use super::ambient;
use super::words::{Parsed, decimal, no, no_case, not_letter, one_word, sp, word_end};
use crate::marking::Ambient;
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::tag;
use nom::character::complete::one_of;
use nom::combinator::{opt, recognize};

/// What a caption announces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Caption {
    Serial,
    Kind,
    Year,
    Maker,
}

/// Captions in English, German, French, Spanish and Italian, longest first within a meaning.
///
/// **Source:** common practice.
const CAPTIONS: &[(&str, Caption)] = &[
    ("serial number", Caption::Serial),
    ("serial no.", Caption::Serial),
    ("serial no", Caption::Serial),
    ("serial", Caption::Serial),
    ("ser. no.", Caption::Serial),
    ("ser.no.", Caption::Serial),
    ("ser. no", Caption::Serial),
    ("ser.no", Caption::Serial),
    ("ser. nr.", Caption::Serial),
    ("ser.-nr.", Caption::Serial),
    ("ser.-no.", Caption::Serial),
    ("ser.nr.", Caption::Serial),
    ("serien-nr.", Caption::Serial),
    ("serien-nr", Caption::Serial),
    ("seriennummer", Caption::Serial),
    ("serien-no.", Caption::Serial),
    ("fabr.-nr.", Caption::Serial),
    ("fabr.-nr", Caption::Serial),
    ("fabr. nr.", Caption::Serial),
    ("fabriknummer", Caption::Serial),
    ("fertigungsnr.", Caption::Serial),
    ("n° de série", Caption::Serial),
    ("no de série", Caption::Serial),
    ("n° série", Caption::Serial),
    ("numéro de série", Caption::Serial),
    ("n° de serie", Caption::Serial),
    ("no. de serie", Caption::Serial),
    ("núm. de serie", Caption::Serial),
    ("nº serie", Caption::Serial),
    ("n° serie", Caption::Serial),
    ("n. di serie", Caption::Serial),
    ("numero di serie", Caption::Serial),
    ("matricola", Caption::Serial),
    ("s/n", Caption::Serial),
    ("sn", Caption::Serial),
    ("year of manufacture", Caption::Year),
    ("year of construction", Caption::Year),
    ("year built", Caption::Year),
    ("year", Caption::Year),
    ("manufactured in", Caption::Year),
    ("manufactured", Caption::Year),
    ("made in", Caption::Year),
    ("made", Caption::Year),
    ("mfg. date", Caption::Year),
    ("mfg date", Caption::Year),
    ("mfd.", Caption::Year),
    ("mfd", Caption::Year),
    ("date of manufacture", Caption::Year),
    ("date", Caption::Year),
    ("baujahr", Caption::Year),
    ("bj.", Caption::Year),
    ("année de construction", Caption::Year),
    ("année de fabrication", Caption::Year),
    ("année", Caption::Year),
    ("año de fabricación", Caption::Year),
    ("año", Caption::Year),
    ("anno di costruzione", Caption::Year),
    ("anno di fabbricazione", Caption::Year),
    ("anno", Caption::Year),
    ("manufacturer", Caption::Maker),
    ("maker", Caption::Maker),
    ("hersteller", Caption::Maker),
    ("fabricant", Caption::Maker),
    ("fabricante", Caption::Maker),
    ("fabbricante", Caption::Maker),
    ("costruttore", Caption::Maker),
    ("type no.", Caption::Kind),
    ("type", Caption::Kind),
    ("typ", Caption::Kind),
    ("model no.", Caption::Kind),
    ("model", Caption::Kind),
    ("modell", Caption::Kind),
    ("modèle", Caption::Kind),
    ("modelo", Caption::Kind),
    ("modello", Caption::Kind),
    ("tipo", Caption::Kind),
];

/// The first letters agree but for their case: a cheap look before the whole word.
fn begins_alike(word: &str, input: &str) -> bool {
    match (word.as_bytes(), input.as_bytes()) {
        ([a, ..], [b, ..]) => a.eq_ignore_ascii_case(b),
        _ => false,
    }
}

/// A caption with what follows it on the line up to a wide gap; the value may be empty, then it
/// stands on the next line.
pub(crate) fn captioned(input: &str) -> Parsed<'_, (Caption, &str)> {
    for &(text, kind) in CAPTIONS {
        if !begins_alike(text, input) {
            continue;
        }
        let Ok((rest, _)) = no_case(text).parse(input) else {
            continue;
        };
        if !text.ends_with('.') && rest.starts_with(char::is_alphanumeric) {
            continue;
        }
        let (rest, _) = sp(rest)?;
        let (rest, sign) = opt(one_of(":=#")).parse(rest)?;
        let (rest, _) = sp(rest)?;
        let end = value_end(rest);
        let value = rest[..end].trim_end();
        let first = value.split(' ').next().unwrap_or("");
        let fits = match kind {
            Caption::Serial => value.chars().any(|c| c.is_ascii_digit()) || value.is_empty(),
            Caption::Year => year(value).is_some(),
            // `Type of protection`, `type approved`: words, not a value, unless a colon says so.
            Caption::Kind => {
                sign.is_some()
                    || value.is_empty()
                    || first.chars().any(|c| c.is_ascii_digit())
                    || first.chars().all(|c| !c.is_lowercase())
            }
            Caption::Maker => sign.is_some() && !value.is_empty(),
        };
        if !fits {
            continue;
        }
        let value = if kind == Caption::Year {
            year_text(value)
        } else {
            value
        };
        let start = rest.as_ptr() as usize - input.as_ptr() as usize;
        return Ok((&input[start + value.len()..], (kind, value)));
    }
    no(input)
}

/// No captioned value is longer, in bytes; it bounds the search for its end.
pub(crate) const LONGEST_VALUE: usize = 160;

/// The start of a text, at most so many bytes.
pub(crate) fn start(text: &str, most: usize) -> &str {
    let mut end = most.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    &text[..end]
}

/// Where a captioned value ends: at a wide gap, a line end, a semicolon or another caption.
fn value_end(rest: &str) -> usize {
    let rest = start(rest, LONGEST_VALUE);
    let hard = rest.find(['\n', ';']).unwrap_or(rest.len());
    let mut end = rest[..hard].find("  ").unwrap_or(hard);
    let lower: String = rest[..end].chars().map(lower).collect();
    for (at, _) in rest[..end].match_indices(' ') {
        let tail = &lower[at + 1..];
        let caption = CAPTIONS.iter().any(|(text, _)| {
            text.len() > 2
                && tail.as_bytes().first() == text.as_bytes().first()
                && tail.starts_with(text)
                && !tail[text.len()..].starts_with(char::is_alphanumeric)
        });
        if caption {
            end = at;
            break;
        }
    }
    end
}

/// A letter in its small form, where that takes the same place; so positions stay.
fn lower(ch: char) -> char {
    if ch.is_ascii() {
        return ch.to_ascii_lowercase();
    }
    let mut small = ch.to_lowercase();
    match (small.next(), small.next()) {
        (Some(small), None) if small.len_utf8() == ch.len_utf8() => small,
        _ => ch,
    }
}

/// The part of a value that carries the year: `05/2016`, `2019-05`, `2012`.
fn year_text(value: &str) -> &str {
    let end = value.find(' ').unwrap_or(value.len());
    &value[..end]
}

/// The year in a text such as `2012`, `05/2016`, `2019-05`.
pub(crate) fn year(value: &str) -> Option<i32> {
    year_text(value)
        .split(|c: char| !c.is_ascii_digit())
        .filter(|part| part.len() == 4)
        .find_map(|part| part.parse().ok().filter(|y| (1950..=2100).contains(y)))
}

/// A word or a symbol before ratings, which are read by themselves: `Rating`, `Un`, `Pn =`.
pub(crate) fn before_rating(input: &str) -> Parsed<'_, &str> {
    const WORDS: [&str; 4] = ["rating", "ratings", "supply", "rated"];
    const SYMBOLS: [&str; 8] = ["Un", "Ue", "In", "Ie", "Pn", "Pe", "fn", "nn"];
    let (rest, found) = one_word(&WORDS)(input).or_else(|_| {
        let symbol = SYMBOLS.iter().find(|text| input.starts_with(**text));
        symbol.map_or_else(
            || no(input),
            |text| Ok((&input[text.len()..], &input[..text.len()])),
        )
    })?;
    let (rest, ()) = word_end(rest)?;
    let (rest, _) = sp(rest)?;
    let (rest, _) = opt(one_of(":=")).parse(rest)?;
    let (rest, _) = sp(rest)?;
    if rest.starts_with(|c: char| c.is_ascii_digit()) {
        Ok((rest, found))
    } else {
        no(input)
    }
}

/// Temperatures of something else than the air around: what is measured, flows through or is stored.
///
/// **Source:** common practice.
const OTHER_TEMPERATURES: [&str; 24] = [
    "measuring range",
    "meas. range",
    "range",
    "span",
    "messbereich",
    "meßbereich",
    "plage de mesure",
    "étendue de mesure",
    "plage",
    "campo di misura",
    "campo",
    "rango de medida",
    "rango",
    "meetbereik",
    "mätområde",
    "måleområde",
    "process temperature",
    "process temp.",
    "process",
    "mediumtemperatur",
    "medium",
    "fluid",
    "storage",
    "lagertemperatur",
];

/// A range of temperatures that its caption says is not the ambient one: `Range -50...+150 °C`. `before` is
/// what stands before it: in `Temp. range` it is no such caption.
///
/// A range that is narrower than the usual ambient one at either end is left to be read as that: to pass it
/// over could allow more than the plate does.
pub(crate) fn other_range<'a>(before: &str, input: &'a str) -> Parsed<'a, &'a str> {
    let caption = OTHER_TEMPERATURES
        .iter()
        .filter(|text| begins_alike(text, input))
        .find_map(|text| no_case(text).parse(input).ok());
    let Some((rest, _)) = caption.filter(|_| !names_air(before)) else {
        return no(input);
    };
    let (rest, _) = (sp, opt(one_of(":=")), sp).parse(rest)?;
    // In a ruled box the value stands under its caption.
    let (rest, _) = opt(tag("\n")).parse(rest)?;
    let (after, range) = ambient::bare(rest)?;
    let usual = Ambient::DEFAULT;
    if range.value.low_c > usual.low_c || range.value.high_c < usual.high_c {
        return no(input);
    }
    Ok((after, &input[..input.len() - after.len()]))
}

/// Characters that are looked at for the last word before a caption.
const LONGEST_WORD: usize = 32;

/// True where the last word of a line so far says that what follows is the temperature of the air.
fn names_air(before: &str) -> bool {
    let before = before.trim_end_matches(|c: char| c.is_whitespace() && c != '\n');
    // Such words are short, and a text may be one long word.
    let window = before.char_indices().rev().take(LONGEST_WORD);
    let from = window.last().map_or(0, |(at, _)| at);
    let last = before[from..].rsplit([' ', '\n']).next().unwrap_or("");
    let last = last.trim_end_matches(['.', ':', '-']).to_lowercase();
    ["amb", "temp", "oper", "serv", "work"]
        .iter()
        .any(|word| last.starts_with(word))
        || ["t", "ta"].contains(&last.as_str())
}

/// A figure of a motor that stands behind its own name: `cosφ 0,82`, `IA/IN 6,2`, `tE 12 s`, `3~`.
fn of_motor(input: &str) -> Parsed<'_, &str> {
    let is = |input| (sp, opt(one_of(":=")), sp).parse(input);
    let power_factor = (
        no_case("cos"),
        sp,
        alt((tag("φ"), tag("ϕ"), no_case("phi"))),
        is,
        decimal,
    );
    let starting = (alt((tag("IA/IN"), tag("Ia/In"))), is, decimal);
    let time = (tag("tE"), is, decimal, sp, tag("s"));
    let phases = (one_of("13"), sp, tag("~"));
    let (rest, text) = alt((
        recognize(power_factor),
        recognize(starting),
        recognize(time),
        recognize(phases),
    ))
    .parse(input)?;
    let (rest, ()) = word_end(rest)?;
    Ok((rest, text))
}

/// One electrical or mechanical rating, by its name or by its unit.
pub(crate) fn rating(input: &str) -> Parsed<'_, &str> {
    alt((with_unit, of_motor)).parse(input)
}

/// One electrical or mechanical rating: a number and a unit, `400 V`, `24-240 V AC`, `1.2 A`.
fn with_unit(input: &str) -> Parsed<'_, &str> {
    recognize((
        opt(one_of("~±")),
        decimal,
        opt((sp, one_of("-/…"), sp, decimal)),
        sp,
        alt((
            alt((
                tag("VAC"),
                tag("VDC"),
                tag("Vac"),
                tag("Vdc"),
                tag("kV"),
                tag("mV"),
                tag("VA"),
                tag("kVA"),
                tag("V"),
                tag("mA"),
                tag("A"),
                tag("kW"),
                tag("mW"),
                tag("W"),
                tag("kHz"),
                tag("Hz"),
            )),
            alt((
                tag("HP"),
                tag("hp"),
                tag("rpm"),
                tag("min-1"),
                tag("1/min"),
                tag("kg"),
                tag("mm"),
                tag("mbar"),
                tag("bar"),
                tag("kPa"),
                tag("MPa"),
                tag("psi"),
                tag("Nm"),
                tag("m³/h"),
                tag("l/min"),
            )),
        )),
        word_end,
        opt((sp, alt((tag("AC"), tag("DC"), tag("~"))), not_letter)),
    ))
    .parse(input)
}

/// Words that open a warning, in the plate languages.
///
/// **Source:** IEC 60079-0 clause 29.4 for the English texts (memory); translations common practice.
const WARNINGS: &[&str] = &[
    "warning",
    "caution",
    "danger",
    "do not open",
    "do not separate",
    "potential electrostatic",
    "electrostatic",
    "explosion hazard",
    "after de-energizing",
    "wait ",
    "see instructions",
    "refer to",
    "warnung",
    "achtung",
    "vorsicht",
    "nicht unter spannung",
    "nicht öffnen",
    "vor dem öffnen",
    "elektrostatische",
    "betriebsanleitung",
    "avertissement",
    "attention",
    "ne pas ouvrir",
    "danger potentiel",
    "voir notice",
    "advertencia",
    "atención",
    "peligro",
    "no abrir",
    "attenzione",
    "avvertenza",
    "non aprire",
    "pericolo",
];

/// A warning: from its first word to the end of the line.
pub(crate) fn warning(input: &str) -> Parsed<'_, &str> {
    if WARNINGS.iter().any(|w| no_case(w).parse(input).is_ok()) {
        let end = input.find('\n').unwrap_or(input.len());
        Ok((&input[end..], &input[..end]))
    } else {
        no(input)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn captions() {
        for (text, kind, value) in [
            ("S/N 8254573", Caption::Serial, "8254573"),
            (
                "Serial No.: G505.81984  Type X",
                Caption::Serial,
                "G505.81984",
            ),
            ("N. di serie 8254573", Caption::Serial, "8254573"),
            ("made 2012", Caption::Year, "2012"),
            ("Anno 05/2016", Caption::Year, "05/2016"),
            ("Tipo EV-191/1", Caption::Kind, "EV-191/1"),
            ("Type: pump head", Caption::Kind, "pump head"),
            ("Typ KL-7 Baujahr 2019", Caption::Kind, "KL-7"),
        ] {
            let (_, found) = captioned(text).unwrap();
            assert_eq!(found, (kind, value), "{text}");
        }
        for text in ["Type of protection", "Made in Scotland", "yearly", "Snow"] {
            assert!(captioned(text).is_err(), "{text}");
        }
        assert_eq!(year("05/2016"), Some(2016));
        assert_eq!(year("12"), None);
    }

    #[test]
    fn letters_that_grow_and_shrink_keep_their_places() {
        // The Kelvin sign shrinks, the dotted I grows: together the length stays.
        assert!(captioned("S/N 12 \u{212a}\u{130} °C type x").is_ok());
    }

    #[test]
    fn a_range_of_something_else_is_not_the_ambient_one() {
        for text in [
            "Range -50...+150 °C",
            "RANGE: -50 … +150 °C",
            "Messbereich -40 °C bis +400 °C",
            "Range\n-50...+150 °C",
        ] {
            assert_eq!(other_range("Output 4...20 mA ", text).unwrap().1, text);
        }
        for before in ["Temp. ", "Amb. temp ", "operating "] {
            assert!(
                other_range(before, "range -50...+150 °C").is_err(),
                "{before}"
            );
        }
        // To pass over these could allow more than the plate does.
        for text in ["Range -10...+150 °C", "Range -50...+30 °C"] {
            assert!(other_range("", text).is_err(), "{text}");
        }
        for text in [
            "Range Ta -50...+150 °C",
            "Ranger -50...+150 °C",
            "Range 4...20 mA",
            "Range",
        ] {
            assert!(other_range("", text).is_err(), "{text}");
        }
    }

    #[test]
    fn ratings_and_warnings() {
        assert_eq!(rating("690 V 50 Hz").unwrap().1, "690 V");
        assert_eq!(rating("24-240 V AC").unwrap().1, "24-240 V AC");
        for text in ["cosφ 0,82", "cos phi = 0.9", "IA/IN 6,2", "tE 12 s", "3~"] {
            assert_eq!(rating(text).unwrap().1, text);
        }
        assert_eq!(before_rating("Un = 24 V").unwrap().0, "24 V");
        assert!(before_rating("In Scotland").is_err());
        assert!(rating("12 Volts").is_err());
        assert!(warning("Nicht unter Spannung öffnen\nx").is_ok());
        assert!(warning("Wafer").is_err());
    }
}
