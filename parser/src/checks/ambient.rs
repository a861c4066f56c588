//! Ambient temperature.

use super::{Check, Finding, Severity, each};
use crate::marking::Temperature;
use crate::{Plate, message};

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "ambient range reversed",
        question: "Is the lower end of the ambient range below the upper?",
        source: "IEC 60079-0 5.1.1 (practice)",
        severity: Severity::Critical,
        passing: "Ex db IIC T6 Gb Ta -20 °C to +40 °C",
        failing: "Ex db IIC T6 Gb Ta +60 °C to +40 °C",
        find: reversed,
    },
    Check {
        name: "ambient at or above surface temperature limit",
        question: "Does the ambient stay below the surface temperature of the class?",
        source: "IEC 60079-0 5.1 and 5.3 (practice)",
        severity: Severity::Critical,
        passing: "Ex db IIC T6 Gb Ta -20 °C to +60 °C",
        failing: "Ex db IIC T6 Gb -20 °C ≤ Ta ≤ +85 °C",
        find: too_hot,
    },
    Check {
        name: "two ambient ranges",
        question: "Is the ambient range printed once, or the same each time?",
        source: "common practice, no source",
        severity: Severity::Review,
        passing: "Ex db IIC T6 Gb Ta -20 °C to +40 °C; Ta -20 °C to +40 °C",
        failing: "Ex db IIC T6 Gb Ta -20 °C to +40 °C; Ta -40 °C to +60 °C",
        find: two_ranges,
    },
];

fn reversed(plate: &Plate) -> Vec<Finding> {
    plate
        .ambient
        .iter()
        .filter(|a| a.value.low_c >= a.value.high_c)
        .map(|a| {
            Finding::plate(
                message!(
                    "check-ambient-reversed",
                    low = a.value.low_c,
                    high = a.value.high_c
                ),
                vec![a.span],
            )
        })
        .collect()
}

fn too_hot(plate: &Plate) -> Vec<Finding> {
    let Some(ambient) = &plate.ambient else {
        return Vec::new();
    };
    let high = ambient.value.high_c;
    each(plate, |m| {
        let gas = m.temperature.as_ref().and_then(|t| match &t.value {
            Temperature::Class(class) => Some(class.limit_c()),
            Temperature::Range(a, b) => Some(a.limit_c().max(b.limit_c())),
            Temperature::MaxSurface { celsius, .. } => Some(*celsius),
            // Each class of a table has an ambient of its own.
            Temperature::ByAmbient(table) => table
                .iter()
                .find(|c| c.ambient_max_c >= c.class.limit_c())
                .map(|c| c.class.limit_c()),
        });
        let dust = m.dust_temperature.as_ref().map(|d| d.value.celsius);
        let table = matches!(
            m.temperature.as_ref().map(|t| &t.value),
            Some(Temperature::ByAmbient(_))
        );
        let limit = gas
            .into_iter()
            .chain(dust)
            .find(|limit| table || high >= *limit)?;
        Some(message!(
            "check-ambient-too-hot",
            high = high,
            limit = limit
        ))
    })
}

fn two_ranges(plate: &Plate) -> Vec<Finding> {
    plate
        .ambient
        .iter()
        .filter(|a| {
            a.rivals.iter().any(|r| {
                (r.high_c - a.value.high_c).abs() > 0.5
                    || (r.low_c.abs() - a.value.low_c.abs()).abs() > 0.5
            })
        })
        .map(|a| Finding::plate(message!("check-ambient-twice"), vec![a.span]))
        .collect()
}
