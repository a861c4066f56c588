//! One marking taken apart.

use super::{Number, Share, SpanDto};
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;
use vetplate_parser::marking::{
    AtexLine, Atmosphere, DustTemperature, Group, Marking, Plate, Protection, Temperature,
};
use vetplate_parser::{FieldDoubt, Language, Piece, Read, Repair, explain, standard};

/// One marking: one atmosphere as a rule.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Marking)]
pub struct MarkingDto {
    /// As printed, after repair; the ATEX line is not part of it.
    pub text: String,
    /// The same in today's notation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub canonical: Option<String>,
    /// As read, where repair changed something.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub read_as: Option<String>,
    /// The marking taken apart, piece by piece in plain words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub pieces: Vec<PieceDto>,
    /// Every repair that was made, in order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub repairs: Vec<RepairDto>,
    /// `iec`, `cenelec`, `atex-directive`, `nec-division`, `nec-zone` or `cec`.
    pub scheme: String,
    /// Types of protection in print order.
    pub protections: Vec<ProtectionDto>,
    /// Equipment group as printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub group: Option<String>,
    /// A second group printed beside it, as in `I/IIB`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second_group: Option<String>,
    /// What limits or widens the group, in plain words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gas_note: Option<String>,
    /// Class or surface temperature for gas.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature: Option<TemperatureDto>,
    /// Classes that hold up to an ambient printed beside them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub by_ambient: Vec<AmbientClassDto>,
    /// Highest surface temperature for dust, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dust_temperature_c: Option<Number>,
    /// Depth of the dust layer at which it was found, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dust_layer_mm: Option<Number>,
    /// EPL as printed or, where none is, inferred.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub epl: Vec<String>,
    /// The group and category line that belongs to it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub atex: Option<AtexDto>,
    /// Zones that the marking serves by itself.
    pub zones: Vec<String>,
    /// Confidence of the weakest critical field.
    pub confidence: Share,
    /// Confidence and next-best values of each critical field.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub fields: BTreeMap<&'static str, FieldDto>,
    /// Where it stands.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub spans: Vec<SpanDto>,
}

/// One piece of a marking and what it means.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Piece)]
pub struct PieceDto {
    /// As printed or, where something is missing, what is missing.
    pub text: String,
    /// What it means and what it allows.
    pub meaning: String,
}

/// One type of protection.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Protection)]
pub struct ProtectionDto {
    /// Type as marked, without its level.
    pub code: &'static str,
    /// Level as marked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<String>,
    /// EPL that the type gives by itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub epl: Option<String>,
    /// True for circuits that lead elsewhere (printed in square brackets).
    pub associated: bool,
    /// The standard of the type.
    pub standard: &'static str,
}

/// What a gas marking says of its surface temperature.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[serde(untagged)]
#[schema(as = Temperature)]
pub enum TemperatureDto {
    /// One class.
    Class {
        /// `T1` to `T6`, or a North American subdivision.
        class: String,
    },
    /// From one class to another, as marked.
    Range {
        /// First and last class.
        range: [String; 2],
    },
    /// A surface temperature in the place of a class.
    MaxSurface {
        /// °C.
        max_surface_c: Number,
    },
}

/// A class that holds up to an ambient.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = AmbientClass)]
pub struct AmbientClassDto {
    /// The class.
    pub class: String,
    /// Highest ambient for which it holds, °C.
    pub ambient_max_c: Number,
}

/// The group and category line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Atex)]
pub struct AtexDto {
    /// `I` or `II`.
    pub group: &'static str,
    /// Category tokens in print order: `2`, `(1)`, `1/2`, `M2`.
    pub categories: Vec<String>,
    /// `G`, `D`; left out in group I.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub atmospheres: Vec<&'static str>,
}

/// Confidence of one critical field.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Field)]
pub struct FieldDto {
    /// Probability that the value is the one printed.
    pub confidence: Share,
    /// The field, or a further part of it, may stand where nothing can be seen: what was not read of
    /// it is illegible, not absent.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub illegible: bool,
    /// Next-best values, most probable first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<Alternative>,
    /// Where it stands.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub spans: Vec<SpanDto>,
}

/// Another value that a field may have.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Alternative {
    /// The value.
    pub value: String,
    /// Its probability.
    pub probability: Share,
}

/// One repair of shape.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Repair)]
pub struct RepairDto {
    /// What was repaired, in plain words.
    pub repair: &'static str,
    /// The text before.
    pub from: String,
    /// The text after.
    pub to: String,
}

impl PieceDto {
    /// One piece in a language.
    pub fn new(piece: &Piece, language: Language) -> Self {
        Self {
            text: piece.text.text(language),
            meaning: piece.meaning.text(language),
        }
    }
}

impl From<&Repair> for RepairDto {
    fn from(repair: &Repair) -> Self {
        Self {
            repair: repair.name,
            from: repair.from.clone(),
            to: repair.to.clone(),
        }
    }
}

impl MarkingDto {
    /// One marking of the best reading.
    ///
    /// `index` is its place among the markings of `plate`, by which `fields` names it.
    pub fn new(
        plate: &Plate,
        index: usize,
        marking: &Marking,
        confidence: Share,
        fields: &[FieldDoubt],
        language: Language,
    ) -> Self {
        let lines = &plate.lines;
        let (temperature, by_ambient) = temperature(marking.temperature.as_ref());
        let dust = marking.dust_temperature.as_ref().map(|t| t.value);
        Self {
            text: marking.text.clone(),
            canonical: Some(marking.canonical()).filter(|c| !c.is_empty()),
            read_as: marking.read_as.clone(),
            pieces: explain(plate, marking)
                .iter()
                .map(|piece| PieceDto::new(piece, language))
                .collect(),
            repairs: repairs(marking),
            scheme: marking.scheme.to_string(),
            protections: marking.protections.iter().map(Into::into).collect(),
            group: marking.group.as_ref().map(|g| g.value.to_string()),
            second_group: marking.second_group.as_ref().map(Group::to_string),
            gas_note: gas_note(marking),
            temperature,
            by_ambient,
            dust_temperature_c: dust.map(|d: DustTemperature| Number(d.celsius)),
            dust_layer_mm: dust.and_then(|d| d.layer_mm).map(Number),
            epl: marking.levels().iter().map(ToString::to_string).collect(),
            atex: marking.atex.as_ref().map(Into::into),
            zones: marking.zones(),
            confidence,
            fields: fields
                .iter()
                .filter(|f| f.marking == index)
                .map(|f| (f.field, FieldDto::new(f, lines)))
                .collect(),
            spans: SpanDto::all(&marking.spans, lines),
        }
    }
}

impl FieldDto {
    fn new(doubt: &FieldDoubt, lines: &[String]) -> Self {
        Self {
            confidence: Share::new(doubt.confidence.get()),
            illegible: doubt.illegible,
            also: doubt
                .also
                .iter()
                .map(|(value, probability)| Alternative {
                    value: value.clone(),
                    probability: Share::new(*probability),
                })
                .collect(),
            spans: SpanDto::all(&doubt.spans, lines),
        }
    }
}

impl From<&Protection> for ProtectionDto {
    fn from(protection: &Protection) -> Self {
        Self {
            code: protection.kind.value.symbol(),
            level: Some(protection.level.clone()).filter(|l| !l.is_empty()),
            epl: protection.epl.map(|e| e.to_string()),
            associated: protection.associated,
            standard: standard(protection.kind.value),
        }
    }
}

impl From<&AtexLine> for AtexDto {
    fn from(line: &AtexLine) -> Self {
        Self {
            group: if line.mining { "I" } else { "II" },
            categories: line
                .categories
                .iter()
                .map(|c| c.value.to_string())
                .collect(),
            atmospheres: line
                .atmospheres
                .iter()
                .filter_map(|a| match a {
                    Atmosphere::Gas => Some("G"),
                    Atmosphere::Dust => Some("D"),
                    Atmosphere::Mine => None,
                })
                .collect(),
        }
    }
}

fn temperature(read: Option<&Read<Temperature>>) -> (Option<TemperatureDto>, Vec<AmbientClassDto>) {
    let Some(read) = read else {
        return (None, Vec::new());
    };
    match &read.value {
        Temperature::Class(class) => (
            Some(TemperatureDto::Class {
                class: class.to_string(),
            }),
            Vec::new(),
        ),
        Temperature::Range(first, last) => (
            Some(TemperatureDto::Range {
                range: [first.to_string(), last.to_string()],
            }),
            Vec::new(),
        ),
        Temperature::MaxSurface { celsius, .. } => (
            Some(TemperatureDto::MaxSurface {
                max_surface_c: Number(*celsius),
            }),
            Vec::new(),
        ),
        Temperature::ByAmbient(classes) => {
            let range = match classes.as_slice() {
                [] => None,
                [first, .., last] => Some([first.class.to_string(), last.class.to_string()]),
                [only] => Some([only.class.to_string(), only.class.to_string()]),
            };
            let list = classes
                .iter()
                .map(|c| AmbientClassDto {
                    class: c.class.to_string(),
                    ambient_max_c: Number(c.ambient_max_c),
                })
                .collect();
            (range.map(|range| TemperatureDto::Range { range }), list)
        }
    }
}

/// What limits or widens the group: `IIB gases and hydrogen`, `hydrogen only`,
/// `intrinsically safe circuit IIC`.
fn gas_note(marking: &Marking) -> Option<String> {
    let mut notes = Vec::new();
    if marking
        .group
        .as_ref()
        .is_some_and(|g| g.value == Group::IIBPlusH2)
    {
        notes.push("IIB gases and hydrogen".to_owned());
    }
    if let Some(gas) = &marking.only_gas {
        notes.push(format!("{} only", gas_in_words(&gas.value)));
    }
    for protection in &marking.protections {
        if let Some(group) = &protection.circuit_group {
            let note = format!("intrinsically safe circuit {group}");
            if !notes.contains(&note) {
                notes.push(note);
            }
        }
    }
    (!notes.is_empty()).then(|| notes.join("; "))
}

/// The two formulas that plates print in the place of a name.
fn gas_in_words(printed: &str) -> &str {
    match printed.trim() {
        "H2" | "H₂" => "hydrogen",
        "NH3" | "NH₃" => "ammonia",
        "CS2" | "CS₂" => "carbon disulphide",
        "C2H2" | "C₂H₂" => "acetylene",
        "CH4" | "CH₄" => "methane",
        other => other,
    }
}

fn repairs(marking: &Marking) -> Vec<RepairDto> {
    let mut all: Vec<&Repair> = Vec::new();
    all.extend(marking.protections.iter().flat_map(|p| &p.kind.repairs));
    all.extend(marking.group.iter().flat_map(|r| &r.repairs));
    all.extend(marking.only_gas.iter().flat_map(|r| &r.repairs));
    all.extend(marking.temperature.iter().flat_map(|r| &r.repairs));
    all.extend(marking.dust_temperature.iter().flat_map(|r| &r.repairs));
    all.extend(marking.epl.iter().flat_map(|r| &r.repairs));
    if let Some(atex) = &marking.atex {
        all.extend(&atex.raw.repairs);
        all.extend(atex.categories.iter().flat_map(|r| &r.repairs));
    }
    let american = &marking.american;
    all.extend(american.division.iter().flat_map(|r| &r.repairs));
    all.extend(american.zone.iter().flat_map(|r| &r.repairs));
    all.into_iter().map(Into::into).collect()
}
