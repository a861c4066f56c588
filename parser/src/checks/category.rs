//! The group and category line against the string.

use super::{Check, Finding, Severity, each, is_whole};
use crate::marking::{
    AtexLine, Atmosphere, CategoryToken, CertificateScheme, Epl, Group, Level, Marking, Scheme,
};
use crate::{Plate, message};

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "ATEX category and EPL disagree",
        question: "Do category and printed EPL name the same level?",
        source: "2014/34/EU Annex I; IEC 60079-14 5.3 (checked)",
        severity: Severity::Critical,
        passing: "II 2 G Ex db IIC T4 Gb",
        failing: "II 1 G Ex db IIC T6 Gb",
        find: level,
    },
    Check {
        name: "ATEX category stronger than type of protection",
        question: "Does the category promise more than the type of protection can give?",
        source: "2014/34/EU Annex I; IEC 60079-14 5.4 (checked)",
        severity: Severity::Critical,
        passing: "II 2 G EEx d IIB T4",
        failing: "II 1 G EEx d IIB T4",
        find: stronger,
    },
    Check {
        name: "atmosphere letter and marking disagree",
        question: "Is there a string for each of the letters G and D?",
        source: "2014/34/EU Annex II 1.0.5 (practice)",
        severity: Severity::Critical,
        passing: "II 2 GD EEx d IIC T6 IP66 T85 °C",
        failing: "II 2 D Ex eb IIC T6 Gb",
        find: letter,
    },
    Check {
        name: "ATEX group and equipment group disagree",
        question: "Do category line and string both speak of mines, or both not?",
        source: "2014/34/EU Annex I; IEC 60079-0 clause 4 (checked)",
        severity: Severity::Critical,
        passing: "I M2 Ex db I Mb",
        failing: "I M2 Ex db IIB T4 Gb",
        find: mining,
    },
    Check {
        name: "category line missing",
        question: "Is there a group and category line beside an ATEX or UKEX certificate?",
        source: "2014/34/EU Annex II 1.0.5 (practice)",
        severity: Severity::Critical,
        passing: "CE 9999 II 2 G; Ex db IIC T4 Gb; ABC 14 ATEX 1234",
        failing: "CE 9999; Ex db IIC T4 Gb; ABC 14 ATEX 1234",
        find: missing,
    },
];

/// A whole plate with a certificate of the directive must carry the line; where it was not read, the
/// category that may weaken the marking is not known.
fn missing(plate: &Plate) -> Vec<Finding> {
    let certificate = plate
        .certificates
        .iter()
        .find(|c| matches!(c.scheme, CertificateScheme::Atex | CertificateScheme::Ukex));
    let Some(certificate) = certificate.filter(|_| is_whole(plate) && !plate.has_u()) else {
        return Vec::new();
    };
    let strings = plate
        .markings
        .iter()
        .any(|m| !m.protections.is_empty() && !m.aex && m.scheme != Scheme::NecDivision);
    if !strings || plate.markings.iter().any(|m| m.atex.is_some()) {
        return Vec::new();
    }
    vec![Finding::plate(
        message!("check-line-missing", number = &certificate.number.value),
        certificate.spans.clone(),
    )]
}

fn levels(line: &AtexLine) -> Vec<Level> {
    let mut levels: Vec<Level> = line.own_categories().iter().map(|c| c.level()).collect();
    levels.sort_unstable();
    levels.dedup();
    levels
}

fn speaks(line: &AtexLine, atmosphere: Atmosphere) -> bool {
    if line.mining {
        atmosphere == Atmosphere::Mine
    } else {
        line.atmospheres.contains(&atmosphere)
    }
}

fn level(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let line = m.atex.as_ref()?;
        let circuits: Vec<Level> = line
            .categories
            .iter()
            .filter_map(|t| match t.value {
                CategoryToken::Circuit(c) => Some(c.level()),
                _ => None,
            })
            .collect();
        let own = levels(line);
        let mut printed: Vec<Level> = m
            .epl
            .iter()
            .filter(|e| speaks(line, e.value.atmosphere))
            .map(|e| e.value.level)
            .collect();
        printed.sort_unstable();
        printed.dedup();
        if !own.is_empty() && !printed.is_empty() && own != printed {
            return Some(message!(
                "check-line-and-epl",
                line = line.raw.value.trim(),
                epl = join(m)
            ));
        }
        let circuit = m
            .protections
            .iter()
            .filter_map(|p| p.circuit_epl)
            .find(|e| speaks(line, e.atmosphere))?;
        (!circuits.is_empty() && !circuits.contains(&circuit.level)).then(|| {
            message!(
                "check-circuit-and-epl",
                line = line.raw.value.trim(),
                epl = circuit
            )
        })
    })
}

fn join(marking: &Marking) -> String {
    marking
        .epl
        .iter()
        .map(|e| e.value.to_string())
        .collect::<Vec<_>>()
        .join("/")
}

fn stronger(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let line = m.atex.as_ref()?;
        if !m.epl.is_empty() || m.combined || line.mining {
            return None;
        }
        let best = levels(line).first().copied()?;
        let atmosphere = m
            .atmospheres()
            .into_iter()
            .find(|a| line.atmospheres.contains(a))?;
        let types_give = m
            .own_protections()
            .filter_map(|p| p.epl)
            .filter(|e| e.atmosphere == atmosphere)
            .map(|e| e.level)
            .max()?;
        (best < types_give).then(|| {
            message!(
                "check-line-stronger",
                line = line.raw.value.trim(),
                asked = Epl::new(atmosphere, best),
                given = Epl::new(atmosphere, types_give)
            )
        })
    })
}

fn letter(plate: &Plate) -> Vec<Finding> {
    let served = |atmosphere: Atmosphere| {
        plate
            .markings
            .iter()
            .any(|m| m.atmospheres().contains(&atmosphere))
    };
    each(plate, |m| {
        let line = m.atex.as_ref().filter(|l| !l.mining)?;
        let own = m.atmospheres();
        if own == [Atmosphere::Mine] {
            return None;
        }
        if !own.is_empty() && !own.iter().any(|a| line.atmospheres.contains(a)) {
            return Some(message!(
                "check-line-other-atmosphere",
                line = line.raw.value.trim(),
                marking = &m.text
            ));
        }
        // GD beside a gas string alone is right on old plates with a temperature and an IP code.
        if m.associated_only() || m.u {
            return None;
        }
        let dust_by_line =
            own.contains(&Atmosphere::Gas) && line.atmospheres.contains(&Atmosphere::Dust);
        let gas_string = m
            .group
            .as_ref()
            .is_some_and(|g| g.value.atmosphere() == Atmosphere::Gas);
        if dust_by_line && gas_string && (m.dust_temperature.is_none() || plate.ip.is_none()) {
            let own_dust_string = plate.markings.iter().any(|other| {
                other
                    .group
                    .as_ref()
                    .is_some_and(|g| g.value.atmosphere() == Atmosphere::Dust)
                    || other.own_protections().any(|p| p.kind.value.is_old_dust())
            });
            if !own_dust_string {
                return Some(message!("check-line-dust", line = line.raw.value.trim()));
            }
        }
        (line.atmospheres.contains(&Atmosphere::Gas) && !served(Atmosphere::Gas))
            .then(|| message!("check-line-gas", line = line.raw.value.trim()))
    })
}

fn mining(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let line = m.atex.as_ref()?;
        let group = &m.group.as_ref()?.value;
        let has_one = *group == Group::I || m.second_group == Some(Group::I);
        let only_one = *group == Group::I && m.second_group.is_none();
        let wrong = if line.mining { !has_one } else { only_one };
        wrong.then(|| {
            message!(
                "check-line-and-group",
                line = line.raw.value.trim(),
                group = group
            )
        })
    })
}
