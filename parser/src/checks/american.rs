//! Class, division, zone and group of North American markings.

use super::{Check, Finding, Severity, each};
use crate::marking::{Epl, Group, ProtectionType, letter_class};
use crate::tables::ZoneRow;
use crate::{Plate, message};

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "class and group disagree",
        question: "Do the group letters belong to the class?",
        source: "NEC 500.6 (checked)",
        severity: Severity::Critical,
        passing: "Class II, Division 1, Groups E, F, G T4",
        failing: "Class I, Division 1, Groups E, F T4",
        find: letters,
    },
    Check {
        name: "division does not exist",
        question: "Is the division 1 or 2?",
        source: "NEC 500.5 (checked)",
        severity: Severity::Critical,
        passing: "Class I, Division 2, Group D T4",
        failing: "Class I, Division 3, Group D T4",
        find: division,
    },
    Check {
        name: "zone does not exist",
        question: "Is the zone 0 to 2 or 20 to 22?",
        source: "NEC 505.5 and 506.5 (checked)",
        severity: Severity::Critical,
        passing: "Class I, Zone 1, AEx db IIC T4 Gb",
        failing: "Class I, Zone 3, AEx db IIC T4 Gb",
        find: zone,
    },
    Check {
        name: "zone and EPL disagree",
        question: "Is the EPL or type at least as strong as the printed zone asks?",
        source: "NEC 505.9 (memory)",
        severity: Severity::Critical,
        passing: "Class I, Zone 1, AEx ia IIC T4 Ga",
        failing: "Class I, Zone 0, AEx db IIC T4 Gb",
        find: zone_level,
    },
    Check {
        name: "type and class or division disagree",
        question: "Is the type of protection one of the printed class and division?",
        source: "NEC 500.7 (memory)",
        severity: Severity::Critical,
        passing: "NI Class I, Division 2, Groups A, B, C, D T4",
        failing: "NI Class I, Division 1, Groups A, B, C, D T4",
        find: type_and_division,
    },
];

fn letters(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let Group::American(letters) = &m.group.as_ref()?.value else {
            return None;
        };
        let class = m.american.class?;
        if class == 3 {
            return Some(message!("check-class-three-groups"));
        }
        let odd = letters.iter().find(|l| letter_class(**l) != Some(class))?;
        Some(if m.american.class == Some(1) {
            message!("check-class-one-groups", group = *odd)
        } else {
            message!("check-class-two-groups", group = *odd)
        })
    })
}

fn division(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let division = m.american.division.as_ref()?.value;
        (!(1..=2).contains(&division))
            .then(|| message!("check-no-such-division", division = division))
    })
}

fn level_of(zone: u8) -> Option<Epl> {
    ZoneRow::printed(zone).map(|row| Epl::new(row.atmosphere, row.level))
}

fn zone(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let zone = m.american.zone.as_ref()?.value;
        level_of(zone)
            .is_none()
            .then(|| message!("check-no-such-zone", zone = zone))
    })
}

fn zone_level(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let zone = m.american.zone.as_ref()?.value;
        let need = level_of(zone)?;
        if m.protections.is_empty() {
            return None;
        }
        let have = m
            .levels()
            .into_iter()
            .find(|e| e.atmosphere == need.atmosphere)?;
        (!have.covers(need)).then(|| message!("check-zone-level", have = have, zone = zone))
    })
}

fn type_and_division(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let odd = m.protections.iter().find(|p| match p.kind.value {
            kind if kind.is_division_two() => {
                m.american.division.as_ref().is_some_and(|d| d.value == 1)
            }
            ProtectionType::AmericanExplosionproof => m.american.class != Some(1),
            ProtectionType::AmericanDustIgnitionproof => m.american.class == Some(1),
            _ => false,
        })?;
        Some(message!("check-type-and-division", kind = odd.printed()))
    })
}
