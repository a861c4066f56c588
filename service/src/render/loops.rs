//! The check of a loop for people.

use super::page::Page;
use crate::answer::{LoopCheckDto, LoopLineDto, LoopPlateDto};
use vetplate_parser::{Message, message};

/// The outcome first, then every line.
pub(super) fn check(page: &mut Page, check: &LoopCheckDto) {
    let outcome = match check.overall {
        LoopLineDto::Pass => message!("terminal-loop-pass"),
        LoopLineDto::Undecided => message!("terminal-loop-undecided"),
        LoopLineDto::Fail => message!("terminal-loop-fail"),
    };
    page.paragraph(&match &check.id {
        Some(id) => message!("terminal-named", name = id, said = outcome),
        None => outcome,
    });
    page.heading(&message!("terminal-loop-lines"));
    page.row(&message!("label-voltage"), &word(check.voltage));
    page.row(&message!("label-current"), &word(check.current));
    page.row(&message!("label-power"), &word(check.power));
    page.row(
        &message!("label-capacitance"),
        &against(
            check.capacitance,
            check.capacitance_total_nf,
            check.capacitance_limit_nf,
            "nF",
        ),
    );
    page.row(
        &message!("label-inductance"),
        &against(
            check.inductance,
            check.inductance_total_uh,
            check.inductance_limit_uh,
            "µH",
        ),
    );
    page.row(
        &message!("label-group"),
        &check
            .group
            .map_or_else(|| message!("terminal-loop-no-group"), word),
    );
    page.row(
        &message!("label-level"),
        &check
            .level
            .map_or_else(|| message!("terminal-loop-no-level"), word),
    );
    page.row(
        &message!("label-halving"),
        &match check.lumped_halving {
            Some(true) => message!("terminal-loop-halved"),
            Some(false) => message!("terminal-loop-not-halved"),
            None => message!("terminal-loop-halving-unknown"),
        },
    );
    let longest = [
        check.longest_by_capacitance_m,
        check.longest_by_inductance_m,
    ];
    if let Some(metres) = longest.into_iter().flatten().min() {
        page.row(&message!("label-longest-cable"), &format!("{metres} m"));
    }
    if let Some(level) = &check.loop_level {
        page.row(&message!("label-loop-level"), level);
    }
    for plate in &check.plates {
        from_plate(page, plate);
    }
    if !check.notes.is_empty() {
        page.heading(&message!("terminal-notes"));
        for note in &check.notes {
            page.bullet(note);
        }
    }
    page.heading(&format!("[{}]", check.source));
}

/// Which value came from which characters of a plate.
fn from_plate(page: &mut Page, plate: &LoopPlateDto) {
    let part = match plate.device {
        Some(number) => message!("terminal-loop-device", number = number),
        None => message!("terminal-loop-source"),
    };
    page.heading(&match &plate.photo {
        Some(photo) => message!("terminal-from-plate-photo", part = part, photo = photo),
        None => message!("terminal-from-plate", part = part),
    });
    for value in &plate.values {
        let shown = match (&value.value, &value.doubt) {
            (Some(value), _) => Message::verbatim(page.number(value)),
            (None, Some(doubt)) => message!("terminal-not-used-because", doubt = doubt),
            (None, None) => message!("terminal-not-used"),
        };
        let name = match value.name {
            "level" => message!("label-level"),
            "group" => message!("label-group"),
            symbol => Message::verbatim(symbol),
        };
        page.row(
            &name,
            &match value.line {
                Some(line) if !value.text.is_empty() => message!(
                    "terminal-value-from",
                    value = shown,
                    line = line + 1,
                    text = &value.text
                ),
                _ => shown,
            },
        );
    }
}

fn word(line: LoopLineDto) -> Message {
    match line {
        LoopLineDto::Fail => message!("terminal-line-fail"),
        LoopLineDto::Undecided => message!("outcome-undecided"),
        LoopLineDto::Pass => message!("terminal-line-pass"),
    }
}

fn against(line: LoopLineDto, total: Option<f64>, limit: Option<f64>, unit: &str) -> Message {
    match (total, limit) {
        (Some(total), Some(limit)) => {
            message!(
                "terminal-loop-against",
                line = word(line),
                total = total,
                limit = limit,
                unit = unit
            )
        }
        _ => word(line),
    }
}
