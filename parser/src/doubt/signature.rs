//! What of a plate matters to a verdict, in comparable form.

use crate::Plate;
use crate::checks::Severity;
use crate::doubt::Weighted;
use crate::marking::{AtexLine, Marking, Protection};

/// The critical fields of a marking, in the order of the answer.
pub(super) const FIELDS: [&str; 5] = ["protections", "group", "temperature", "epl", "atex"];

/// The value of one critical field as text; empty where nothing is printed.
pub(super) fn field(marking: &Marking, name: &str) -> String {
    match name {
        "protections" => marking
            .protections
            .iter()
            .map(protection)
            .collect::<Vec<_>>()
            .join(" "),
        "group" => {
            let mut text = marking
                .group
                .as_ref()
                .map(|g| g.value.to_string())
                .or(marking.unknown_group.as_ref().map(|g| g.value.clone()))
                .unwrap_or_default();
            if let Some(second) = &marking.second_group {
                text = format!("{text}/{second}");
            }
            if let Some(gas) = &marking.only_gas {
                text = format!("{text} ({})", gas.value);
            }
            text
        }
        "temperature" => {
            let gas = marking
                .temperature
                .as_ref()
                .map(|t| t.value.to_string())
                .or(marking.unknown_class.as_ref().map(|c| c.value.clone()));
            let dust = marking
                .dust_temperature
                .as_ref()
                .map(|d| d.value.to_string());
            let extra = marking.class_celsius.map(|c| format!("({c} °C)"));
            [gas, dust, extra]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join(" ")
        }
        "epl" => marking
            .epl
            .iter()
            .map(|e| e.value.to_string())
            .collect::<Vec<_>>()
            .join("/"),
        _ => marking.atex.as_ref().map(category).unwrap_or_default(),
    }
}

fn protection(p: &Protection) -> String {
    if p.associated {
        format!(
            "[{}{}{}]",
            p.printed(),
            p.circuit_epl.map(|e| format!(" {e}")).unwrap_or_default(),
            p.circuit_group
                .as_ref()
                .map(|g| format!(" {g}"))
                .unwrap_or_default()
        )
    } else {
        p.printed()
    }
}

fn category(line: &AtexLine) -> String {
    let numeral = if line.mining { "I" } else { "II" };
    let categories: String = line
        .categories
        .iter()
        .map(|c| c.value.to_string())
        .collect();
    let letters: String = line
        .atmospheres
        .iter()
        .map(|a| match a {
            crate::marking::Atmosphere::Gas => 'G',
            crate::marking::Atmosphere::Dust => 'D',
            crate::marking::Atmosphere::Mine => 'M',
        })
        .collect();
    format!("{numeral} {categories} {letters}")
        .trim_end()
        .to_owned()
}

/// Everything that a verdict or a finding rests on, as one text.
pub(super) fn signature(reading: &Weighted) -> String {
    let plate: &Plate = &reading.plate;
    let mut parts: Vec<String> = Vec::new();
    for marking in &plate.markings {
        parts.push(format!("{} {}", marking.scheme, marking.aex));
        parts.extend(FIELDS.iter().map(|name| field(marking, name)));
        parts.push(format!(
            "{} {} {} {} {:?} {:?} {:?}",
            marking.combined,
            marking.boundary,
            marking.x,
            marking.u,
            marking.american.class,
            marking.american.division.as_ref().map(|d| d.value),
            marking.american.zone.as_ref().map(|z| z.value),
        ));
    }
    parts.push(format!("{} {}", plate.has_x(), plate.has_u()));
    parts.push(format!("{:?}", plate.ambient.as_ref().map(|a| a.value)));
    parts.push(format!("{:?}", plate.ip.as_ref().map(|i| &i.value.text)));
    for entity in &plate.entity {
        parts.push(format!("{} {}", entity.quantity, entity.value.value));
    }
    parts.extend(
        reading
            .suspicions
            .iter()
            .filter(|s| s.severity != Severity::Note)
            .map(|s| s.check.to_owned()),
    );
    parts.join("|")
}
