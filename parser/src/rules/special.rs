//! Types of protection that a plate alone does not settle.

use super::{Case, Rule};
use crate::marking::{Atmosphere, Level, Protection, ProtectionType, Scheme};
use crate::verdict::{Ground, Outcome};

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
        let mut add = |outcome, detail: &str, p: Option<&Protection>, next: &str| {
            let spans: Vec<_> = match p {
                Some(p) => vec![p.kind.span],
                None => types.iter().map(|p| p.kind.span).collect(),
            };
            grounds.push(
                case.ground(self, outcome, detail.to_owned())
                    .at(spans)
                    .next(next),
            );
        };
        let level_letter = |p: &Protection| p.level.chars().next().and_then(Level::from_letter);
        for p in &types {
            match p.kind.value {
                ProtectionType::Special if level_letter(p).is_none() => {
                    add(
                        Outcome::Undecided,
                        "s: the level of special protection is known only from the certificate",
                        Some(p),
                        "Take the level of protection from the certificate.",
                    );
                }
                ProtectionType::IntrinsicSafety if level_letter(p).is_none() => add(
                    Outcome::Undecided,
                    "i without a, b or c: the level of intrinsic safety is known only from the \
                     certificate",
                    Some(p),
                    "Take the level of intrinsic safety (ia, ib, ic) from the certificate.",
                ),
                ProtectionType::VentilatedRoom if p.level != "c" => add(
                    Outcome::Undecided,
                    "vb speaks of a release inside a ventilated room, not of the zone around it",
                    Some(p),
                    "Take from the certificate where the ventilated room may stand.",
                ),
                ProtectionType::Flameproof
                    if p.level == "a" && case.suspected("da outside gas sensor use") =>
                {
                    add(
                        Outcome::Undecided,
                        "da is defined only for sensing elements of gas detectors; it counts as db",
                        Some(p),
                        "Take the level of protection from the certificate.",
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
                        "old dust type in zone 20: the selection table lists tD and DIP at Db and \
                         Dc only, so the certificate decides",
                        Some(p),
                        "Take from the certificate whether the item may stand in zone 20.",
                    );
                }
                _ => {}
            }
        }
        if marking.combined {
            add(
                Outcome::Conditional,
                "types joined by + reach their level together (IEC 60079-26): the certificate \
                 of this item must be read",
                None,
                "Read in the certificate for which place the combination counts.",
            );
        }
        if !types.is_empty() && types.iter().all(|p| optical(p.kind.value)) {
            add(
                Outcome::Conditional,
                "op speaks of the beam alone: the housing needs a type of protection of its own",
                None,
                "Find the marking of the housing.",
            );
        }
        grounds
    }
}
