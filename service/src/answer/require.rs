//! What a place asks for.

use super::{Number, PlaceDto};
use serde::Serialize;
use utoipa::ToSchema;
use vetplate_parser::marking::Atmosphere;
use vetplate_parser::place::PlaceFields;
use vetplate_parser::{Language, Need, Requirement};

/// The least marking that suits a place.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Requirement)]
pub struct RequirementDto {
    /// Language of the sentences.
    pub language: &'static str,
    /// One an atmosphere; empty in a non-hazardous place.
    pub needs: Vec<NeedDto>,
    /// Ambient range that the item must hold, °C.
    pub ambient_c: [Number; 2],
    /// IP code that the place asks for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ip: Option<String>,
    /// A line ready for a purchase order.
    pub order_line: String,
    /// What must be given before anything is ordered.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<String>,
    /// Where values come from, which defaults were used.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// The place as it was given.
    pub place: PlaceDto,
}

/// What one atmosphere asks for.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Need)]
pub struct NeedDto {
    /// `gas`, `dust` or `mine`.
    pub atmosphere: &'static str,
    /// Least EPL.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub epl: Option<String>,
    /// The same as a group and category line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub category: Option<String>,
    /// Least equipment group.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub group: Option<String>,
    /// Least temperature class.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub t_class: Option<String>,
    /// Highest surface temperature, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_surface_c: Option<Number>,
    /// First IP digit for types that keep dust out by their enclosure.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dust_ip: Option<u8>,
    /// Types of protection that give the level, weakest first.
    pub types: Vec<TypeDto>,
    /// The marking part of a purchase order.
    pub order: String,
}

/// A type of protection that gives the level.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = TypeOfProtection)]
pub struct TypeDto {
    /// As marked today.
    pub symbol: String,
    /// What it is called.
    pub name: String,
    /// Its standard.
    pub standard: &'static str,
    /// EPL that it gives.
    pub epl: String,
}

impl RequirementDto {
    /// What the place that `place` describes asks for.
    pub fn new(requirement: &Requirement, place: &PlaceFields, language: Language) -> Self {
        Self {
            language: language.tag(),
            needs: requirement
                .needs
                .iter()
                .map(|need| NeedDto::new(need, language))
                .collect(),
            ambient_c: [
                Number(requirement.ambient.low_c),
                Number(requirement.ambient.high_c),
            ],
            ip: requirement.ip.clone(),
            order_line: requirement.order_line.text(language),
            missing: requirement
                .missing
                .iter()
                .map(|m| m.text(language))
                .collect(),
            notes: requirement.notes.iter().map(|n| n.text(language)).collect(),
            place: place.into(),
        }
    }
}

impl NeedDto {
    fn new(need: &Need, language: Language) -> Self {
        Self {
            atmosphere: match need.atmosphere {
                Atmosphere::Gas => "gas",
                Atmosphere::Dust => "dust",
                Atmosphere::Mine => "mine",
            },
            epl: need.epl.map(|e| e.to_string()),
            category: need.category.clone(),
            group: need.group.clone(),
            t_class: need.class.map(|c| c.to_string()),
            max_surface_c: need.max_surface_c.map(Number),
            dust_ip: need.dust_ip,
            types: need
                .types
                .iter()
                .map(|t| TypeDto {
                    symbol: t.symbol.clone(),
                    name: t.name.text(language),
                    standard: t.standard,
                    epl: t.epl.to_string(),
                })
                .collect(),
            order: need.order.text(language),
        }
    }
}
