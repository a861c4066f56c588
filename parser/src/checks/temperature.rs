//! Temperature classes and surface temperatures.

use super::{Check, Finding, Severity, each};
use crate::marking::{
    AmericanPlace, Atmosphere, Group, Marking, ProtectionType, Scheme, Temperature,
};
use crate::{Plate, Span, grammar, message};

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "temperature class missing",
        question: "Does a gas marking name a class or a surface temperature?",
        source: "IEC 60079-0 clause 29 (checked)",
        severity: Severity::Critical,
        passing: "Ex db IIC T4 Gb",
        failing: "Ex db IIC Gb",
        find: class_missing,
    },
    Check {
        name: "dust surface temperature missing",
        question: "Does a dust marking name a surface temperature in °C?",
        source: "IEC 60079-0 clause 29 (checked)",
        severity: Severity::Critical,
        passing: "Ex tb IIIC T80 °C Db IP66",
        failing: "Ex tb IIIC Db IP66",
        find: dust_missing,
    },
    Check {
        name: "temperature class on dust marking",
        question: "Does a dust marking carry a gas class instead of °C?",
        source: "IEC 60079-0 5.3 (checked)",
        severity: Severity::Critical,
        passing: "Ex tb IIIB T100 °C Db IP65",
        failing: "Ex tb IIIB T4 Db IP65",
        find: class_on_dust,
    },
    Check {
        name: "temperature class on an old dust type",
        question: "Does an old dust type carry its surface temperature in °C?",
        source: "IEC 61241-1-1 (memory); IEC 60079-0 5.3 (checked)",
        severity: Severity::Review,
        passing: "DIP A21 TA 170 °C IP65",
        failing: "DIP A21 TA,T6 IP65",
        find: class_on_old_dust,
    },
    Check {
        name: "another temperature class beside the marking",
        question: "Is every class on the plate no hotter than that of its gas marking?",
        source: "common practice, no source",
        severity: Severity::Critical,
        passing: "Ex db IIC T6 (Ta 40 °C) T5 (Ta 55 °C) Gb",
        failing: "Ex db IIC T6 Gb T5",
        find: another_class,
    },
    Check {
        name: "temperature class and surface temperature disagree",
        question: "Is the printed surface temperature within the printed class?",
        source: "IEC 60079-0 5.3 (checked)",
        severity: Severity::Critical,
        passing: "Ex eb IIC 95 °C (T5) Gb",
        failing: "Ex eb IIC T6 (T120 °C) Gb",
        find: disagree,
    },
    Check {
        name: "temperature class does not exist",
        question: "Is the class one of T1 to T6?",
        source: "IEC 60079-0 5.3 (checked)",
        severity: Severity::Critical,
        passing: "Ex db IIC T6 Gb",
        failing: "Ex db IIC T8 Gb",
        find: unknown,
    },
    Check {
        name: "North American temperature code on IEC marking",
        question: "Is a subdivided class used where it is not defined?",
        source: "IEC 60079-0 5.3; NEC 500.8 (checked)",
        severity: Severity::Critical,
        passing: "Class I, Zone 1, AEx db IIB T3C Gb",
        failing: "Ex db IIB T3C Gb",
        find: american_code,
    },
    Check {
        name: "temperature class on mining marking",
        question: "Does a marking for mines alone carry a temperature class?",
        source: "IEC 60079-0 clause 29 (memory)",
        severity: Severity::Review,
        passing: "Ex db I/IIB T4 Gb",
        failing: "Ex db I T4 Mb",
        find: class_in_mine,
    },
    Check {
        name: "temperature range of one class",
        question: "Does the range name two different classes?",
        source: "common practice, no source",
        severity: Severity::Review,
        passing: "Ex db IIC T6...T4 Gb",
        failing: "Ex db IIC T4...T4 Gb",
        find: one_class_range,
    },
    Check {
        name: "component with temperature class",
        question: "Does an Ex component carry a temperature, which it has not?",
        source: "IEC 60079-0 clauses 13 and 29 (checked)",
        severity: Severity::Review,
        passing: "Ex eb IIC Gb; IECEx XYZ 16.0102U",
        failing: "Ex eb IIC T6 Gb; IECEx XYZ 16.0102U",
        find: component,
    },
    Check {
        name: "surface temperature outside what is met",
        question: "Is the printed surface temperature one that equipment can have?",
        source: "IEC 60079-0 5.3: 450 °C is the ceiling of the classes (checked); the lower end is common practice",
        severity: Severity::Review,
        passing: "Ex tb IIIC T80 °C Db IP66",
        failing: "Ex tb IIIC T795 °C Db IP66",
        find: outside,
    },
];

/// Below the usual ambient of 40 °C no equipment stays; over 450 °C no class and no dust goes.
fn outside(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let gas = m.temperature.as_ref().and_then(|t| match t.value {
            Temperature::MaxSurface { celsius, .. } => Some(celsius),
            Temperature::Class(_) | Temperature::Range(..) | Temperature::ByAmbient(_) => None,
        });
        let dust = m.dust_temperature.as_ref().map(|d| d.value.celsius);
        let odd = gas
            .into_iter()
            .chain(dust)
            .find(|c| !(40.0..=450.0).contains(c))?;
        Some(message!("check-odd-surface", celsius = odd))
    })
}

/// True if a marking of its kind names a temperature.
pub(crate) fn needs_temperature(m: &Marking) -> bool {
    let room = m.own_protections().any(|p| {
        matches!(
            p.kind.value,
            ProtectionType::PressurizedRoom | ProtectionType::VentilatedRoom
        )
    });
    !(m.u || m.associated_only() || room || m.scheme == Scheme::NecDivision)
}

fn class_missing(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        (needs_temperature(m)
            && m.speaks_of(Atmosphere::Gas)
            && m.temperature.is_none()
            && m.unknown_class.is_none())
        .then(|| message!("check-no-class"))
    })
}

fn dust_missing(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let dust_alone = m.atmospheres() == [Atmosphere::Dust];
        (needs_temperature(m) && dust_alone && m.dust_temperature.is_none())
            .then(|| message!("check-no-dust-temperature"))
    })
}

/// A class in the place of °C is read as its limit, which the certificate has to confirm.
fn class_on_old_dust(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        m.own_protections().find(|p| p.kind.value.is_old_dust())?;
        let read = m.dust_temperature.as_ref()?;
        let figures = read.raw.chars().filter(char::is_ascii_digit).count();
        (figures == 1).then(|| {
            message!(
                "check-class-on-old-dust",
                class = &read.raw,
                celsius = read.value.celsius
            )
        })
    })
}

/// A class, by itself or in a table that belongs to no marking, that is hotter than that of some gas marking.
fn another_class(plate: &Plate) -> Vec<Finding> {
    let american = plate
        .markings
        .iter()
        .any(|m| m.american != AmericanPlace::default());
    // Whose class it is cannot be told, so it is held against the coldest.
    let worst = plate
        .markings
        .iter()
        .filter_map(|m| m.temperature.as_ref()?.value.worst_class())
        .max();
    let Some(worst) = worst else {
        return Vec::new();
    };
    let text = |span: &Span| plate.lines.get(span.line)?.get(span.start..span.end);
    let hottest = |span: &Span| {
        grammar::classes_in(text(span)?)
            .filter(|class| american || !class.is_american())
            .min()
    };
    plate
        .unread
        .iter()
        .filter_map(|span| Some((span, hottest(span)?)))
        .filter(|(_, class)| *class < worst)
        .map(|(span, class)| {
            Finding::plate(
                message!("check-another-class", class = class, worst = worst),
                vec![*span],
            )
        })
        .collect()
}

fn class_on_dust(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let dust_alone = m.atmospheres() == [Atmosphere::Dust];
        match &m.temperature.as_ref()?.value {
            Temperature::Class(class) if dust_alone && m.scheme != Scheme::NecDivision => {
                Some(message!("check-class-on-dust", class = class))
            }
            Temperature::Range(a, b) if dust_alone && m.scheme != Scheme::NecDivision => {
                Some(message!("check-range-on-dust", first = a, last = b))
            }
            _ => None,
        }
    })
}

fn disagree(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let (celsius, class) = m.temperature_contradiction()?;
        Some(message!(
            "check-class-and-celsius",
            celsius = celsius,
            class = class,
            limit = class.limit_c()
        ))
    })
}

fn unknown(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let odd = m.unknown_class.as_ref()?;
        let second = odd
            .value
            .trim_start_matches('T')
            .trim_start()
            .chars()
            .next()?;
        second
            .is_ascii_digit()
            .then(|| message!("check-no-such-class", class = &odd.value))
    })
}

fn american_code(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let american = m.aex || m.american.class.is_some() || m.american.zone.is_some();
        let class = m.temperature.as_ref()?.value.worst_class()?;
        (!american && class.is_american()).then(|| message!("check-american-code", class = class))
    })
}

fn class_in_mine(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let mine_alone =
            m.group.as_ref().is_some_and(|g| g.value == Group::I) && m.second_group.is_none();
        (mine_alone && m.temperature.is_some()).then(|| message!("check-class-in-mine"))
    })
}

fn one_class_range(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| match &m.temperature.as_ref()?.value {
        Temperature::Range(a, b) if a == b => Some(message!("check-one-class-range", class = a)),
        _ => None,
    })
}

fn component(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        (m.u && (m.temperature.is_some() || m.dust_temperature.is_some()))
            .then(|| message!("check-component-temperature"))
    })
}
