//! The check of a loop for people.

use super::page::Page;
use crate::answer::{LoopCheckDto, LoopLineDto, LoopPlateDto};

/// The outcome first, then every line.
pub(super) fn check(page: &mut Page, check: &LoopCheckDto) {
    let name = check
        .id
        .as_ref()
        .map(|id| format!("{id}: "))
        .unwrap_or_default();
    let outcome = match check.overall {
        LoopLineDto::Pass => "PASS: every line that could be checked holds.",
        LoopLineDto::Undecided => "UNDECIDED: a value is missing or the method does not cover it.",
        LoopLineDto::Fail => "FAIL: a limit is exceeded.",
    };
    page.paragraph(&format!("{name}{outcome}"));
    page.heading("Lines");
    page.row("voltage", word(check.voltage));
    page.row("current", word(check.current));
    page.row("power", word(check.power));
    page.row(
        "capacitance",
        &against(
            check.capacitance,
            check.capacitance_total_nf,
            check.capacitance_limit_nf,
            "nF",
        ),
    );
    page.row(
        "inductance",
        &against(
            check.inductance,
            check.inductance_total_uh,
            check.inductance_limit_uh,
            "µH",
        ),
    );
    page.row(
        "group",
        check
            .group
            .map_or("not checked: place_group is not given", word),
    );
    page.row(
        "level",
        check
            .level
            .map_or("not checked: place_level is not given", word),
    );
    page.row(
        "halving",
        match check.lumped_halving {
            Some(true) => "both limits are halved: Ci and Li both reach 1 %",
            Some(false) => "none: Ci or Li stays below 1 %",
            None => "cannot be told",
        },
    );
    let longest = [
        check.longest_by_capacitance_m,
        check.longest_by_inductance_m,
    ];
    if let Some(metres) = longest.into_iter().flatten().min() {
        page.row("longest cable", &format!("{metres} m"));
    }
    if let Some(level) = &check.loop_level {
        page.row("loop level", level);
    }
    for plate in &check.plates {
        from_plate(page, plate);
    }
    if !check.notes.is_empty() {
        page.heading("Notes");
        for note in &check.notes {
            page.bullet(note);
        }
    }
    page.heading(&format!("[{}]", check.source));
}

/// Which value came from which characters of a plate.
fn from_plate(page: &mut Page, plate: &LoopPlateDto) {
    let part = match plate.device {
        Some(number) => format!("device {number}"),
        None => plate.part.to_owned(),
    };
    let from = plate
        .photo
        .as_ref()
        .map(|photo| format!(", {photo}"))
        .unwrap_or_default();
    page.heading(&format!("From the plate of the {part}{from}"));
    for value in &plate.values {
        let origin = match value.line {
            Some(line) if !value.text.is_empty() => {
                format!(" (line {}: \"{}\")", line + 1, value.text)
            }
            _ => String::new(),
        };
        let shown = match (&value.value, &value.doubt) {
            (Some(value), _) => value.clone(),
            (None, Some(doubt)) => format!("not used: {doubt}"),
            (None, None) => "not used".to_owned(),
        };
        page.row(value.name, &format!("{shown}{origin}"));
    }
}

fn word(line: LoopLineDto) -> &'static str {
    match line {
        LoopLineDto::Fail => "fail",
        LoopLineDto::Undecided => "undecided",
        LoopLineDto::Pass => "pass",
    }
}

fn against(line: LoopLineDto, total: Option<f64>, limit: Option<f64>, unit: &str) -> String {
    match (total, limit) {
        (Some(total), Some(limit)) => {
            format!(
                "{}: {total} {unit} in all, {limit} {unit} allowed",
                word(line)
            )
        }
        _ => word(line).to_owned(),
    }
}
