//! A marking in plain words, piece by piece.

mod rest;
mod types;

pub use rest::explain_rest;
pub use types::{standard, type_name};

use crate::marking::{
    Atmosphere, CategoryToken, Epl, Group, Level, Marking, Protection, ProtectionType, Scheme,
    Temperature,
};
use crate::{Joint, Message, Plate, Span, message};

/// One piece of a marking and what it means.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// As printed or, where something is missing, what is missing.
    pub text: Message,
    /// What it means and what it allows, a sentence or two.
    pub meaning: Message,
    /// Where it stands.
    pub span: Option<Span>,
}

fn piece(text: impl Into<String>, meaning: Message, span: Option<Span>) -> Piece {
    Piece {
        text: Message::verbatim(text.into()),
        meaning,
        span,
    }
}

/// A piece that is not there.
fn missing(text: Message, meaning: Message) -> Piece {
    Piece {
        text,
        meaning,
        span: None,
    }
}

/// Takes a marking apart for a person to read, in print order; what is missing stands last.
pub fn explain(plate: &Plate, marking: &Marking) -> Vec<Piece> {
    let mut pieces = Vec::new();
    category(marking, &mut pieces);
    american(marking, &mut pieces);
    if marking.protections.iter().any(|p| {
        let kind = p.kind.value;
        !(kind.is_en_13463() || kind.is_american() || kind == ProtectionType::DustIgnitionProof)
    }) {
        pieces.push(match (marking.eex, marking.aex) {
            (true, _) => piece("EEx", message!("explain-eex"), None),
            (_, true) => piece("AEx", message!("explain-aex"), None),
            _ => piece("Ex", message!("explain-ex"), None),
        });
    }
    for protection in &marking.protections {
        pieces.push(of_type(protection));
    }
    if marking.combined {
        pieces.push(piece("+", message!("explain-combined"), None));
    }
    group(marking, &mut pieces);
    temperature(marking, &mut pieces);
    for epl in &marking.epl {
        pieces.push(piece(
            epl.value.to_string(),
            level_meaning(epl.value),
            Some(epl.span),
        ));
    }
    if marking.boundary && marking.epl.len() > 1 {
        pieces.push(piece("/", message!("explain-boundary"), None));
    }
    if marking.x {
        pieces.push(piece("X", message!("explain-x"), None));
    }
    if plate.has_u() {
        pieces.push(piece("U", message!("explain-u"), None));
    }
    for odd in &marking.illegible {
        pieces.push(piece(
            odd.value.clone(),
            message!("explain-illegible"),
            Some(odd.span),
        ));
    }
    what_is_missing(marking, &mut pieces);
    pieces
}

fn of_type(protection: &Protection) -> Piece {
    let kind = protection.kind.value;
    let printed = protection.printed();
    let span = Some(protection.kind.span);
    let named = message!(
        "explain-type",
        name = type_name(kind),
        standard = standard(kind)
    );
    if protection.kind.value.is_american() {
        let meaning = match types::how(kind).filter(|_| !protection.associated) {
            Some(how) => message!("explain-type-how", named = named, how = how),
            None => message!("explain-american-circuit", named = named),
        };
        return piece(printed, meaning, span);
    }
    if protection.associated {
        let group = protection.circuit_group.as_ref();
        let inside: Vec<String> = std::iter::once(printed)
            .chain(group.map(ToString::to_string))
            .chain(protection.circuit_epl.map(|e| e.to_string()))
            .collect();
        let level = protection.circuit_epl.or(protection.epl);
        let mut parts = vec![match level {
            Some(epl) => message!(
                "explain-circuit",
                named = named,
                epl = epl,
                zones = zones(epl)
            ),
            None => message!("explain-circuit-no-level", named = named),
        }];
        parts.extend(group.map(|g| message!("explain-circuit-group", group = g)));
        return piece(
            format!("[{}]", inside.join(" ")),
            Message::list(parts, Joint::Semicolon),
            span,
        );
    }
    let mut parts = vec![match types::how(kind) {
        Some(how) => message!("explain-type-how", named = named, how = how),
        None => named,
    }];
    parts.push(match protection.epl {
        Some(epl) => message!("explain-worth", epl = epl),
        None => message!("explain-worth-unknown"),
    });
    parts.extend(types::today(protection));
    piece(printed, Message::list(parts, Joint::Semicolon), span)
}

/// The zones that a level serves.
fn zones(epl: Epl) -> Message {
    match (epl.atmosphere, epl.level) {
        (Atmosphere::Gas, Level::A) => message!("zones-gas-a"),
        (Atmosphere::Gas, Level::B) => message!("zones-gas-b"),
        (Atmosphere::Gas, Level::C) => message!("zones-gas-c"),
        (Atmosphere::Dust, Level::A) => message!("zones-dust-a"),
        (Atmosphere::Dust, Level::B) => message!("zones-dust-b"),
        (Atmosphere::Dust, Level::C) => message!("zones-dust-c"),
        (Atmosphere::Mine, Level::A) => message!("zones-mine-a"),
        (Atmosphere::Mine, _) => message!("zones-mine-b"),
    }
}

fn category(marking: &Marking, pieces: &mut Vec<Piece>) {
    let Some(line) = &marking.atex else {
        return;
    };
    pieces.push(if line.mining {
        piece("I", message!("explain-line-mines"), Some(line.raw.span))
    } else {
        piece("II", message!("explain-line-surface"), Some(line.raw.span))
    });
    // Without a letter both are possible.
    let spoken_of: Vec<Atmosphere> = if line.mining {
        vec![Atmosphere::Mine]
    } else if line.atmospheres.is_empty() {
        vec![Atmosphere::Gas, Atmosphere::Dust]
    } else {
        line.atmospheres.clone()
    };
    let zones_of = |level: Level| {
        Message::list(
            spoken_of.iter().map(|a| zones(Epl::new(*a, level))),
            Joint::And,
        )
    };
    for token in &line.categories {
        let meaning = match token.value {
            CategoryToken::Own(c) => match c.level() {
                Level::A => message!(
                    "explain-category-a",
                    category = c,
                    zones = zones_of(Level::A)
                ),
                Level::B => message!(
                    "explain-category-b",
                    category = c,
                    zones = zones_of(Level::B)
                ),
                Level::C => message!(
                    "explain-category-c",
                    category = c,
                    zones = zones_of(Level::C)
                ),
            },
            CategoryToken::Boundary(..) => message!("explain-category-boundary"),
            CategoryToken::Circuit(c) => message!("explain-category-circuit", category = c),
        };
        pieces.push(piece(token.value.to_string(), meaning, Some(token.span)));
    }
    if !line.atmospheres.is_empty() {
        let letters: Vec<&str> = line
            .atmospheres
            .iter()
            .map(|a| match a {
                Atmosphere::Gas => "G",
                Atmosphere::Dust => "D",
                Atmosphere::Mine => "M",
            })
            .collect();
        let words = line.atmospheres.iter().map(|a| match a {
            Atmosphere::Gas => message!("explain-letter-gas"),
            Atmosphere::Dust => message!("explain-letter-dust"),
            Atmosphere::Mine => message!("explain-letter-firedamp"),
        });
        pieces.push(piece(
            letters.concat(),
            message!(
                "explain-letters",
                atmospheres = Message::list(words, Joint::And)
            ),
            None,
        ));
    }
}

fn american(marking: &Marking, pieces: &mut Vec<Piece>) {
    let place = &marking.american;
    if let Some(class) = place.class {
        let (text, meaning) = match class {
            1 => ("Class I", message!("explain-class-one")),
            2 => ("Class II", message!("explain-class-two")),
            _ => ("Class III", message!("explain-class-three")),
        };
        pieces.push(piece(text, meaning, None));
        if marking.scheme == Scheme::NecDivision && place.division.is_none() {
            pieces.push(missing(
                message!("explain-no-division"),
                message!("explain-no-division-meaning"),
            ));
        }
    }
    if let Some(division) = &place.division {
        pieces.push(piece(
            format!("Division {}", division.value),
            match division.value {
                1 => message!("explain-division-one"),
                2 => message!("explain-division-two"),
                _ => message!("explain-division-unknown"),
            },
            Some(division.span),
        ));
    }
    if let Some(zone) = &place.zone {
        pieces.push(piece(
            format!("Zone {}", zone.value),
            message!("explain-american-zone"),
            Some(zone.span),
        ));
    }
}

fn group(marking: &Marking, pieces: &mut Vec<Piece>) {
    if let Some(group) = &marking.group {
        pieces.push(piece(
            group.value.to_string(),
            group_meaning(&group.value),
            Some(group.span),
        ));
    }
    if let Some(second) = &marking.second_group {
        pieces.push(piece(
            second.to_string(),
            message!("explain-second-group", meaning = group_meaning(second)),
            None,
        ));
    }
    if let Some(odd) = &marking.unknown_group {
        pieces.push(piece(
            odd.value.clone(),
            message!("explain-unknown-group"),
            Some(odd.span),
        ));
    }
    if let Some(gas) = &marking.only_gas {
        pieces.push(piece(
            format!("({})", gas.value),
            message!("explain-only-gas", gas = &gas.value),
            Some(gas.span),
        ));
    }
}

fn group_meaning(group: &Group) -> Message {
    match group {
        Group::I => message!("explain-group-i"),
        Group::II => message!("explain-group-ii"),
        Group::IIA => message!("explain-group-iia"),
        Group::IIB => message!("explain-group-iib"),
        Group::IIBPlusH2 => message!("explain-group-iib-h2"),
        Group::IIC => message!("explain-group-iic"),
        Group::III => message!("explain-group-iii"),
        Group::IIIA => message!("explain-group-iiia"),
        Group::IIIB => message!("explain-group-iiib"),
        Group::IIIC => message!("explain-group-iiic"),
        Group::American(letters) => message!(
            "explain-group-letters",
            letters = Message::list(letters.iter().map(|l| american_group(*l)), Joint::Comma)
        ),
    }
}

fn american_group(letter: char) -> Message {
    match letter {
        'A' => message!("explain-letter-a"),
        'B' => message!("explain-letter-b"),
        'C' => message!("explain-letter-c"),
        'D' => message!("explain-letter-d"),
        'E' => message!("explain-letter-e"),
        'F' => message!("explain-letter-f"),
        _ => message!("explain-letter-g"),
    }
}

fn temperature(marking: &Marking, pieces: &mut Vec<Piece>) {
    if let Some(read) = &marking.temperature {
        let meaning = match &read.value {
            Temperature::Class(class) => message!("explain-class", limit = class.limit_c()),
            Temperature::Range(a, b) => message!(
                "explain-range",
                first = a,
                first_c = a.limit_c(),
                last = b,
                last_c = b.limit_c()
            ),
            Temperature::MaxSurface { celsius, .. } => {
                message!("explain-max-surface", limit = *celsius)
            }
            Temperature::ByAmbient(_) => message!("explain-by-ambient"),
        };
        pieces.push(piece(read.value.to_string(), meaning, Some(read.span)));
    }
    if let Some(odd) = &marking.unknown_class {
        pieces.push(piece(
            odd.value.clone(),
            message!("explain-unknown-class"),
            Some(odd.span),
        ));
    }
    if let Some(celsius) = marking.class_celsius {
        pieces.push(piece(
            format!("{celsius} °C"),
            message!("explain-class-celsius"),
            None,
        ));
    }
    if let Some(dust) = &marking.dust_temperature {
        let meaning = match dust.value.layer_mm {
            Some(depth) => message!(
                "explain-dust-layer",
                limit = dust.value.celsius,
                depth = depth
            ),
            None => message!("explain-dust", limit = dust.value.celsius),
        };
        pieces.push(piece(dust.value.to_string(), meaning, Some(dust.span)));
    }
}

fn level_meaning(epl: Epl) -> Message {
    let zones = zones(epl);
    match (epl.atmosphere, epl.level) {
        (_, Level::A) => message!("explain-epl-a", zones = zones),
        (Atmosphere::Gas, Level::B) => message!("explain-epl-gb", zones = zones),
        (Atmosphere::Dust, Level::B) => message!("explain-epl-db", zones = zones),
        (Atmosphere::Mine, Level::B) => message!("explain-epl-b", zones = zones),
        (_, Level::C) => message!("explain-epl-c", zones = zones),
    }
}

/// What a marking of today would also say, and why it matters.
fn what_is_missing(marking: &Marking, pieces: &mut Vec<Piece>) {
    let levels = marking.levels();
    let needs_temperature = crate::checks::needs_temperature(marking);
    let no_class = marking.temperature.is_none() && marking.unknown_class.is_none();
    let bare_dust = marking.atmospheres() == [Atmosphere::Dust];
    if needs_temperature && marking.speaks_of(Atmosphere::Gas) && no_class {
        pieces.push(missing(
            message!("explain-no-class"),
            message!("explain-no-class-meaning"),
        ));
    }
    if needs_temperature && bare_dust && marking.dust_temperature.is_none() {
        pieces.push(missing(
            message!("explain-no-celsius"),
            message!("explain-no-celsius-meaning"),
        ));
    }
    if crate::checks::lacks_group(marking) {
        pieces.push(missing(
            message!("explain-no-group"),
            message!("explain-no-group-meaning"),
        ));
    }
    if marking.epl.is_empty() && !levels.is_empty() {
        let worth = Message::list(levels.iter().map(Message::verbatim), Joint::And);
        let old = marking.eex
            || marking
                .protections
                .iter()
                .any(|p| types::today(p).is_some());
        pieces.push(missing(
            message!("explain-no-epl"),
            if old {
                message!("explain-no-epl-old", levels = worth)
            } else {
                message!("explain-no-epl-meaning", levels = worth)
            },
        ));
    }
    // A component gets its line with the equipment that it is built into.
    if marking.scheme == Scheme::Iec
        && !marking.u
        && let [epl] = levels.as_slice()
        && epl.atmosphere != Atmosphere::Mine
    {
        let category = match epl.level {
            Level::A => 1_u8,
            Level::B => 2,
            Level::C => 3,
        };
        let letter = if epl.atmosphere == Atmosphere::Gas {
            'G'
        } else {
            'D'
        };
        pieces.push(missing(
            message!("explain-no-line"),
            message!(
                "explain-no-line-meaning",
                line = format!("II {category} {letter}")
            ),
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_piece_is_named() {
        let plate = crate::parse(&["II 2(1) G Ex db [ia Ga] IIC T4 Gb"]);
        let texts: Vec<String> = explain(&plate, &plate.markings[0])
            .into_iter()
            .map(|p| p.text.to_string())
            .collect();
        assert_eq!(
            texts,
            [
                "II", "2", "(1)", "G", "Ex", "db", "[ia Ga]", "IIC", "T4", "Gb"
            ]
        );
        let rest = explain_rest(&crate::parse(&["ABC 18 ATEX 1234 X IP66 CE 9999"]));
        assert_eq!(rest.len(), 3);
    }
}
