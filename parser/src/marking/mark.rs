//! One marking, and the whole plate around it.

use super::{
    AtexLine, Atmosphere, Certificate, DustTemperature, Entity, Epl, Group, Protection, Temperature,
};
use crate::{Read, Span};
use std::fmt;

/// The notation that a marking is written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Scheme {
    /// `Ex …`, with or without EPL.
    Iec,
    /// `EEx …` of EN 50014.
    Cenelec,
    /// With a group and category line, European or British.
    AtexDirective,
    /// Class and Division.
    NecDivision,
    /// `AEx`, or Class I, Zone n without `Ex`.
    NecZone,
    /// `Class I, Zone n, Ex` of Canada.
    Cec,
}

impl fmt::Display for Scheme {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Iec => "iec",
            Self::Cenelec => "cenelec",
            Self::AtexDirective => "atex-directive",
            Self::NecDivision => "nec-division",
            Self::NecZone => "nec-zone",
            Self::Cec => "cec",
        })
    }
}

/// Class, division and zone words of a North American marking.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AmericanPlace {
    /// Class 1, 2 or 3, where printed.
    pub class: Option<u8>,
    /// Division as printed, even one that does not exist; none: good for both.
    pub division: Option<Read<u8>>,
    /// Zone as printed, even one that does not exist.
    pub zone: Option<Read<u8>>,
}

/// One marking: one atmosphere as a rule, both for old `GD` strings.
#[derive(Debug, Clone, PartialEq)]
pub struct Marking {
    /// As printed after repair, blanks made single, line breaks joined, without the category line.
    pub text: String,
    /// As read, where a repair changed something.
    pub read_as: Option<String>,
    /// Where it stands, one span a line.
    pub spans: Vec<Span>,
    /// Notation.
    pub scheme: Scheme,
    /// `EEx` was printed (also under a category line).
    pub eex: bool,
    /// `AEx` was printed.
    pub aex: bool,
    /// Types of protection in print order.
    pub protections: Vec<Protection>,
    /// Two types joined by `+` to reach a stronger level.
    pub combined: bool,
    /// Equipment group; none where nothing valid was read.
    pub group: Option<Read<Group>>,
    /// A second group printed beside it: `I/IIB`.
    pub second_group: Option<Group>,
    /// The group token where it is none that exists: `IID`.
    pub unknown_group: Option<Read<String>>,
    /// `IIA (ammonia)`: only this gas, the words as printed.
    pub only_gas: Option<Read<String>>,
    /// Class or surface temperature for gas.
    pub temperature: Option<Read<Temperature>>,
    /// A class that does not exist: `T8`.
    pub unknown_class: Option<Read<String>>,
    /// A surface temperature in brackets behind a class: `T6 (T120 °C)`.
    pub class_celsius: Option<f64>,
    /// Surface temperature for dust.
    pub dust_temperature: Option<Read<DustTemperature>>,
    /// EPL as printed outside brackets, in print order; two for a boundary wall.
    pub epl: Vec<Read<Epl>>,
    /// `Ga/Gb`: a wall with one side each.
    pub boundary: bool,
    /// The group and category line that belongs to it.
    pub atex: Option<AtexLine>,
    /// North American words.
    pub american: AmericanPlace,
    /// `X` at the end of the string itself.
    pub x: bool,
    /// `U` at the end of the string itself, or behind a certificate of the plate.
    pub u: bool,
    /// Words on the plate say that it is a gas sensor or detector.
    pub sensor: bool,
    /// Square brackets that do not pair.
    pub unbalanced: bool,
    /// Tokens at a place where a piece of the marking must stand that nobody could read.
    pub illegible: Vec<Read<String>>,
}

impl Marking {
    /// Types outside brackets.
    pub fn own_protections(&self) -> impl Iterator<Item = &Protection> {
        self.protections.iter().filter(|p| !p.associated)
    }

    /// True where every type stands in brackets: the item belongs outside the hazardous area.
    pub fn associated_only(&self) -> bool {
        !self.protections.is_empty() && self.protections.iter().all(|p| p.associated)
    }

    /// A printed surface temperature above the limit of the class printed with it: both values.
    /// Which of the two holds cannot be told from the plate; the hotter must be reckoned with.
    pub fn temperature_contradiction(&self) -> Option<(f64, super::TClass)> {
        let (celsius, class) = match &self.temperature.as_ref()?.value {
            super::Temperature::MaxSurface {
                celsius,
                class: Some(class),
            } => (*celsius, *class),
            other => (self.class_celsius?, other.worst_class()?),
        };
        (celsius > class.limit_c()).then_some((celsius, class))
    }

    /// True if the marking speaks of `atmosphere`.
    ///
    /// The group decides; without one the EPL, the category line, the class or the types do.
    pub fn speaks_of(&self, atmosphere: Atmosphere) -> bool {
        self.atmospheres().contains(&atmosphere)
    }

    /// The atmospheres that the string itself speaks of, in the order gas, dust, mine.
    pub fn atmospheres(&self) -> Vec<Atmosphere> {
        crate::grammar::atmospheres_of(self)
    }
}

/// Ambient temperature range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ambient {
    /// Lowest, °C; −20 where only the upper end is printed.
    pub low_c: f64,
    /// Highest, °C; +40 where only the lower end is printed.
    pub high_c: f64,
}

impl Ambient {
    /// What holds where nothing is printed.
    ///
    /// **Source:** IEC 60079-0:2017 5.1.1 (checked).
    pub const DEFAULT: Ambient = Ambient {
        low_c: -20.0,
        high_c: 40.0,
    };
}

/// An IP code; several may be printed (`IP66/67`) and each stands alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ip {
    /// As printed in tight form: `IP66/67`.
    pub text: String,
    /// First digits (solids), none for X.
    pub first: Vec<Option<u8>>,
    /// Second digits (water), none for X.
    pub second: Vec<Option<u8>>,
}

impl Ip {
    /// The best first digit printed; none where every one is X.
    pub fn best_first(&self) -> Option<u8> {
        self.first.iter().flatten().copied().max()
    }
}

/// A conformity mark with the number of the body beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct BodyMark {
    /// True for UKCA, false for CE.
    pub ukca: bool,
    /// Digits behind it as printed, none where the mark stands alone.
    pub body: Option<Read<String>>,
}

/// Everything that was read on one plate, in one reading of its characters.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plate {
    /// The lines that were parsed.
    pub lines: Vec<String>,
    /// Markings, in print order.
    pub markings: Vec<Marking>,
    /// Certificates, in print order.
    pub certificates: Vec<Certificate>,
    /// CE and UKCA marks.
    pub marks: Vec<BodyMark>,
    /// Printed ambient range.
    pub ambient: Option<Read<Ambient>>,
    /// IP code.
    pub ip: Option<Read<Ip>>,
    /// Other enclosure ratings as printed (`Type 4X`, `IK10`).
    pub enclosure: Vec<Read<String>>,
    /// Entity parameters.
    pub entity: Vec<Entity>,
    /// Electrical ratings, as printed in tidy form (`400 V`, `50 Hz`).
    pub ratings: Vec<Read<String>>,
    /// Maker, where a line says so.
    pub maker: Option<Read<String>>,
    /// Type or model.
    pub kind: Option<Read<String>>,
    /// Serial number.
    pub serial: Option<Read<String>>,
    /// Year of manufacture.
    pub year: Option<Read<i32>>,
    /// Warnings, as printed.
    pub warnings: Vec<Read<String>>,
    /// What could not be put anywhere.
    pub unread: Vec<Span>,
    /// Everything that was read, captions and the signs between the pieces with it. Each byte of
    /// the lines that is no blank stands in one of these spans or in one of `unread`.
    pub understood: Vec<Span>,
}

impl Plate {
    /// The body number, the first one printed.
    pub fn notified_body(&self) -> Option<&str> {
        self.marks
            .iter()
            .find_map(|m| m.body.as_ref())
            .map(|body| body.value.as_str())
    }

    /// True if any certificate or marking carries X.
    pub fn has_x(&self) -> bool {
        self.markings.iter().any(|m| m.x)
            || self
                .certificates
                .iter()
                .any(|c| matches!(c.suffix, super::Suffix::X | super::Suffix::XAndU))
    }

    /// True if any certificate or marking says that the item is an Ex component.
    pub fn has_u(&self) -> bool {
        self.markings.iter().any(|m| m.u)
            || self
                .certificates
                .iter()
                .any(|c| matches!(c.suffix, super::Suffix::U | super::Suffix::XAndU))
    }
}
