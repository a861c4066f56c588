//! A row of the substance table for people.

use super::page::Page;
use crate::answer::{DustDto, GasDto, RangeDto, SubstanceDto, SubstancesDto, ValueDto};

/// Every row, one after the other.
pub(super) fn rows(page: &mut Page, found: &SubstancesDto) {
    for substance in &found.substances {
        match substance {
            SubstanceDto::Gas(one) => gas(page, one),
            SubstanceDto::Dust(one) => dust(page, one),
        }
    }
    page.heading(found.note);
}

fn gas(page: &mut Page, gas: &GasDto) {
    page.heading(&format!("{} (gas or vapour)", gas.name));
    if !gas.cas.is_empty() {
        page.row("CAS", gas.cas);
    }
    if !gas.synonyms.is_empty() {
        page.row("also called", &gas.synonyms.join(", "));
    }
    match &gas.gas_group {
        Some(group) => page.row(
            "gas group",
            &format!("{} ({}; {})", group.group, group.source, group.known),
        ),
        None => page.row("gas group", "no source names it; give it yourself"),
    }
    if let Some(letter) = &gas.nec_group {
        page.row("NEC group", letter);
    }
    several(page, "ignition", &gas.ignition_c, "°C");
    if let Some(class) = &gas.t_class {
        page.row("class needed", &format!("{class} or a later one"));
    }
    several(page, "flash point", &gas.flash_c, "°C");
    several(page, "lower limit", &gas.lfl_percent, "% by volume");
    several(page, "upper limit", &gas.ufl_percent, "% by volume");
    if !gas.remark.is_empty() {
        page.row("remark", gas.remark);
    }
}

fn several(page: &mut Page, label: &str, values: &[ValueDto], unit: &str) {
    for value in values {
        page.row(
            label,
            &format!(
                "{} {unit} ({}; {})",
                value.value.0, value.source, value.known
            ),
        );
    }
}

fn dust(page: &mut Page, dust: &DustDto) {
    page.heading(&format!("{} (dust)", dust.name));
    if !dust.synonyms.is_empty() {
        page.row("also called", &dust.synonyms.join(", "));
    }
    let group = format!("{} {}", dust.dust_group, dust.dust_group_note);
    page.row("dust group", group.trim_end());
    page.row("cloud", &range(&dust.cloud_ignition_c));
    match &dust.layer_ignition_c {
        Some(layer) => page.row("layer of 5 mm", &range(layer)),
        None => page.row("layer of 5 mm", "melts first"),
    }
    page.row(
        "surface",
        &format!("at most {} °C by the lower ends above", dust.limit_c.0),
    );
    if dust.organic {
        page.row("organic", "may dehydrate or carbonise");
    }
    if !dust.remark.is_empty() {
        page.row("remark", dust.remark);
    }
}

fn range(range: &RangeDto) -> String {
    let (low, high) = (range.low.0, range.high.0);
    let open = if range.open { "above " } else { "" };
    if (high - low).abs() < f64::EPSILON {
        format!("ignites at {open}{low} °C ({})", range.known)
    } else {
        format!("ignites at {low} to {open}{high} °C ({})", range.known)
    }
}
