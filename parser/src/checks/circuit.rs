//! Intrinsically safe circuits: brackets and entity parameters.

use super::{Check, Finding, Severity, each, is_whole};
use crate::marking::{CategoryToken, ProtectionType, Quantity};
use crate::{Plate, Span, message};

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "output parameters on field device",
        question: "Does a plate without brackets carry the values of a source?",
        source: "IEC 60079-11 clause 12 (memory)",
        severity: Severity::Note,
        passing: "Ex ia IIC T4 Ga Ui = 30 V",
        failing: "Ex ia IIC T4 Ga Uo = 28 V",
        find: outputs,
    },
    Check {
        name: "brackets missing around associated apparatus",
        question: "Does everything but the brackets say that it is associated apparatus?",
        source: "IEC 60079-0 clause 29; IEC 60079-11 (practice)",
        severity: Severity::Critical,
        passing: "[Ex ia Ga] IIC Uo = 28 V",
        failing: "Ex ia Ga IIC Uo = 28 V",
        find: lost_brackets,
    },
    Check {
        name: "brackets unbalanced",
        question: "Does each square bracket have its partner?",
        source: "IEC 60079-0 clause 29 (practice)",
        severity: Severity::Critical,
        passing: "Ex db [ia Ga] IIC T4 Gb",
        failing: "Ex db [ia Ga IIC T4 Gb",
        find: unbalanced,
    },
    Check {
        name: "associated apparatus without output parameters",
        question: "Are the output values of the circuit printed?",
        source: "IEC 60079-11 clause 12 (memory)",
        severity: Severity::Note,
        passing: "Associated apparatus; [Ex ia Ga] IIC; Uo = 28 V",
        failing: "Associated apparatus; [Ex ia Ga] IIC; Um = 250 V",
        find: no_outputs,
    },
    Check {
        name: "power exceeds voltage times current",
        question: "Can the printed power come from the printed voltage and current?",
        source: "arithmetic: P is at most U times I",
        severity: Severity::Review,
        passing: "[Ex ia Ga] IIC Uo=28 V Io=93 mA Po=0.65 W",
        failing: "[Ex ia Ga] IIC Uo=28 V Io=93 mA Po=4 W",
        find: power_high,
    },
    Check {
        name: "power below a quarter of voltage times current",
        question: "Is the printed power what a linear source gives?",
        source: "arithmetic: a linear source gives U times I over four",
        severity: Severity::Note,
        passing: "[Ex ia Ga] IIC Uo=28 V Io=93 mA Po=0.651 W",
        failing: "[Ex ia Ga] IIC Uo=28 V Io=93 mA Po=0.3 W",
        find: power_low,
    },
];

fn value(plate: &Plate, quantity: Quantity) -> Option<(f64, Span)> {
    plate
        .entity
        .iter()
        .find(|e| e.quantity == quantity)
        .map(|e| (e.value.value, e.value.span))
}

fn has_outputs(plate: &Plate) -> bool {
    plate.entity.iter().any(|e| e.quantity.is_output())
}

fn outputs(plate: &Plate) -> Vec<Finding> {
    if !has_outputs(plate) {
        return Vec::new();
    }
    each(plate, |m| {
        let intrinsic = m
            .own_protections()
            .any(|p| p.kind.value == ProtectionType::IntrinsicSafety);
        (intrinsic && m.protections.iter().all(|p| !p.associated))
            .then(|| message!("check-outputs"))
    })
}

fn lost_brackets(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let intrinsic = m.own_protections().any(|p| {
            p.kind.value == ProtectionType::IntrinsicSafety && matches!(p.level.as_str(), "a" | "b")
        });
        let circuit_category = m.atex.as_ref().is_some_and(|line| {
            line.categories
                .iter()
                .any(|t| matches!(t.value, CategoryToken::Circuit(_)))
        });
        let no_temperature = m.temperature.is_none() && m.dust_temperature.is_none();
        let source = value(plate, Quantity::Uo).is_some() || circuit_category;
        let none_bracketed = m.protections.iter().all(|p| !p.associated);
        (intrinsic && none_bracketed && no_temperature && source && !m.u)
            .then(|| message!("check-lost-brackets"))
    })
}

fn unbalanced(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        m.unbalanced.then(|| message!("check-unbalanced"))
    })
}

fn no_outputs(plate: &Plate) -> Vec<Finding> {
    if !is_whole(plate) || has_outputs(plate) {
        return Vec::new();
    }
    each(plate, |m| {
        m.protections
            .iter()
            .any(|p| p.associated && p.kind.value == ProtectionType::IntrinsicSafety)
            .then(|| message!("check-no-outputs"))
    })
}

/// One percent for rounding of the printed figures.
const ROUNDING: f64 = 1.01;

/// Watts to three decimals.
fn milliwatts(watt: f64) -> f64 {
    (watt * 1000.0).round() / 1000.0
}

fn power_high(plate: &Plate) -> Vec<Finding> {
    let mut found = Vec::new();
    for (u, i, p, severity) in [
        (Quantity::Uo, Quantity::Io, Quantity::Po, Severity::Review),
        // Pi often comes from the temperature class and may lie above Ui times Ii.
        (Quantity::Ui, Quantity::Ii, Quantity::Pi, Severity::Note),
    ] {
        if let (Some((volt, _)), Some((milliampere, _)), Some((watt, span))) =
            (value(plate, u), value(plate, i), value(plate, p))
        {
            let product = volt * milliampere / 1000.0;
            if watt > product * ROUNDING {
                found.push(
                    Finding::plate(
                        message!(
                            "check-power-high",
                            power = p,
                            watt = watt,
                            voltage = u,
                            current = i,
                            product = milliwatts(product)
                        ),
                        vec![span],
                    )
                    .weighing(severity),
                );
            }
        }
    }
    found
}

fn power_low(plate: &Plate) -> Vec<Finding> {
    if let (Some((volt, _)), Some((milliampere, _)), Some((watt, span))) = (
        value(plate, Quantity::Uo),
        value(plate, Quantity::Io),
        value(plate, Quantity::Po),
    ) {
        let quarter = volt * milliampere / 4000.0;
        if watt < 0.97 * quarter {
            return vec![Finding::plate(
                message!(
                    "check-power-low",
                    watt = watt,
                    quarter = milliwatts(quarter)
                ),
                vec![span],
            )];
        }
    }
    Vec::new()
}
