//! A row of the substance table for people.

use super::page::Page;
use crate::answer::{DustDto, GasDto, RangeDto, SubstanceDto, SubstancesDto, ValueDto};
use vetplate_parser::substance::{dust_name, remark};
use vetplate_parser::{Joint, Message, message};

/// Every row, one after the other.
pub(super) fn rows(page: &mut Page, found: &SubstancesDto) {
    for substance in &found.substances {
        match substance {
            SubstanceDto::Gas(one) => gas(page, one),
            SubstanceDto::Dust(one) => dust(page, one),
        }
    }
    page.heading(&message!("terminal-table-note"));
}

fn gas(page: &mut Page, gas: &GasDto) {
    page.heading(&message!("terminal-gas", name = gas.name));
    if !gas.cas.is_empty() {
        page.row(&"CAS", &gas.cas);
    }
    if !gas.synonyms.is_empty() {
        page.row(&message!("label-also-called"), &gas.synonyms.join(", "));
    }
    match &gas.gas_group {
        Some(group) => page.row(
            &message!("label-gas-group"),
            &message!(
                "terminal-sourced",
                value = &group.group,
                source = group.source,
                known = known(&group.known)
            ),
        ),
        None => page.row(
            &message!("label-gas-group"),
            &message!("terminal-no-gas-group"),
        ),
    }
    if let Some(letter) = &gas.nec_group {
        page.row(&message!("label-nec-group"), letter);
    }
    several(
        page,
        &message!("label-ignition"),
        &gas.ignition_c,
        &celsius(),
    );
    if let Some(class) = &gas.t_class {
        page.row(
            &message!("label-class-needed"),
            &message!("terminal-class-or-later", class = class),
        );
    }
    several(
        page,
        &message!("label-flash-point"),
        &gas.flash_c,
        &celsius(),
    );
    several(
        page,
        &message!("label-lower-limit"),
        &gas.lfl_percent,
        &message!("terminal-by-volume"),
    );
    several(
        page,
        &message!("label-upper-limit"),
        &gas.ufl_percent,
        &message!("terminal-by-volume"),
    );
    if !gas.remark.is_empty() {
        page.row(&message!("label-remark"), &remark(gas.remark));
    }
}

fn celsius() -> Message {
    Message::verbatim("°C")
}

fn known(tag: &str) -> Message {
    match tag {
        "checked" => message!("cite-checked"),
        "memory" => message!("cite-memory"),
        _ => message!("cite-practice"),
    }
}

fn several(page: &mut Page, label: &Message, values: &[ValueDto], unit: &Message) {
    for value in values {
        page.row(
            label,
            &message!(
                "terminal-sourced-unit",
                value = value.value.0,
                unit = unit,
                source = value.source,
                known = known(&value.known)
            ),
        );
    }
}

fn dust(page: &mut Page, dust: &DustDto) {
    page.heading(&message!("terminal-dust", name = dust_name(dust.name)));
    if !dust.synonyms.is_empty() {
        page.row(&message!("label-also-called"), &dust.synonyms.join(", "));
    }
    let mut group = vec![Message::verbatim(&dust.dust_group)];
    if !dust.dust_group_note.is_empty() {
        group.push(remark(dust.dust_group_note));
    }
    page.row(
        &message!("label-dust-group"),
        &Message::list(group, Joint::Blank),
    );
    page.row(&message!("label-cloud"), &range(&dust.cloud_ignition_c));
    match &dust.layer_ignition_c {
        Some(layer) => page.row(&message!("label-layer"), &range(layer)),
        None => page.row(&message!("label-layer"), &message!("terminal-melts")),
    }
    page.row(
        &message!("label-surface"),
        &message!("terminal-surface-by-lower-ends", celsius = dust.limit_c.0),
    );
    if dust.organic {
        page.row(&message!("label-organic"), &message!("terminal-organic"));
    }
    if !dust.remark.is_empty() {
        page.row(&message!("label-remark"), &remark(dust.remark));
    }
}

fn range(range: &RangeDto) -> Message {
    let (low, high) = (range.low.0, range.high.0);
    let known = known(&range.known);
    match ((high - low).abs() < f64::EPSILON, range.open) {
        (true, false) => message!("terminal-ignites", celsius = low, known = known),
        (true, true) => message!("terminal-ignites-above", celsius = low, known = known),
        (false, false) => message!(
            "terminal-ignites-between",
            low = low,
            high = high,
            known = known
        ),
        (false, true) => message!(
            "terminal-ignites-to-above",
            low = low,
            high = high,
            known = known
        ),
    }
}
