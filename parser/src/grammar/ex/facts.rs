//! Facts of a string that were read clean and may decide about others.

use crate::grammar::draft::Draft;
use crate::marking::{Atmosphere, Protection, ProtectionType, Temperature};

/// True for types whose old single letter is worth the level b.
pub(crate) fn worth_b(protection: &Protection) -> bool {
    protection.kind.repairs.is_empty()
        && (protection.level == "b"
            || (protection.level.is_empty()
                && matches!(
                    protection.kind.value,
                    ProtectionType::Flameproof
                        | ProtectionType::IncreasedSafety
                        | ProtectionType::PowderFilling
                        | ProtectionType::LiquidImmersion
                        | ProtectionType::PressurizedX
                        | ProtectionType::PressurizedY
                        | ProtectionType::Pressurization
                        | ProtectionType::Encapsulation
                )))
}

/// The atmosphere of a clean fact: a class or an EPL.
pub(crate) fn fact(draft: &Draft) -> Option<Atmosphere> {
    if let Some(epl) = draft.epl.iter().find(|e| e.repairs.is_empty()) {
        return Some(epl.value.atmosphere);
    }
    if draft.temperature.as_ref().is_some_and(|t| {
        t.repairs.is_empty() && matches!(t.value, Temperature::Class(_) | Temperature::Range(..))
    }) {
        return Some(Atmosphere::Gas);
    }
    if draft
        .dust_temperature
        .as_ref()
        .is_some_and(|t| t.repairs.is_empty())
    {
        return Some(Atmosphere::Dust);
    }
    None
}
