//! A marking in plain words, piece by piece.

use crate::marking::{
    Atmosphere, CategoryToken, Epl, Group, Level, Marking, ProtectionType, Scheme, Temperature,
};
use crate::tables::TYPES;
use crate::{Plate, Span};

/// One piece of a marking and what it means.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// As printed.
    pub text: String,
    /// What it means and what it allows, a sentence or two.
    pub meaning: String,
    /// Where it stands.
    pub span: Option<Span>,
}

fn piece(text: impl Into<String>, meaning: impl Into<String>, span: Option<Span>) -> Piece {
    Piece {
        text: text.into(),
        meaning: meaning.into(),
        span,
    }
}

/// Takes a marking apart for a person to read, in print order.
pub fn explain(plate: &Plate, marking: &Marking) -> Vec<Piece> {
    let mut pieces = Vec::new();
    category(marking, &mut pieces);
    american(marking, &mut pieces);
    if !marking.protections.is_empty() {
        let (mark, meaning) = match (marking.eex, marking.aex) {
            (true, _) => (
                "EEx",
                "explosion protected to the old European standards (EN 50014 family, to about 2006)",
            ),
            (_, true) => ("AEx", "explosion protected to the American zone standards"),
            _ => ("Ex", "explosion protected to the IEC or EN standards"),
        };
        if !marking.protections.iter().all(|p| {
            p.kind.value.is_en_13463() || p.kind.value == ProtectionType::DustIgnitionProof
        }) {
            pieces.push(piece(mark, meaning, None));
        }
    }
    for protection in &marking.protections {
        let row = TYPES
            .iter()
            .find(|r| r.kind == protection.kind.value && r.level == protection.level);
        let name = row.map_or_else(|| plain_name(protection.kind.value), |r| r.name);
        let standard = standard(protection.kind.value);
        let worth = protection.epl.map_or_else(
            || "what it is worth is known only from the certificate".to_owned(),
            |epl| format!("worth {epl} by itself"),
        );
        let printed = protection.printed();
        if protection.associated {
            let circuit = protection
                .circuit_epl
                .map(|e| format!(" of {e}"))
                .unwrap_or_default();
            let group = protection
                .circuit_group
                .as_ref()
                .map(|g| format!(" in group {g}"))
                .unwrap_or_default();
            pieces.push(piece(
                format!("[{printed}]"),
                format!(
                    "in brackets, associated apparatus: a circuit with {name} ({standard}) leads \
                     out of it; the circuit{circuit}{group} may go into the hazardous area, the \
                     item itself not by this"
                ),
                Some(protection.kind.span),
            ));
        } else {
            pieces.push(piece(
                printed,
                format!("{name} ({standard}), {worth}"),
                Some(protection.kind.span),
            ));
        }
    }
    if marking.combined {
        pieces.push(piece(
            "+",
            "two independent types joined to reach one level more; the certificate says how",
            None,
        ));
    }
    group(marking, &mut pieces);
    temperature(marking, &mut pieces);
    levels(marking, &mut pieces);
    if marking.x {
        pieces.push(piece("X", X, None));
    }
    if plate.has_u() {
        pieces.push(piece("U", U, None));
    }
    for odd in &marking.illegible {
        pieces.push(piece(
            odd.value.clone(),
            "could not be read: look at it on the plate",
            Some(odd.span),
        ));
    }
    pieces
}

const X: &str = "specific conditions of use: they stand in the certificate and must be met";
const U: &str = "Ex component: certified as a part only, not for use on its own";

/// The rest of the plate in plain words: certificates, body, ambient, enclosure.
pub fn explain_rest(plate: &Plate) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for mark in &plate.marks {
        let name = if mark.ukca { "UKCA" } else { "CE" };
        match &mark.body {
            Some(body) => pieces.push(piece(
                format!("{name} {}", body.value),
                "conformity mark with the number of the body that watches over production",
                Some(body.span),
            )),
            None => pieces.push(piece(name, "conformity mark, no body named", None)),
        }
    }
    for certificate in &plate.certificates {
        let mut meaning = format!("certificate ({})", certificate.scheme);
        if let Some(year) = certificate.year {
            meaning = format!("{meaning}, first issued in {year}");
        }
        let suffix = certificate.suffix.to_string();
        if suffix.contains('X') {
            meaning = format!("{meaning}; X: {X}");
        }
        if suffix.contains('U') {
            meaning = format!("{meaning}; U: {U}");
        }
        pieces.push(piece(
            format!("{} {suffix}", certificate.number.value).trim_end(),
            meaning,
            Some(certificate.number.span),
        ));
    }
    match &plate.ambient {
        Some(ambient) => pieces.push(piece(
            ambient.raw.trim(),
            format!(
                "may stand where the surroundings are between {} and {:+} °C",
                ambient.value.low_c, ambient.value.high_c
            ),
            Some(ambient.span),
        )),
        None => pieces.push(piece(
            "no ambient",
            "nothing printed or read: -20 to +40 °C holds",
            None,
        )),
    }
    if let Some(ip) = &plate.ip {
        pieces.push(piece(
            ip.value.text.clone(),
            ip_meaning(
                ip.value.best_first(),
                ip.value.second.first().copied().flatten(),
            ),
            Some(ip.span),
        ));
    }
    pieces
}

fn ip_meaning(first: Option<u8>, second: Option<u8>) -> String {
    let solids = match first {
        Some(6) => "dust-tight",
        Some(5) => "dust-protected",
        Some(0) => "open to the touch",
        Some(_) => "keeps out larger objects only",
        None => "solids not stated",
    };
    let water = match second {
        Some(0) => "no protection from water",
        Some(1 | 2) => "dripping water",
        Some(3) => "spray",
        Some(4) => "splashes",
        Some(5) => "jets of water",
        Some(6) => "strong jets of water",
        Some(7) => "short immersion",
        Some(8) => "long immersion",
        Some(9) => "hot high-pressure jets",
        _ => "water not stated",
    };
    format!("enclosure (IEC 60529): {solids}; {water}")
}

fn category(marking: &Marking, pieces: &mut Vec<Piece>) {
    let Some(line) = &marking.atex else {
        return;
    };
    pieces.push(piece(
        if line.mining { "I" } else { "II" },
        if line.mining {
            "equipment for mines (2014/34/EU or its British counterpart)"
        } else {
            "equipment for places other than mines (2014/34/EU or its British counterpart)"
        },
        Some(line.raw.span),
    ));
    let kind = |level: Level| match level {
        Level::A => "very high protection, for zones 0 and 20",
        Level::B => "high protection, for zones 1 and 21",
        Level::C => "normal protection, for zones 2 and 22",
    };
    for token in &line.categories {
        let meaning = match token.value {
            CategoryToken::Own(c) if line.mining => match c.level() {
                Level::A => "category M1: stays energised in firedamp".to_owned(),
                _ => "category M2: must be switched off in firedamp".to_owned(),
            },
            CategoryToken::Own(c) => format!("category {c}: {}", kind(c.level())),
            CategoryToken::Boundary(..) => {
                "stands in a wall between two areas, one category each side".to_owned()
            }
            CategoryToken::Circuit(c) => {
                format!("in round brackets: only its circuits reach category {c}")
            }
        };
        pieces.push(piece(token.value.to_string(), meaning, Some(token.span)));
    }
    if !line.atmospheres.is_empty() {
        let (letters, words): (Vec<&str>, Vec<&str>) = line
            .atmospheres
            .iter()
            .map(|a| match a {
                Atmosphere::Gas => ("G", "gas, vapour or mist"),
                Atmosphere::Dust => ("D", "dust"),
                Atmosphere::Mine => ("M", "firedamp"),
            })
            .unzip();
        pieces.push(piece(
            letters.concat(),
            format!("for {}", words.join(" and ")),
            None,
        ));
    }
}

fn american(marking: &Marking, pieces: &mut Vec<Piece>) {
    let place = &marking.american;
    if let Some(class) = place.class {
        let (text, meaning) = match class {
            1 => ("Class I", "flammable gases and vapours"),
            2 => ("Class II", "combustible dusts"),
            _ => ("Class III", "ignitable fibres and flyings"),
        };
        pieces.push(piece(
            text,
            format!("{meaning} (North American codes)"),
            None,
        ));
        if marking.scheme == Scheme::NecDivision && place.division.is_none() {
            pieces.push(piece(
                "no division",
                "without a division it is good for both Division 1 and 2",
                None,
            ));
        }
    }
    if let Some(division) = &place.division {
        pieces.push(piece(
            format!("Division {}", division.value),
            match division.value {
                1 => "hazard present in normal operation; also good for Division 2",
                2 => "hazard present in abnormal operation only; not for Division 1",
                _ => "no such division",
            },
            Some(division.span),
        ));
    }
    if let Some(zone) = &place.zone {
        pieces.push(piece(
            format!("Zone {}", zone.value),
            "zone as the North American zone system counts it",
            Some(zone.span),
        ));
    }
}

fn group(marking: &Marking, pieces: &mut Vec<Piece>) {
    if let Some(group) = &marking.group {
        let meaning = match &group.value {
            Group::I => "mines susceptible to firedamp".to_owned(),
            Group::II => {
                "gas, no letter: complete for some types only (e, m, nA, nR, o, p, q)".to_owned()
            }
            Group::IIA => "gases like propane; not IIB or IIC".to_owned(),
            Group::IIB => "gases like ethylene, and all of IIA; not IIC".to_owned(),
            Group::IIBPlusH2 => {
                "all of IIB and hydrogen; not acetylene or carbon disulphide".to_owned()
            }
            Group::IIC => "all gas groups, hydrogen and acetylene too".to_owned(),
            Group::III => "dust, no letter".to_owned(),
            Group::IIIA => "combustible flyings only".to_owned(),
            Group::IIIB => "non-conductive dust, and flyings".to_owned(),
            Group::IIIC => "all dusts, conductive ones too".to_owned(),
            Group::American(letters) => {
                let words: Vec<String> = letters
                    .iter()
                    .map(|l| format!("{l} {}", american_group(*l)))
                    .collect();
                words.join(", ")
            }
        };
        pieces.push(piece(group.value.to_string(), meaning, Some(group.span)));
    }
    if let Some(second) = &marking.second_group {
        pieces.push(piece(
            second.to_string(),
            "a second group printed beside the first",
            None,
        ));
    }
    if let Some(odd) = &marking.unknown_group {
        pieces.push(piece(
            odd.value.clone(),
            "no group that exists: look at it on the plate",
            Some(odd.span),
        ));
    }
    if let Some(gas) = &marking.only_gas {
        pieces.push(piece(
            format!("({})", gas.value),
            format!("only for {}", gas.value),
            Some(gas.span),
        ));
    }
}

fn american_group(letter: char) -> &'static str {
    match letter {
        'A' => "acetylene",
        'B' => "hydrogen",
        'C' => "ethylene",
        'D' => "propane",
        'E' => "metal dust",
        'F' => "coal and carbon dust",
        _ => "grain, flour, plastic dust",
    }
}

fn temperature(marking: &Marking, pieces: &mut Vec<Piece>) {
    if let Some(read) = &marking.temperature {
        let meaning = match &read.value {
            Temperature::Class(class) => format!(
                "no surface above {} °C; for gases that ignite above that",
                class.limit_c()
            ),
            Temperature::Range(a, b) => format!(
                "between {a} ({} °C) and {b} ({} °C), by ambient, process or model: the \
                 certificate says which holds",
                a.limit_c(),
                b.limit_c()
            ),
            Temperature::MaxSurface { celsius, .. } => {
                format!("no surface above {celsius} °C; for gases that ignite above that")
            }
            Temperature::ByAmbient(_) => "the class depends on the ambient as printed".to_owned(),
        };
        pieces.push(piece(read.value.to_string(), meaning, Some(read.span)));
    }
    if let Some(odd) = &marking.unknown_class {
        pieces.push(piece(
            odd.value.clone(),
            "no class that exists: look at it on the plate",
            Some(odd.span),
        ));
    }
    if let Some(celsius) = marking.class_celsius {
        pieces.push(piece(
            format!("{celsius} °C"),
            "a surface temperature beside the class",
            None,
        ));
    }
    if let Some(dust) = &marking.dust_temperature {
        let depth = dust.value.layer_mm.map_or(String::new(), |mm| {
            format!(" under a dust layer of {mm} mm")
        });
        pieces.push(piece(
            dust.value.to_string(),
            format!("no surface above {} °C{depth}", dust.value.celsius),
            Some(dust.span),
        ));
    }
}

fn levels(marking: &Marking, pieces: &mut Vec<Piece>) {
    for epl in &marking.epl {
        pieces.push(piece(
            epl.value.to_string(),
            level_meaning(epl.value),
            Some(epl.span),
        ));
    }
    if marking.epl.is_empty() {
        let inferred: Vec<String> = marking.levels().iter().map(ToString::to_string).collect();
        if !inferred.is_empty() {
            pieces.push(piece(
                "no EPL",
                format!(
                    "none printed; type and category together are worth {}",
                    inferred.join(" and ")
                ),
                None,
            ));
        }
    }
}

fn level_meaning(epl: Epl) -> &'static str {
    match (epl.atmosphere, epl.level) {
        (Atmosphere::Gas, Level::A) => "protection level for zones 0, 1 and 2 (gas)",
        (Atmosphere::Gas, Level::B) => "protection level for zones 1 and 2 (gas), not 0",
        (Atmosphere::Gas, Level::C) => "protection level for zone 2 (gas) only",
        (Atmosphere::Dust, Level::A) => "protection level for zones 20, 21 and 22 (dust)",
        (Atmosphere::Dust, Level::B) => "protection level for zones 21 and 22 (dust), not 20",
        (Atmosphere::Dust, Level::C) => "protection level for zone 22 (dust) only",
        (Atmosphere::Mine, Level::A) => "mines: may stay energised in firedamp",
        (Atmosphere::Mine, _) => "mines: must be switched off in firedamp",
    }
}

/// Name of a type whose level a table does not list.
fn plain_name(kind: ProtectionType) -> &'static str {
    TYPES.iter().find(|row| row.kind == kind).map_or(
        match kind {
            ProtectionType::OpticalInherentlySafe => "inherently safe optical radiation",
            ProtectionType::OpticalProtected => "protected optical radiation",
            ProtectionType::OpticalInterlock => "optical radiation with interlock",
            ProtectionType::NonElectrical => "non-electrical equipment",
            ProtectionType::ConstructionalSafety => "constructional safety",
            ProtectionType::ControlOfIgnitionSource => "control of ignition sources",
            ProtectionType::NonElectricalLiquidImmersion => "liquid immersion",
            ProtectionType::NonElectricalFlameproof => "flameproof enclosure (non-electrical)",
            ProtectionType::NonElectricalPressurization => "pressurization (non-electrical)",
            ProtectionType::FlowRestricting => "flow restricting enclosure",
            ProtectionType::InherentSafety => "inherent safety (non-electrical)",
            ProtectionType::TraceHeating => "trace heating",
            _ => "type unknown",
        },
        |row| row.name,
    )
}

/// The standard that defines a type of protection.
pub fn standard(kind: ProtectionType) -> &'static str {
    TYPES.iter().find(|row| row.kind == kind).map_or(
        match kind {
            ProtectionType::OpticalInherentlySafe
            | ProtectionType::OpticalProtected
            | ProtectionType::OpticalInterlock
            | ProtectionType::OpticalUnknown => "IEC 60079-28",
            ProtectionType::NonElectrical => "ISO 80079-36",
            ProtectionType::TraceHeating => "IEC 60079-30-1",
            ProtectionType::ConstructionalSafety => "EN 13463-5",
            ProtectionType::ControlOfIgnitionSource => "EN 13463-6",
            ProtectionType::NonElectricalLiquidImmersion => "EN 13463-8",
            ProtectionType::NonElectricalFlameproof => "EN 13463-3",
            ProtectionType::NonElectricalPressurization => "EN 13463-7",
            ProtectionType::FlowRestricting => "EN 13463-2",
            ProtectionType::InherentSafety => "EN 13463-4",
            _ => "no standard known",
        },
        |row| row.standard,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_piece_is_named() {
        let plate = crate::parse(&["II 2(1) G Ex db [ia Ga] IIC T4 Gb"]);
        let texts: Vec<String> = explain(&plate, &plate.markings[0])
            .into_iter()
            .map(|p| p.text)
            .collect();
        assert_eq!(
            texts,
            ["II", "2", "(1)", "G", "Ex", "db", "[ia]", "IIC", "T4", "Gb"]
        );
        let rest = explain_rest(&crate::parse(&["ABC 18 ATEX 1234 X IP66 CE 9999"]));
        assert_eq!(rest.len(), 4);
    }
}
