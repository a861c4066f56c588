//! Types of protection in words: what each is called, how it protects, what took its place.

use crate::marking::{Marking, Protection, ProtectionType as T};
use crate::tables::TYPES;
use crate::{Message, message};

/// What a type of protection is called.
pub fn type_name(kind: T) -> Message {
    match kind {
        T::Flameproof => message!("type-flameproof"),
        T::IncreasedSafety => message!("type-increased-safety"),
        T::IntrinsicSafety => message!("type-intrinsic-safety"),
        T::Encapsulation => message!("type-encapsulation"),
        T::NonSparking => message!("type-non-sparking"),
        T::NonIncendive => message!("type-sealed-or-enclosed-break"),
        T::RestrictedBreathing => message!("type-restricted-breathing"),
        T::EnergyLimited => message!("type-energy-limited"),
        T::SimplifiedPressurizationEn | T::SimplifiedPressurizationIec => {
            message!("type-simplified-pressurization")
        }
        T::TypeN => message!("type-n"),
        T::LiquidImmersion => message!("type-liquid-immersion"),
        T::Pressurization | T::PressurizedX | T::PressurizedY | T::PressurizedZ => {
            message!("type-pressurized-enclosure")
        }
        T::PressurizedRoom => message!("type-pressurized-room"),
        T::VentilatedRoom => message!("type-ventilated-room"),
        T::PowderFilling => message!("type-powder-filling"),
        T::OpticalInherentlySafe => message!("type-optical-inherently-safe"),
        T::OpticalProtected => message!("type-optical-protected"),
        T::OpticalInterlock => message!("type-optical-interlock"),
        T::OpticalUnknown => message!("type-unknown"),
        T::DustEnclosure | T::OldDustEnclosure => message!("type-dust-enclosure"),
        T::Special => message!("type-special"),
        T::NonElectrical => message!("type-non-electrical"),
        T::OldDustIntrinsicSafety => message!("type-dust-intrinsic-safety"),
        T::OldDustEncapsulation => message!("type-dust-encapsulation"),
        T::OldDustPressurization => message!("type-dust-pressurization"),
        T::DustIgnitionProof | T::AmericanDustIgnitionproof => {
            message!("type-dust-ignition-proof")
        }
        T::ConstructionalSafety => message!("type-constructional-safety"),
        T::ControlOfIgnitionSource => message!("type-control-of-ignition-sources"),
        T::NonElectricalLiquidImmersion => message!("type-non-electrical-liquid-immersion"),
        T::NonElectricalFlameproof => message!("type-non-electrical-flameproof"),
        T::NonElectricalPressurization => message!("type-non-electrical-pressurization"),
        T::FlowRestricting => message!("type-flow-restricting"),
        T::InherentSafety => message!("type-inherent-safety"),
        T::TraceHeating => message!("type-trace-heating"),
        T::AmericanExplosionproof => message!("type-explosionproof"),
        T::AmericanIntrinsicSafety => message!("type-intrinsic-safety"),
        T::AmericanNonincendive => message!("type-nonincendive"),
        T::AmericanPurgedX | T::AmericanPurgedY | T::AmericanPurgedZ => {
            message!("type-purged", letter = letter(kind))
        }
        T::AmericanSpecial => message!("type-special"),
    }
}

/// The last letter of a type's symbol.
fn letter(kind: T) -> &'static str {
    let symbol = kind.symbol();
    &symbol[symbol.len() - 1..]
}

/// How it keeps an explosion from starting or spreading; none where the name says it.
pub(super) fn how(kind: T) -> Option<Message> {
    Some(match kind {
        T::Flameproof | T::NonElectricalFlameproof | T::AmericanExplosionproof => {
            message!("how-flameproof")
        }
        T::IncreasedSafety => message!("how-increased-safety"),
        T::IntrinsicSafety | T::OldDustIntrinsicSafety | T::AmericanIntrinsicSafety => {
            message!("how-intrinsic-safety")
        }
        T::AmericanNonincendive => message!("how-nonincendive"),
        T::Encapsulation | T::OldDustEncapsulation => message!("how-encapsulation"),
        T::NonSparking => message!("how-non-sparking"),
        T::NonIncendive => message!("how-sealed-or-enclosed-break"),
        T::RestrictedBreathing => message!("how-restricted-breathing"),
        T::EnergyLimited => message!("how-energy-limited"),
        T::Pressurization
        | T::PressurizedX
        | T::PressurizedY
        | T::PressurizedZ
        | T::PressurizedRoom
        | T::OldDustPressurization
        | T::NonElectricalPressurization
        | T::SimplifiedPressurizationEn
        | T::SimplifiedPressurizationIec
        | T::AmericanPurgedX
        | T::AmericanPurgedY
        | T::AmericanPurgedZ => message!("how-pressurization"),
        T::VentilatedRoom => message!("how-ventilated-room"),
        T::LiquidImmersion | T::NonElectricalLiquidImmersion => message!("how-liquid-immersion"),
        T::PowderFilling => message!("how-powder-filling"),
        T::OpticalInherentlySafe | T::OpticalProtected | T::OpticalInterlock => {
            message!("how-optical")
        }
        T::DustEnclosure
        | T::OldDustEnclosure
        | T::DustIgnitionProof
        | T::AmericanDustIgnitionproof => {
            message!("how-dust-enclosure")
        }
        T::Special | T::AmericanSpecial => message!("how-special"),
        T::NonElectrical => message!("how-non-electrical"),
        T::TypeN => message!("how-n"),
        T::OpticalUnknown
        | T::ConstructionalSafety
        | T::ControlOfIgnitionSource
        | T::FlowRestricting
        | T::InherentSafety
        | T::TraceHeating => return None,
    })
}

/// How an older way of writing is written today; none where it is today's.
///
/// **Source:** IEC 60079-7:2015 (`nA` became `ec`) and the merger of IEC 61241 into IEC 60079 in
/// 2008, checked; the others memory.
pub(super) fn today(protection: &Protection) -> Option<Message> {
    let kind = protection.kind.value;
    let successor = match kind {
        T::NonSparking => "ec",
        T::EnergyLimited => "ic",
        T::SimplifiedPressurizationEn | T::SimplifiedPressurizationIec => "pzc",
        T::OldDustEnclosure | T::DustIgnitionProof => match protection.level.as_str() {
            "A20" | "B20" => "ta",
            "A21" | "B21" => "tb",
            "A22" | "B22" => "tc",
            _ => "t",
        },
        T::OldDustIntrinsicSafety => match protection.level.as_str() {
            "a" => "ia",
            "b" => "ib",
            _ => "i",
        },
        T::OldDustEncapsulation => match protection.level.as_str() {
            "a" => "ma",
            "b" => "mb",
            _ => "m",
        },
        T::OldDustPressurization => "p",
        kind if kind.is_en_13463() => "h",
        _ => {
            let written = Marking::today(protection);
            return (written != protection.printed())
                .then(|| message!("explain-type-today", today = written));
        }
    };
    Some(message!("explain-type-successor", today = successor))
}

/// The standard that defines a type of protection.
pub fn standard(kind: T) -> &'static str {
    TYPES.iter().find(|row| row.kind == kind).map_or(
        match kind {
            T::OpticalUnknown => "IEC 60079-28",
            T::TraceHeating => "IEC 60079-30-1",
            T::ConstructionalSafety => "EN 13463-5",
            T::ControlOfIgnitionSource => "EN 13463-6",
            T::NonElectricalLiquidImmersion => "EN 13463-8",
            T::NonElectricalFlameproof => "EN 13463-3",
            T::NonElectricalPressurization => "EN 13463-7",
            T::FlowRestricting => "EN 13463-2",
            T::InherentSafety => "EN 13463-4",
            _ => "no standard known",
        },
        |row| row.standard,
    )
}
