//! Types of protection: one symbol, or several glued together.

use super::text::Token;
use super::words::{Parsed, is, no, sp, word_end};
use crate::marking::ProtectionType as T;
use crate::tables::{LookAlike, look_alikes};
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_while_m_n};
use nom::character::complete::{anychar, char, one_of};
use nom::combinator::opt;

/// One symbol with its level, as printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Symbol {
    pub(crate) kind: T,
    /// `a`, `b`, `c`, `A21`, `20` or nothing.
    pub(crate) level: String,
}

/// Symbols of one or two letters that may carry a level letter, longest first.
const LETTERED: &[(&str, T)] = &[
    ("px", T::PressurizedX),
    ("py", T::PressurizedY),
    ("pz", T::PressurizedZ),
    ("nA", T::NonSparking),
    ("nC", T::NonIncendive),
    ("nR", T::RestrictedBreathing),
    ("nL", T::EnergyLimited),
    ("nP", T::SimplifiedPressurizationEn),
    ("nZ", T::SimplifiedPressurizationIec),
    ("d", T::Flameproof),
    ("e", T::IncreasedSafety),
    ("i", T::IntrinsicSafety),
    ("m", T::Encapsulation),
    ("o", T::LiquidImmersion),
    ("p", T::Pressurization),
    ("q", T::PowderFilling),
    ("t", T::DustEnclosure),
    ("s", T::Special),
    ("v", T::VentilatedRoom),
];

/// True for the types that carry a level letter today.
pub(crate) fn takes_level(kind: T) -> bool {
    LETTERED.iter().any(|(_, k)| *k == kind)
}

/// Symbols that stand alone.
const PLAIN: &[(&str, T)] = &[
    ("60079-30-1", T::TraceHeating),
    ("h", T::NonElectrical),
    ("n", T::TypeN),
    ("N", T::TypeN),
];

fn symbol(kind: T, level: impl Into<String>) -> Symbol {
    Symbol {
        kind,
        level: level.into(),
    }
}

/// Every way to read one symbol at the start of the input, longest first, in today's case.
fn heads(input: &str) -> Vec<(usize, Symbol)> {
    let mut found = Vec::new();
    if let Ok((rest, s)) = optical(input) {
        found.push((input.len() - rest.len(), s));
        return found;
    }
    if let Ok((rest, s)) = old_dust(input) {
        found.push((input.len() - rest.len(), s));
        return found;
    }
    for &(text, kind) in PLAIN.iter().chain(LETTERED) {
        let Some(rest) = input.strip_prefix(text) else {
            continue;
        };
        let lettered = LETTERED.iter().any(|(t, _)| *t == text);
        if lettered && let Some(level @ ('a' | 'b' | 'c')) = rest.chars().next() {
            let kind = if kind == T::Pressurization {
                T::PressurizedRoom
            } else {
                kind
            };
            found.push((text.len() + 1, symbol(kind, level)));
        }
        if kind != T::VentilatedRoom {
            found.push((text.len(), symbol(kind, "")));
        }
    }
    found.sort_by_key(|(length, _)| std::cmp::Reverse(*length));
    found
}

/// `op is`, `op pr`, `op sh`, glued or apart; other letters behind `op` are kept as unknown.
fn optical(input: &str) -> Parsed<'_, Symbol> {
    let (rest, _) = tag("op").parse(input)?;
    let (rest, _) = sp(rest)?;
    let (rest, kind) = alt((
        is("is", T::OpticalInherentlySafe),
        is("pr", T::OpticalProtected),
        is("sh", T::OpticalInterlock),
    ))
    .parse(rest)?;
    let (rest, ()) = word_end(rest)?;
    Ok((rest, symbol(kind, "")))
}

fn optical_unknown(input: &str) -> Parsed<'_, Symbol> {
    let (rest, _) = tag("op").parse(input)?;
    let (rest, _) = sp(rest)?;
    let (rest, letters) = take_while_m_n(2, 2, |c: char| c.is_ascii_lowercase()).parse(rest)?;
    let (rest, ()) = word_end(rest)?;
    if look_alikes::OPTICAL_LETTERS
        .iter()
        .any(|row| row.read == letters)
    {
        return no(input);
    }
    Ok((rest, symbol(T::OpticalUnknown, letters)))
}

/// `tD A21`, `iaD 20`, `mbD`, `pD 21`, `DIP A21`.
fn old_dust(input: &str) -> Parsed<'_, Symbol> {
    if let Some(rest) = input.strip_prefix("tD").or(input.strip_prefix("DIP")) {
        let kind = if input.starts_with("tD") {
            T::OldDustEnclosure
        } else {
            T::DustIgnitionProof
        };
        let (rest, level) =
            opt((sp, one_of("AB"), opt(sp), char('2'), one_of("012"))).parse(rest)?;
        let level = level.map_or(String::new(), |(_, practice, _, _, zone)| {
            format!("{practice}2{zone}")
        });
        // `tD A2l`: a zone number stands there, but not as it should be.
        let garbled = level.is_empty() && {
            let next = rest.trim_start_matches(' ');
            next.starts_with(['A', 'B'])
                && next[1..].starts_with(|c: char| c.is_ascii_digit() || c == 'Z')
        };
        if garbled {
            return no(input);
        }
        return Ok((rest, symbol(kind, level)));
    }
    let (rest, (letter, level)) =
        alt(((one_of("im"), opt(one_of("abc"))), is("p", ('p', None)))).parse(input)?;
    let (rest, _) = char('D').parse(rest)?;
    let (rest, zone) = opt((sp, opt(one_of("AB")), char('2'), one_of("012"))).parse(rest)?;
    let (rest, ()) = word_end(rest)?;
    let kind = match letter {
        'i' => T::OldDustIntrinsicSafety,
        'm' => T::OldDustEncapsulation,
        _ => T::OldDustPressurization,
    };
    let level = match (level, zone) {
        (Some(level), _) => level.to_string(),
        (None, Some((_, _, _, digit))) => format!("2{digit}"),
        (None, None) => String::new(),
    };
    Ok((rest, symbol(kind, level)))
}

/// True where a run of symbols may end: no small letter, and no capital or digit that is not the
/// start of a group.
fn run_end(input: &str) -> bool {
    match input.chars().next() {
        None => true,
        Some('I') => {
            let strokes = input.chars().take_while(|c| *c == 'I').count();
            !input[strokes..].starts_with(|c: char| c.is_ascii_lowercase())
        }
        Some(c) => !c.is_alphanumeric() && c != '×',
    }
}

/// True for symbols that no plate glues to others: `nia` is a misread `ia` or `nA`, not `n` and
/// `ia`, and `pvb` a misread `pyb`.
fn stands_alone(kind: T) -> bool {
    matches!(kind, T::TypeN | T::VentilatedRoom | T::NonElectrical)
}

/// A run of symbols with nothing between them, split so that it ends well: `dbeb`, `de`, `nAnL`.
///
/// Backtracks over at most a dozen letters, so the search is bounded.
pub(crate) fn run(input: &str) -> Parsed<'_, Vec<(usize, Symbol)>> {
    fn split(input: &str, left: usize) -> Option<Vec<(usize, Symbol)>> {
        if left == 0 {
            return None;
        }
        for (length, symbol) in heads(input) {
            let rest = &input[length..];
            if run_end(rest) {
                return Some(vec![(length, symbol)]);
            }
            // `op` speaks of light and is never oil and pressure.
            let optical = symbol.kind == T::LiquidImmersion && rest.starts_with('p');
            if stands_alone(symbol.kind) || (optical && symbol.level.is_empty()) {
                continue;
            }
            // One type twice is no run: `iic` is a group in small letters.
            if let Some(mut tail) = split(rest, left - 1)
                && tail
                    .iter()
                    .all(|(_, s)| s.kind != symbol.kind && !stands_alone(s.kind))
            {
                tail.insert(0, (length, symbol));
                return Some(tail);
            }
        }
        None
    }
    if let Ok((rest, unknown)) = optical_unknown(input)
        && optical(input).is_err()
    {
        return Ok((rest, vec![(input.len() - rest.len(), unknown)]));
    }
    match split(input, 6) {
        Some(symbols) => {
            let length: usize = symbols.iter().map(|(l, _)| l).sum();
            Ok((&input[length..], symbols))
        }
        None => no(input),
    }
}

/// A run printed in capitals: `DB`, `EB`, `NA`, `IA`, `OP IS`.
///
/// **Source:** common practice: only the case differs, so only the case is repaired.
pub(crate) fn capitals(input: &str) -> Parsed<'_, Vec<(usize, Token<Symbol>)>> {
    let word: &str = {
        // A longer word is refused below.
        let end = input
            .bytes()
            .take(9)
            .take_while(u8::is_ascii_alphanumeric)
            .count();
        &input[..end]
    };
    if word.is_empty() || word.len() > 8 || !word.starts_with(|c: char| c.is_ascii_uppercase()) {
        return no(input);
    }
    // Capitals glued to the group: `DBEBIIC` ends where the numerals start.
    let glued = word.find("II").filter(|at| *at > 0);
    let body = &word[..glued.unwrap_or(word.len())];
    if body.len() > 5 || body.chars().any(|c| c.is_ascii_digit()) {
        return no(input);
    }
    let small = match body {
        "TD" | "PD" => format!("{}D", &body[..1].to_ascii_lowercase()),
        "NA" | "NC" | "NR" | "NL" | "NAC" | "NCC" | "NRC" => {
            format!("n{}{}", &body[1..2], body[2..].to_ascii_lowercase())
        }
        other => other.to_ascii_lowercase(),
    };
    let spaced = if small == "op" {
        // `OP IS`: the second word in capitals too.
        let rest = &input[body.len()..];
        let tail = rest.trim_start_matches(' ');
        let Some(second) = tail.get(..2) else {
            return no(input);
        };
        let joined = format!("op {}", second.to_ascii_lowercase());
        let length = input.len() - tail.len() + 2;
        return match run(&joined) {
            Ok((_, symbols)) if word_end(&input[length..]).is_ok() => Ok((
                &input[length..],
                symbols
                    .into_iter()
                    .map(|(_, s)| (length, Token::repaired(s, "capitals", joined.clone())))
                    .collect(),
            )),
            _ => no(input),
        };
    } else {
        small
    };
    match run(&spaced) {
        Ok(("", symbols)) => {
            let mut at = 0;
            let tokens = symbols
                .into_iter()
                .map(|(length, s)| {
                    let to = spaced[at..at + length].to_owned();
                    at += length;
                    (length, Token::repaired(s, "capitals", to))
                })
                .collect();
            Ok((&input[body.len()..], tokens))
        }
        _ => no(input),
    }
}

/// One symbol read by the look of its letters: `la` for ia, `p2c` for pzc, `op ls` for op is.
///
/// What has two meanings keeps both as rivals; the weaker comes first where neither is excluded.
pub(crate) fn repaired(input: &str) -> Parsed<'_, (usize, Token<Symbol>)> {
    // No symbol is longer than that; the look at a long word is bounded.
    const LONGEST: usize = 16;
    let end = input
        .char_indices()
        .take(LONGEST)
        .take_while(|(_, c)| c.is_alphanumeric() || matches!(c, '!' | '|' | '×'))
        .last()
        .map_or(0, |(i, c)| i + c.len_utf8());
    let word = &input[..end];
    let done = |length: usize, token: Token<Symbol>| Ok((&input[length..], (length, token)));
    if let Some(row) = look_alikes::TYPE.iter().find(|row| row.read == word)
        && let Some(meant) = single(row.meant)
    {
        let rivals = row.rivals.iter().filter_map(|text| single(text)).collect();
        return done(
            end,
            Token::repaired(meant, row.repair, row.meant).or(rivals),
        );
    }
    if let Ok((rest, _)) = (tag::<_, _, nom::error::Error<&str>>("op"), sp).parse(input)
        && let Some((after, row)) = LookAlike::prefix(look_alikes::OPTICAL_LETTERS, rest)
        && word_end(after).is_ok()
    {
        let meant = format!("op {}", row.meant);
        if let Some(found) = single(&meant) {
            let length = input.len() - after.len();
            return done(length, Token::repaired(found, row.repair, meant));
        }
    }
    // `tD A2l`, `tD AZ1`, `tD A2Z`
    let zone_figure = |c: char| {
        let clean = matches!(c, '0'..='2').then_some(c);
        clean.or_else(|| LookAlike::meant(look_alikes::ZONE_FIGURE, c))
    };
    if let Ok((rest, ((name, _), practice, tens, ones))) = (
        (
            alt((tag::<_, _, nom::error::Error<&str>>("tD"), tag("DIP"))),
            sp,
        ),
        one_of("AB"),
        anychar,
        anychar,
    )
        .parse(input)
        && word_end(rest).is_ok()
        && zone_figure(tens) == Some('2')
        && let Some(ones) = zone_figure(ones)
    {
        let level = format!("{practice}2{ones}");
        let to = format!("{name} {level}");
        if let Some(found) = single(&to) {
            return done(
                input.len() - rest.len(),
                Token::repaired(found, "zone number", to),
            );
        }
    }
    no(input)
}

/// The one symbol that a text is, printed as it should be.
fn single(text: &str) -> Option<Symbol> {
    match run(text) {
        Ok(("", symbols)) => match <[_; 1]>::try_from(symbols) {
            Ok([(_, symbol)]) => Some(symbol),
            Err(_) => None,
        },
        _ => None,
    }
}

/// The letters of EN 13463 behind a category: `c`, `b`, `k`, `d`, `p`, `fr`, `g`, glued or apart.
pub(crate) fn non_electrical(input: &str) -> Parsed<'_, Vec<(usize, Symbol)>> {
    let mut rest = input;
    let mut found = Vec::new();
    while found.len() < 4 {
        let head = [
            ("fr", T::FlowRestricting),
            ("c", T::ConstructionalSafety),
            ("b", T::ControlOfIgnitionSource),
            ("k", T::NonElectricalLiquidImmersion),
            ("d", T::NonElectricalFlameproof),
            ("p", T::NonElectricalPressurization),
            ("g", T::InherentSafety),
        ]
        .into_iter()
        .find(|(text, _)| rest.starts_with(text));
        let Some((text, kind)) = head else { break };
        found.push((text.len(), symbol(kind, "")));
        rest = &rest[text.len()..];
    }
    if found.is_empty() || !run_end(rest) {
        return no(input);
    }
    Ok((rest, found))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(input: &str) -> Vec<String> {
        run(input)
            .map(|(_, s)| {
                s.into_iter()
                    .map(|(_, s)| format!("{}{}", s.kind.symbol(), s.level))
                    .collect()
            })
            .unwrap_or_default()
    }

    #[test]
    fn glued_runs_split_one_way() {
        for (text, expected) in [
            ("db", vec!["db"]),
            ("dbeb ", vec!["db", "eb"]),
            ("de", vec!["d", "e"]),
            ("dem IIC", vec!["d", "e", "m"]),
            ("dbIIC", vec!["db"]),
            ("nAnL", vec!["nA", "nL"]),
            ("nAc", vec!["nAc"]),
            ("pxb", vec!["pxb"]),
            ("tD A21", vec!["tDA21"]),
            ("iaD 20", vec!["iDa"]),
            ("op is", vec!["op is"]),
            ("opis", vec!["op is"]),
            ("ea", vec!["ea"]),
            ("qb", vec!["qb"]),
        ] {
            assert_eq!(texts(text), expected, "{text}");
        }
        for text in ["xyz", "example", "it is", "IIC", "D", "press"] {
            let found = texts(text);
            assert!(found.is_empty() || text == "it is", "{text}: {found:?}");
        }
    }

    #[test]
    fn capitals_change_case_only() {
        let (_, tokens) = capitals("DB IIC").unwrap();
        assert_eq!(tokens[0].1.value, symbol(T::Flameproof, "b"));
        let (_, tokens) = capitals("NA II").unwrap();
        assert_eq!(tokens[0].1.value, symbol(T::NonSparking, ""));
        assert!(capitals("INSTALL").is_err());
    }
}
