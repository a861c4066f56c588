//! Conformity marks, body numbers, certificates. What is missing can be told on a whole plate only.

use super::{Check, Finding, Severity, each, is_whole};
use crate::marking::{Category, CategoryToken, CertificateScheme, Marking, ProtectionType};
use crate::{Plate, message};

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "two serial numbers",
        question: "Do all the lines belong to one plate?",
        source: "common practice, no source",
        severity: Severity::Review,
        passing: "Ex db IIC T4 Gb; S/N 8254573; S/N 8254573",
        failing: "Ex db IIC T4 Gb; S/N 8254573; S/N 1190022",
        find: two_plates,
    },
    Check {
        name: "notified body number missing",
        question: "Does the CE mark carry the number of a body where one must be involved?",
        source: "2014/34/EU Article 13 and Annexes (checked)",
        severity: Severity::Review,
        passing: "CE 9999; II 2 G; Ex db IIC T4 Gb",
        failing: "CE; II 2 G; Ex db IIC T4 Gb",
        find: missing,
    },
    Check {
        name: "notified body number not expected",
        question: "Is a body number printed where no body is involved?",
        source: "2014/34/EU Article 13 (checked)",
        severity: Severity::Note,
        passing: "CE II 3 G Ex ec IIC T4 Gc",
        failing: "CE 9999 II 3 G Ex ec IIC T4 Gc",
        find: unexpected,
    },
    Check {
        name: "notified body number malformed",
        question: "Has the body number four figures?",
        source: "2014/34/EU Article 16 (practice)",
        severity: Severity::Review,
        passing: "CE 9999 II 2 G Ex db IIC T4 Gb",
        failing: "CE 999 II 2 G Ex db IIC T4 Gb",
        find: malformed,
    },
    Check {
        name: "certificate number missing",
        question: "Is there a certificate number where one is due?",
        source: "IEC 60079-0 clause 29 (memory)",
        severity: Severity::Review,
        passing: "CE 9999; II 2 G Ex db IIC T4 Gb; ABC 14 ATEX 1234",
        failing: "CE 9999; II 2 G; Ex db IIC T4 Gb",
        find: no_certificate,
    },
    Check {
        name: "certificate scheme and mark disagree",
        question: "Does each scheme of the certificates have its mark?",
        source: "2014/34/EU; UK SI 2016/1107 as amended (practice)",
        severity: Severity::Note,
        passing: "CE 9999; II 2 G Ex db IIC T4 Gb; ABC 14 ATEX 1234",
        failing: "CE 9999; II 2 G Ex db IIC T4 Gb; ABC 21 UKEX 1234",
        find: mark_missing,
    },
    Check {
        name: "CE mark on a component",
        question: "Does an Ex component carry a CE mark, which it must not?",
        source: "2014/34/EU Article 13(3) (memory)",
        severity: Severity::Note,
        passing: "Ex eb IIC Gb; ABC 14 ATEX 1234 U",
        failing: "CE 9999; Ex eb IIC Gb; ABC 14 ATEX 1234 U",
        find: component,
    },
];

fn categories(marking: &Marking) -> Vec<Category> {
    let Some(line) = &marking.atex else {
        return Vec::new();
    };
    line.categories
        .iter()
        .flat_map(|t| match t.value {
            CategoryToken::Own(c) | CategoryToken::Circuit(c) => vec![c],
            CategoryToken::Boundary(a, b) => a.into_iter().chain(b).collect(),
        })
        .collect()
}

fn electrical(marking: &Marking) -> bool {
    !marking
        .protections
        .iter()
        .all(|p| p.kind.value.is_en_13463() || p.kind.value == ProtectionType::NonElectrical)
        || marking.protections.is_empty()
}

/// True if a body is involved in production control.
fn needs_body(marking: &Marking) -> bool {
    categories(marking).iter().any(|c| match c {
        Category::One | Category::M1 => true,
        Category::Two | Category::M2 => electrical(marking),
        Category::Three => false,
    })
}

fn missing(plate: &Plate) -> Vec<Finding> {
    let ce = plate.marks.iter().any(|m| !m.ukca);
    if !is_whole(plate) || plate.has_u() || !ce || plate.notified_body().is_some() {
        return Vec::new();
    }
    each(plate, |m| {
        needs_body(m).then(|| message!("check-body-missing"))
    })
}

fn unexpected(plate: &Plate) -> Vec<Finding> {
    let lines: Vec<&Marking> = plate.markings.iter().filter(|m| m.atex.is_some()).collect();
    if lines.is_empty() || plate.notified_body().is_none() || lines.iter().any(|m| needs_body(m)) {
        return Vec::new();
    }
    vec![Finding::plate(
        message!("check-body-not-expected"),
        Vec::new(),
    )]
}

fn malformed(plate: &Plate) -> Vec<Finding> {
    plate
        .marks
        .iter()
        .filter_map(|m| m.body.as_ref())
        .filter(|b| b.value.len() != 4)
        .map(|b| {
            Finding::plate(
                message!("check-body-malformed", number = &b.value),
                vec![b.span],
            )
        })
        .collect()
}

fn no_certificate(plate: &Plate) -> Vec<Finding> {
    if !is_whole(plate) || !plate.certificates.is_empty() {
        return Vec::new();
    }
    each(plate, |m| {
        needs_body(m).then(|| message!("check-no-certificate"))
    })
}

fn mark_missing(plate: &Plate) -> Vec<Finding> {
    if !is_whole(plate) {
        return Vec::new();
    }
    let has = |ukca: bool| plate.marks.iter().any(|m| m.ukca == ukca);
    let numbered = |scheme| plate.certificates.iter().find(|c| c.scheme == scheme);
    let mut found = Vec::new();
    for (scheme, ukca, mark) in [
        (CertificateScheme::Ukex, true, "UKCA"),
        (CertificateScheme::Atex, false, "CE"),
    ] {
        // A component has a certificate and no mark.
        if let Some(certificate) = numbered(scheme)
            && !has(ukca)
            && !plate.has_u()
        {
            found.push(Finding::plate(
                message!(
                    "check-mark-missing",
                    number = &certificate.number.value,
                    mark = mark
                ),
                certificate.spans.clone(),
            ));
        }
    }
    found
}

fn component(plate: &Plate) -> Vec<Finding> {
    if plate.has_u() && plate.marks.iter().any(|m| !m.ukca) {
        vec![Finding::plate(message!("check-component-mark"), Vec::new())]
    } else {
        Vec::new()
    }
}

/// Two plates on one photo, or an old plate under a new one: what stands on which is not known.
fn two_plates(plate: &Plate) -> Vec<Finding> {
    let Some(serial) = &plate.serial else {
        return Vec::new();
    };
    serial
        .rivals
        .first()
        .map(|other| {
            let detail = message!("check-two-serials", first = &serial.value, other = other);
            Finding::plate(detail, vec![serial.span])
        })
        .into_iter()
        .collect()
}
