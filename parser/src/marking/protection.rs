//! Types of protection.

use super::{Epl, Group};
use crate::Read;
use std::fmt;

/// A type of protection, without its level letter.
///
/// **Source:** the standards named in `parser/data/types.csv`, row by row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ProtectionType {
    /// Flameproof enclosure, `d`.
    Flameproof,
    /// Increased safety, `e`.
    IncreasedSafety,
    /// Intrinsic safety, `i`.
    IntrinsicSafety,
    /// Encapsulation, `m`.
    Encapsulation,
    /// Non-sparking, `nA`.
    NonSparking,
    /// Sealed or enclosed-break devices, `nC`.
    NonIncendive,
    /// Restricted breathing, `nR`.
    RestrictedBreathing,
    /// Energy limited, `nL`.
    EnergyLimited,
    /// Simplified pressurization, `nP`.
    SimplifiedPressurizationEn,
    /// Simplified pressurization, `nZ`.
    SimplifiedPressurizationIec,
    /// Type `n` or `N` with no further letter.
    TypeN,
    /// Liquid immersion, `o`.
    LiquidImmersion,
    /// Pressurization, `p` with no further letter.
    Pressurization,
    /// Pressurized enclosure, `px`.
    PressurizedX,
    /// Pressurized enclosure, `py`.
    PressurizedY,
    /// Pressurized enclosure, `pz`.
    PressurizedZ,
    /// Pressurized room, `pb` or `pc`.
    PressurizedRoom,
    /// Ventilated room, `vb` or `vc`.
    VentilatedRoom,
    /// Powder filling, `q`.
    PowderFilling,
    /// Inherently safe optical radiation, `op is`.
    OpticalInherentlySafe,
    /// Protected optical radiation, `op pr`.
    OpticalProtected,
    /// Optical system with interlock, `op sh`.
    OpticalInterlock,
    /// `op` with letters that no standard knows.
    OpticalUnknown,
    /// Dust ignition protection by enclosure, `t`.
    DustEnclosure,
    /// Special protection, `s`.
    Special,
    /// Non-electrical equipment of ISO 80079-36 and -37, `h`.
    NonElectrical,
    /// Old dust protection by enclosure, `tD`.
    OldDustEnclosure,
    /// Old dust intrinsic safety, `iaD`, `ibD`.
    OldDustIntrinsicSafety,
    /// Old dust encapsulation, `maD`, `mbD`.
    OldDustEncapsulation,
    /// Old dust pressurization, `pD`.
    OldDustPressurization,
    /// Dust ignition proof, `DIP`.
    DustIgnitionProof,
    /// EN 13463 constructional safety, `c`.
    ConstructionalSafety,
    /// EN 13463 control of ignition source, `b`.
    ControlOfIgnitionSource,
    /// EN 13463 liquid immersion, `k`.
    NonElectricalLiquidImmersion,
    /// EN 13463 flameproof, `d` behind a category.
    NonElectricalFlameproof,
    /// EN 13463 pressurization, `p` behind a category.
    NonElectricalPressurization,
    /// EN 13463 flow restricting, `fr`.
    FlowRestricting,
    /// EN 13463 inherent safety, `g`.
    InherentSafety,
    /// Trace heating, marked with its standard number `60079-30-1`.
    TraceHeating,
    /// Explosionproof, `XP` of a class and division.
    AmericanExplosionproof,
    /// Intrinsically safe, `IS` of a class and division; associated apparatus of it: `AIS`.
    AmericanIntrinsicSafety,
    /// Nonincendive, `NI` of a class and division; associated apparatus of it: `ANI`.
    AmericanNonincendive,
    /// Dust-ignitionproof, `DIP` of a class and division.
    AmericanDustIgnitionproof,
    /// Purged and pressurized, type X: `PX`.
    AmericanPurgedX,
    /// Purged and pressurized, type Y: `PY`.
    AmericanPurgedY,
    /// Purged and pressurized, type Z: `PZ`.
    AmericanPurgedZ,
    /// Special protection, `S` of a list parted by strokes.
    AmericanSpecial,
}

impl ProtectionType {
    /// The symbol as marked, without the level letter: `d`, `px`, `op is`, `tD`.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Flameproof | Self::NonElectricalFlameproof => "d",
            Self::IncreasedSafety => "e",
            Self::IntrinsicSafety => "i",
            Self::Encapsulation => "m",
            Self::NonSparking => "nA",
            Self::NonIncendive => "nC",
            Self::RestrictedBreathing => "nR",
            Self::EnergyLimited => "nL",
            Self::SimplifiedPressurizationEn => "nP",
            Self::SimplifiedPressurizationIec => "nZ",
            Self::TypeN => "n",
            Self::LiquidImmersion => "o",
            Self::Pressurization | Self::PressurizedRoom | Self::NonElectricalPressurization => "p",
            Self::PressurizedX => "px",
            Self::PressurizedY => "py",
            Self::PressurizedZ => "pz",
            Self::VentilatedRoom => "v",
            Self::PowderFilling => "q",
            Self::OpticalInherentlySafe => "op is",
            Self::OpticalProtected => "op pr",
            Self::OpticalInterlock => "op sh",
            Self::OpticalUnknown => "op",
            Self::DustEnclosure => "t",
            Self::Special => "s",
            Self::NonElectrical => "h",
            Self::OldDustEnclosure => "tD",
            Self::OldDustIntrinsicSafety => "iD",
            Self::OldDustEncapsulation => "mD",
            Self::OldDustPressurization => "pD",
            Self::DustIgnitionProof | Self::AmericanDustIgnitionproof => "DIP",
            Self::ConstructionalSafety => "c",
            Self::ControlOfIgnitionSource => "b",
            Self::NonElectricalLiquidImmersion => "k",
            Self::FlowRestricting => "fr",
            Self::InherentSafety => "g",
            Self::TraceHeating => "60079-30-1",
            Self::AmericanExplosionproof => "XP",
            Self::AmericanIntrinsicSafety => "IS",
            Self::AmericanNonincendive => "NI",
            Self::AmericanPurgedX => "PX",
            Self::AmericanPurgedY => "PY",
            Self::AmericanPurgedZ => "PZ",
            Self::AmericanSpecial => "S",
        }
    }

    /// True for the non-electrical letters of EN 13463 (behind a category, without `Ex`).
    pub const fn is_en_13463(self) -> bool {
        matches!(
            self,
            Self::ConstructionalSafety
                | Self::ControlOfIgnitionSource
                | Self::NonElectricalLiquidImmersion
                | Self::NonElectricalFlameproof
                | Self::NonElectricalPressurization
                | Self::FlowRestricting
                | Self::InherentSafety
        )
    }

    /// True for the letters that stand with a class and division.
    pub const fn is_american(self) -> bool {
        matches!(
            self,
            Self::AmericanExplosionproof
                | Self::AmericanIntrinsicSafety
                | Self::AmericanNonincendive
                | Self::AmericanDustIgnitionproof
                | Self::AmericanPurgedX
                | Self::AmericanPurgedY
                | Self::AmericanPurgedZ
                | Self::AmericanSpecial
        )
    }

    /// True for the types that are good for Division 2 alone.
    ///
    /// **Source:** NEC 500.7, nonincendive equipment and purging of type Z (memory).
    pub const fn is_division_two(self) -> bool {
        matches!(self, Self::AmericanNonincendive | Self::AmericanPurgedZ)
    }

    /// True for the dust types of IEC 61241 and for `DIP`.
    pub const fn is_old_dust(self) -> bool {
        matches!(
            self,
            Self::OldDustEnclosure
                | Self::OldDustIntrinsicSafety
                | Self::OldDustEncapsulation
                | Self::OldDustPressurization
                | Self::DustIgnitionProof
        )
    }
}

impl fmt::Display for ProtectionType {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

/// One type of protection as it stands in a marking.
#[derive(Debug, Clone, PartialEq)]
pub struct Protection {
    /// Type, with the place where it was read (its level letter included in the span).
    pub kind: Read<ProtectionType>,
    /// Level as marked, behind the type: `a`, `b`, `c`, `A21`, `B22`, `20`; empty if none.
    pub level: String,
    /// EPL that this type gives by itself in its marking's atmosphere; none if it cannot be told.
    pub epl: Option<Epl>,
    /// True inside square brackets: the type of a circuit that leads elsewhere.
    pub associated: bool,
    /// Group printed inside the brackets, of the circuit only.
    pub circuit_group: Option<Group>,
    /// EPL printed inside the brackets, of the circuit only.
    pub circuit_epl: Option<Epl>,
}

impl Protection {
    /// Symbol with level as printed today: `db`, `pxb`, `op is`, `tD A21`, `iaD 20`.
    pub fn printed(&self) -> String {
        let symbol = self.kind.value.symbol();
        match self.kind.value {
            ProtectionType::OldDustIntrinsicSafety | ProtectionType::OldDustEncapsulation
                if matches!(self.level.as_str(), "a" | "b" | "c") =>
            {
                let (letter, d) = symbol.split_at(1);
                format!("{letter}{}{d}", self.level)
            }
            kind if kind.is_old_dust() && !self.level.is_empty() => {
                format!("{symbol} {}", self.level)
            }
            kind if kind.is_american() && self.associated => format!("A{symbol}"),
            _ => format!("{symbol}{}", self.level),
        }
    }
}
