//! Types of protection that a plate alone does not settle.

use super::{Case, Rule};
use crate::marking::{Atmosphere, Level, Protection, ProtectionType, Scheme};
use crate::verdict::{Ground, Outcome};
use crate::{Message, message};

/// `s`, plain `i`, ventilated rooms, optical types alone, combined types, old dust types in
/// zone 20, `da` outside sensors.
pub(super) struct SpecialTypes;

const fn optical(kind: ProtectionType) -> bool {
    matches!(
        kind,
        ProtectionType::OpticalInherentlySafe
            | ProtectionType::OpticalProtected
            | ProtectionType::OpticalInterlock
            | ProtectionType::OpticalUnknown
    )
}

impl Rule for SpecialTypes {
    fn id(&self) -> &'static str {
        "special-types"
    }
    fn question(&self) -> &'static str {
        "Is there a type of protection that only the certificate settles?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-14 5.4, IEC 60079-26, -28, -13, -33 (checked in part)"
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let Some(marking) = case.marking() else {
            return Vec::new();
        };
        if marking.scheme == Scheme::NecDivision {
            return Vec::new();
        }
        let types: Vec<&Protection> = marking.own_protections().collect();
        let mut grounds = Vec::new();
        let mut add = |outcome, detail: Message, p: Option<&Protection>, next: Message| {
            let spans: Vec<_> = match p {
                Some(p) => vec![p.kind.span],
                None => types.iter().map(|p| p.kind.span).collect(),
            };
            grounds.push(case.ground(self, outcome, detail).at(spans).next(next));
        };
        let level_letter = |p: &Protection| p.level.chars().next().and_then(Level::from_letter);
        for p in &types {
            match p.kind.value {
                ProtectionType::Special if level_letter(p).is_none() => {
                    add(
                        Outcome::Undecided,
                        message!("special-s"),
                        Some(p),
                        message!("next-certificate-level"),
                    );
                }
                ProtectionType::IntrinsicSafety if level_letter(p).is_none() => add(
                    Outcome::Undecided,
                    message!("special-i"),
                    Some(p),
                    message!("next-certificate-i"),
                ),
                ProtectionType::VentilatedRoom if p.level != "c" => add(
                    Outcome::Undecided,
                    message!("special-vb"),
                    Some(p),
                    message!("next-certificate-room"),
                ),
                ProtectionType::Flameproof
                    if p.level == "a" && case.suspected("da outside gas sensor use") =>
                {
                    add(
                        Outcome::Undecided,
                        message!("special-da"),
                        Some(p),
                        message!("next-certificate-level"),
                    );
                }
                ProtectionType::OldDustEnclosure | ProtectionType::DustIgnitionProof
                    if p.level.ends_with("20")
                        && case.atmosphere == Some(Atmosphere::Dust)
                        && super::level::needed(case.place, Atmosphere::Dust)
                            .is_some_and(|(epl, _)| epl.level == Level::A) =>
                {
                    add(
                        Outcome::Conditional,
                        message!("special-old-dust"),
                        Some(p),
                        message!("next-certificate-zone-20"),
                    );
                }
                _ => {}
            }
        }
        if marking.combined {
            add(
                Outcome::Conditional,
                message!("special-combined"),
                None,
                message!("next-certificate-combination"),
            );
        }
        if !types.is_empty() && types.iter().all(|p| optical(p.kind.value)) {
            add(
                Outcome::Conditional,
                message!("special-optical"),
                None,
                message!("next-housing"),
            );
        }
        grounds
    }
}
