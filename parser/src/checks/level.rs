//! EPL, type of protection, and its level letter.

use super::{Check, Finding, Severity, each};
use crate::marking::{
    Atmosphere, Epl, Level, Marking, Protection, ProtectionType, Temperature, names_a_room,
};
use crate::tables::TypeRow;
use crate::{Plate, message};

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "EPL stronger than type of protection",
        question: "Does the printed EPL promise more than the type of protection can give?",
        source: "IEC 60079-0 clause 29; IEC 60079-14 5.4 (checked)",
        severity: Severity::Critical,
        passing: "Ex db+mb IIB T4 Ga",
        failing: "Ex nA IIC T4 Gb",
        find: stronger,
    },
    Check {
        name: "EPL weaker than type of protection",
        question: "Is the printed EPL lower than the type of protection allows?",
        source: "IEC 60079-0 clause 29 (practice)",
        severity: Severity::Note,
        passing: "Ex ib IIC T4 Gb",
        failing: "Ex ia IIC T4 Gb",
        find: weaker,
    },
    Check {
        name: "level of protection does not exist",
        question: "Does a standard know this type with this level letter?",
        source: "IEC 60079-0 and the part standards (memory)",
        severity: Severity::Critical,
        passing: "Ex eb IIC T4 Gb",
        failing: "Ex ea IIC T4 Ga",
        find: unknown_level,
    },
    Check {
        name: "type of protection does not fit atmosphere",
        question: "Is the type of protection defined for the atmosphere of the group?",
        source: "IEC 60079-0 clause 29; the part standards (memory)",
        severity: Severity::Critical,
        passing: "Ex tb IIIC T80 °C Db IP66",
        failing: "Ex tb IIC T4 Gb",
        find: foreign_type,
    },
    Check {
        name: "EEx mixed with EPL or level letter",
        question: "Does an old EEx marking carry an EPL or a level letter of later editions?",
        source: "EN 50014 to EN 50020 (checked in part)",
        severity: Severity::Critical,
        passing: "EEx ia IIC T6",
        failing: "EEx d IIC T6 Gb",
        find: mixed_generations,
    },
    Check {
        name: "da outside gas sensor use",
        question: "Is da used for anything but the sensing element of a gas detector?",
        source: "IEC 60079-1 scope of da (memory)",
        severity: Severity::Critical,
        passing: "Ex da IIC T4 Ga gas sensor",
        failing: "Ex da IIC T4 Ga",
        find: da_elsewhere,
    },
    Check {
        name: "old dust type with EPL",
        question: "Does a type of IEC 61241 carry an EPL, which came later?",
        source: "IEC 61241-0; IEC 60079-0:2007 (practice)",
        severity: Severity::Review,
        passing: "Ex tD A21 T100 °C IP65",
        failing: "Ex tD A21 T100 °C Db IP65",
        find: old_dust_with_level,
    },
    Check {
        name: "room type on an item",
        question: "Does the plate of an item carry a type that is meant for rooms?",
        source: "IEC 60079-13 scope (checked)",
        severity: Severity::Review,
        passing: "Analyser room Ex pb IIC T4 Gb",
        failing: "Ex pb IIC T4 Gb",
        find: room_type,
    },
    Check {
        name: "two strings, same atmosphere, different values",
        question: "Do two markings for the same atmosphere say different things?",
        source: "common practice, no source",
        severity: Severity::Note,
        passing: "Ex db IIC T4 Gb; Ex tb IIIC T80 °C Db IP66",
        failing: "Ex db IIC T4 Gb; Ex db IIC T6 Gb",
        find: two_strings,
    },
    Check {
        name: "type of protection named twice",
        question: "Does each type of protection stand once in the string?",
        source: "common practice, no source",
        severity: Severity::Review,
        passing: "Ex db eb IIC T4 Gb",
        failing: "Ex db db IIC T4 Gb",
        find: named_twice,
    },
    Check {
        name: "circuit EPL stronger than its type of protection",
        question: "Can the type in the brackets give the EPL in the brackets?",
        source: "IEC 60079-0 clause 29; IEC 60079-14 5.4 (checked)",
        severity: Severity::Critical,
        passing: "[Ex ia Ga] IIC",
        failing: "[Ex ib Ga] IIC",
        find: circuit_stronger,
    },
    Check {
        name: "type in brackets is no circuit",
        question: "Are the brackets around a type that a circuit can have?",
        source: "IEC 60079-0 clause 29: associated apparatus feeds circuits and light (memory)",
        severity: Severity::Review,
        passing: "Ex db [op is Ga] IIC T4 Gb",
        failing: "[Ex ta Da] IIIC",
        find: no_circuit,
    },
    Check {
        name: "level letter of intrinsic safety missing",
        question: "Does intrinsic safety beside an EPL carry its letter a, b or c?",
        source: "IEC 60079-11, since its first edition (memory)",
        severity: Severity::Critical,
        passing: "Ex ia IIC T4 Ga",
        failing: "Ex i IIC T4 Ga",
        find: no_letter,
    },
];

fn weakest(marking: &Marking, atmosphere: Atmosphere) -> Option<Level> {
    marking
        .own_protections()
        .filter(|p| marking.sensor || !is_da(p))
        .filter_map(|p| p.epl)
        .filter(|e| e.atmosphere == atmosphere)
        .map(|e| e.level)
        .max()
}

fn is_da(protection: &Protection) -> bool {
    protection.kind.value == ProtectionType::Flameproof && protection.level == "a"
}

fn single(marking: &Marking) -> Option<Epl> {
    match marking.epl.as_slice() {
        [one] if !marking.boundary => Some(one.value),
        _ => None,
    }
}

fn types(marking: &Marking) -> String {
    marking
        .own_protections()
        .map(Protection::printed)
        .collect::<Vec<_>>()
        .join(", ")
}

fn stronger(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let epl = single(m)?;
        let types_give = weakest(m, epl.atmosphere)?;
        (!m.combined && epl.level < types_give).then(|| {
            message!(
                "check-epl-stronger",
                epl = epl,
                types = types(m),
                given = Epl::new(epl.atmosphere, types_give)
            )
        })
    })
}

fn weaker(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let epl = single(m)?;
        let types_give = weakest(m, epl.atmosphere)?;
        (epl.level > types_give).then(|| {
            message!(
                "check-epl-weaker",
                epl = epl,
                types = types(m),
                given = Epl::new(epl.atmosphere, types_give)
            )
        })
    })
}

fn unknown_level(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let odd = m.protections.iter().find(|p| {
            p.kind.value == ProtectionType::OpticalUnknown
                || (matches!(p.level.as_str(), "a" | "b" | "c")
                    && TypeRow::of(p.kind.value, &p.level).is_none())
        })?;
        Some(message!("check-unknown-level", kind = &odd.kind.raw))
    })
}

fn foreign_type(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let group = m.group.as_ref()?.value.clone();
        let mixed_wall = m.boundary
            && m.epl
                .iter()
                .any(|e| e.value.atmosphere != m.epl[0].value.atmosphere);
        if mixed_wall {
            return None;
        }
        let odd = m.own_protections().find(|p| {
            let Some(row) = TypeRow::of(p.kind.value, &p.level) else {
                return false;
            };
            let gives = |a: Atmosphere| row.level_in(a).is_some();
            [Atmosphere::Gas, Atmosphere::Dust, Atmosphere::Mine]
                .into_iter()
                .any(gives)
                && !gives(group.atmosphere())
        })?;
        Some(message!(
            "check-foreign-type",
            kind = odd.printed(),
            group = group
        ))
    })
}

fn mixed_generations(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        if !m.eex {
            return None;
        }
        if let Some(epl) = m.epl.first() {
            return Some(message!("check-eex-epl", epl = epl.value));
        }
        let late = m.protections.iter().find(|p| {
            matches!(p.level.as_str(), "a" | "b" | "c")
                && !(p.kind.value == ProtectionType::IntrinsicSafety && p.level != "c")
        })?;
        Some(message!("check-eex-level", kind = late.printed()))
    })
}

fn da_elsewhere(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let power = plate.ratings.iter().any(|r| r.value.ends_with("kW"));
        (m.own_protections().any(is_da) && (!m.sensor || power)).then(|| message!("check-da"))
    })
}

/// The types that a circuit or a beam can have, which is what brackets are for.
const CIRCUITS: [ProtectionType; 6] = [
    ProtectionType::IntrinsicSafety,
    ProtectionType::OldDustIntrinsicSafety,
    ProtectionType::EnergyLimited,
    ProtectionType::OpticalInherentlySafe,
    ProtectionType::OpticalProtected,
    ProtectionType::OpticalInterlock,
];

fn circuit_stronger(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        m.protections.iter().filter(|p| p.associated).find_map(|p| {
            let printed = p.circuit_epl?;
            let worth = TypeRow::of(p.kind.value, &p.level)?.level_in(printed.atmosphere)?;
            // The levels are ordered from a, the strongest.
            (printed.level < worth).then(|| {
                message!(
                    "check-circuit-stronger",
                    epl = printed,
                    kind = p.printed(),
                    level = worth.letter()
                )
            })
        })
    })
}

fn no_circuit(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let odd = m.protections.iter().find(|p| {
            let kind = p.kind.value;
            p.associated && !(CIRCUITS.contains(&kind) || kind.is_american())
        })?;
        Some(message!("check-no-circuit", kind = odd.printed()))
    })
}

fn no_letter(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let bare = m.protections.iter().any(|p| {
            p.kind.value == ProtectionType::IntrinsicSafety
                && p.level.is_empty()
                && (p.circuit_epl.is_some() || (!p.associated && !m.epl.is_empty()))
        });
        bare.then(|| message!("check-plain-i"))
    })
}

/// A plate names a type once: the second is most likely another type that was misread.
fn named_twice(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let own: Vec<&Protection> = m.own_protections().collect();
        let twice = own.iter().enumerate().find(|(index, p)| {
            own[..*index]
                .iter()
                .any(|q| q.kind.value == p.kind.value && (q.level == p.level || !m.boundary))
        })?;
        Some(message!("check-twice", kind = twice.1.printed()))
    })
}

fn old_dust_with_level(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let old = m.own_protections().find(|p| p.kind.value.is_old_dust())?;
        let epl = m.epl.first()?;
        Some(message!(
            "check-old-dust-epl",
            kind = old.printed(),
            epl = epl.value
        ))
    })
}

fn room_type(plate: &Plate) -> Vec<Finding> {
    let room_plate = plate.lines.iter().any(|line| names_a_room(line));
    each(plate, |m| {
        let room = m.own_protections().find(|p| {
            matches!(
                p.kind.value,
                ProtectionType::PressurizedRoom | ProtectionType::VentilatedRoom
            )
        })?;
        (!room_plate).then(|| message!("check-room-type", kind = room.printed()))
    })
}

fn two_strings(plate: &Plate) -> Vec<Finding> {
    let facts = |m: &Marking| -> (
        Vec<Atmosphere>,
        Option<Temperature>,
        Option<String>,
        Vec<Epl>,
    ) {
        (
            m.atmospheres(),
            m.temperature.as_ref().map(|t| t.value.clone()),
            m.group.as_ref().map(|g| g.value.to_string()),
            m.levels(),
        )
    };
    let mut found = Vec::new();
    for (index, marking) in plate.markings.iter().enumerate().skip(1) {
        let own = facts(marking);
        let differs = plate.markings[..index].iter().any(|other| {
            let other = facts(other);
            other.0 == own.0 && !own.0.is_empty() && other != own
        });
        if differs {
            found.push(Finding::on(index, marking, message!("check-two-strings")));
        }
    }
    found
}
