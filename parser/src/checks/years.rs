//! Years against the editions of the standards. Two figures of a year are easily misread, so each
//! finding names that as the likelier cause.

use super::{Check, Finding, Severity, each};
use crate::marking::{Marking, ProtectionType as T};
use crate::tables::years;
use crate::{Plate, message};

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "level of protection older than its standard",
        question: "Was the item made before its level letter existed?",
        source: "years of the part standards (checked in part, else memory)",
        severity: Severity::Review,
        passing: "Ex ec IIC T4 Gc  made 2018",
        failing: "Ex ec IIC T4 Gc  made 2012",
        find: level,
    },
    Check {
        name: "EPL older than its standard",
        question: "Was the item made before EPLs existed?",
        source: "IEC 60079-0:2007, IEC 60079-26:2006 (checked)",
        severity: Severity::Review,
        passing: "Ex d IIC T6 Gb  Year 2009",
        failing: "Ex d IIC T6 Gb  Year 2004",
        find: epl,
    },
    Check {
        name: "dust group older than its standard",
        question: "Was the item made before group III existed?",
        source: "IEC 60079-0:2007 (checked)",
        severity: Severity::Review,
        passing: "Ex tb IIIC T85 °C Db IP66  Year 2010",
        failing: "Ex tb IIIC T85 °C Db IP66  Year 2005",
        find: dust_group,
    },
    Check {
        name: "withdrawn type on recent certificate",
        question: "Is a type of protection certified after it was withdrawn?",
        source: "IEC 60079-15:2017, IEC 60079-31 (checked in part)",
        severity: Severity::Note,
        passing: "Ex nA IIC T4 Gc  ABC 12 ATEX 1234",
        failing: "Ex nA IIC T4 Gc  ABC 20 ATEX 1234",
        find: withdrawn,
    },
    Check {
        name: "EEx on recent certificate",
        question: "Is an EEx marking certified after EN 50014 was gone?",
        source: "EN 50014 (memory)",
        severity: Severity::Review,
        passing: "EEx d IIC T6  ABC 02 ATEX 1234",
        failing: "EEx d IIC T6  ABC 14 ATEX 1234",
        find: recent_eex,
    },
    Check {
        name: "certificate year before the scheme",
        question: "Did the certification scheme exist in the year of the number?",
        source: "94/9/EC (checked), IECEx 2003 (memory), UK SI 2016/1107 as amended (checked)",
        severity: Severity::Critical,
        passing: "Ex db IIC T6 Gb ABC 21 UKEX 1021",
        failing: "Ex db IIC T6 Gb ABC 18 UKEX 1021",
        find: before_scheme,
    },
    Check {
        name: "made before certificate",
        question: "Is the year of manufacture before the first issue of the certificate?",
        source: "common practice, no source",
        severity: Severity::Review,
        passing: "Ex db IIC T6 Gb  ABC 14 ATEX 1234  Year 2015",
        failing: "Ex db IIC T6 Gb  ABC 14 ATEX 1234  Year 2012",
        find: before_certificate,
    },
    Check {
        name: "both X and U",
        question: "Does one number carry both X and U?",
        source: "IEC 60079-0 clauses 13 and 29 (memory)",
        severity: Severity::Review,
        passing: "Ex db IIC T6 Gb  ABC 14 ATEX 1234 X",
        failing: "Ex db IIC T6 Gb  ABC 14 ATEX 1234 X U",
        find: both_letters,
    },
];

/// First year of a level letter, where it was not always there.
fn first_year(kind: T, level: &str) -> Option<i32> {
    let row = years::LEVELS
        .iter()
        .find(|(k, l, _)| *k == kind && *l == level)?;
    Some(row.2)
}

/// The year in which the item was surely made: printed, or that of a certificate in issue 0.
fn made(plate: &Plate) -> Option<i32> {
    plate.year.as_ref().map(|y| y.value).or_else(|| {
        plate
            .certificates
            .iter()
            .filter(|c| c.issue == Some(0))
            .find_map(|c| c.year)
    })
}

fn level(plate: &Plate) -> Vec<Finding> {
    let Some(year) = made(plate) else {
        return Vec::new();
    };
    each(plate, |m| {
        let (p, first) = m.protections.iter().find_map(|p| {
            first_year(p.kind.value, &p.level)
                .filter(|first| year < *first)
                .map(|first| (p, first))
        })?;
        Some(message!(
            "check-level-too-old",
            kind = p.printed(),
            first = first,
            year = year
        ))
    })
}

fn epl(plate: &Plate) -> Vec<Finding> {
    let Some(year) = made(plate) else {
        return Vec::new();
    };
    each(plate, |m| {
        let odd = m.epl.iter().find(|e| {
            years::EPLS
                .iter()
                .any(|(epl, first)| *epl == e.value && year < *first)
        })?;
        Some(message!("check-epl-too-old", epl = odd.value, year = year))
    })
}

fn dust_group(plate: &Plate) -> Vec<Finding> {
    let Some(year) = made(plate) else {
        return Vec::new();
    };
    each(plate, |m| {
        let group = &m.group.as_ref()?.value;
        years::DUST_GROUPS
            .iter()
            .any(|(known, first)| known == group && year < *first)
            .then(|| message!("check-dust-group-too-old", group = group, year = year))
    })
}

fn certificate_year(plate: &Plate) -> Option<i32> {
    plate.certificates.iter().filter_map(|c| c.year).max()
}

fn withdrawn(plate: &Plate) -> Vec<Finding> {
    let Some(year) = certificate_year(plate) else {
        return Vec::new();
    };
    each(plate, |m: &Marking| {
        let p = m.protections.iter().find(|p| {
            years::WITHDRAWN
                .iter()
                .any(|(kind, from)| *kind == p.kind.value && year >= *from)
        })?;
        Some(message!("check-withdrawn", kind = p.printed(), year = year))
    })
}

fn recent_eex(plate: &Plate) -> Vec<Finding> {
    let Some(year) = certificate_year(plate).filter(|y| *y >= years::EEX_GONE) else {
        return Vec::new();
    };
    each(plate, |m| {
        m.eex.then(|| message!("check-recent-eex", year = year))
    })
}

fn before_scheme(plate: &Plate) -> Vec<Finding> {
    let mut found = Vec::new();
    for certificate in &plate.certificates {
        let Some(year) = certificate.year else {
            continue;
        };
        let Some((_, critical, note)) = years::SCHEMES
            .iter()
            .find(|(scheme, ..)| *scheme == certificate.scheme)
        else {
            continue;
        };
        let detail = message!(
            "check-before-scheme",
            number = &certificate.number.value,
            year = year
        );
        let finding = Finding::plate(detail, certificate.spans.clone());
        if year < *critical {
            found.push(finding);
        } else if year < *note {
            found.push(finding.weighing(Severity::Note));
        }
    }
    found
}

fn before_certificate(plate: &Plate) -> Vec<Finding> {
    let (Some(made), Some(certified)) = (
        plate.year.as_ref(),
        plate.certificates.iter().filter_map(|c| c.year).min(),
    ) else {
        return Vec::new();
    };
    if made.value < certified {
        vec![Finding::plate(
            message!(
                "check-made-before",
                made = made.value,
                certified = certified
            ),
            vec![made.span],
        )]
    } else {
        Vec::new()
    }
}

fn both_letters(plate: &Plate) -> Vec<Finding> {
    plate
        .certificates
        .iter()
        .filter(|c| c.suffix == crate::marking::Suffix::XAndU)
        .map(|c| {
            Finding::plate(
                message!("check-both-letters", number = &c.number.value),
                c.spans.clone(),
            )
        })
        .collect()
}
