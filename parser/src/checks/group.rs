//! Equipment groups.

use super::{Check, Finding, Severity, each};
use crate::marking::{Atmosphere, Group, Marking, Protection, Scheme};
use crate::tables::{GroupLetter, TypeRow};
use crate::{Plate, message};

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "EPL does not fit group",
        question: "Does the EPL speak of the same atmosphere as the group?",
        source: "IEC 60079-0 clause 29 (checked)",
        severity: Severity::Critical,
        passing: "Ex tb IIIC T85 °C Db IP66",
        failing: "Ex tb IIIC T85 °C Gb IP66",
        find: level,
    },
    Check {
        name: "group letter missing",
        question: "Is the letter of the gas group printed where the type of protection needs it?",
        source: "IEC 60079-14 5.5 (memory)",
        severity: Severity::Critical,
        passing: "EEx e II T3",
        failing: "Ex db II T4 Gb",
        find: letter_missing,
    },
    Check {
        name: "group missing",
        question: "Is there an equipment group?",
        source: "IEC 60079-0 clause 29 (checked)",
        severity: Severity::Critical,
        passing: "Ex db IIC T4 Gb",
        failing: "Ex db T4 Gb",
        find: missing,
    },
    Check {
        name: "group does not exist",
        question: "Is the group one that a standard knows?",
        source: "IEC 60079-0 clause 4 (checked)",
        severity: Severity::Critical,
        passing: "Ex ia IIB T4 Ga",
        failing: "Ex ia IID T4 Ga",
        find: unknown,
    },
];

fn level(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let group = &m.group.as_ref()?.value;
        let fits = |a: Atmosphere| {
            a == group.atmosphere() || m.second_group.as_ref().is_some_and(|g| g.atmosphere() == a)
        };
        // A wall between gas and dust names both sides.
        if m.boundary && m.epl.iter().any(|e| fits(e.value.atmosphere)) {
            return None;
        }
        let odd = m.epl.iter().find(|e| !fits(e.value.atmosphere))?;
        Some(message!(
            "check-epl-and-group",
            epl = odd.value,
            group = group
        ))
    })
}

fn letter_missing(plate: &Plate) -> Vec<Finding> {
    let mut found = Vec::new();
    for (index, m) in plate.markings.iter().enumerate() {
        if m.group.as_ref().is_none_or(|g| g.value != Group::II) || m.only_gas.is_some() {
            continue;
        }
        let asks = |p: &Protection, letter| {
            TypeRow::of(p.kind.value, &p.level).is_some_and(|row| row.group_letter == letter)
        };
        let needs = m.protections.iter().find(|p| asks(p, GroupLetter::Asked));
        if let Some(p) = needs {
            found.push(Finding::on(
                index,
                m,
                message!("check-letter-missing", kind = p.printed()),
            ));
        } else if m.own_protections().any(|p| asks(p, GroupLetter::Review)) {
            found.push(
                Finding::on(index, m, message!("check-letter-missing-h"))
                    .weighing(Severity::Review),
            );
        }
    }
    found
}

/// True if a marking of its kind names a group and this one does not.
pub(crate) fn lacks_group(m: &Marking) -> bool {
    if m.group.is_some() || m.unknown_group.is_some() {
        return false;
    }
    if m.scheme == Scheme::NecDivision {
        return matches!(m.american.class, Some(1 | 2));
    }
    let exempt = m
        .own_protections()
        .any(|p| p.kind.value.is_old_dust() || p.kind.value.is_en_13463());
    // EN 50281 prints a category and a temperature, no group.
    let en_50281 = m.protections.is_empty() && m.dust_temperature.is_some();
    // A class III marking has no groups, and neither has a zone marking beside it.
    let american = m.american.class.is_some() && m.protections.is_empty();
    !(exempt || en_50281 || american)
}

fn missing(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        lacks_group(m).then(|| {
            if m.scheme == Scheme::NecDivision {
                message!("check-group-missing-letters")
            } else {
                message!("check-group-missing-any")
            }
        })
    })
}

fn unknown(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let odd = m.unknown_group.as_ref()?;
        Some(message!("check-no-such-group", group = &odd.value))
    })
}
