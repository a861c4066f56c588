//! Outcome, grounds, doubt, and what to check by hand.

use super::page::Page;
use crate::answer::{Answer, OutcomeDto, PlaceDto, VerdictDto};

/// A share of readings above this is not worth a person's time; the JSON has it exactly.
/// A verdict that rests on a doubtful field is undecided long before.
const WORTH_SAYING: f64 = 0.99;

/// The first lines: what an inspector must see before anything else.
pub(super) fn outcome(page: &mut Page, answer: &Answer, name: Option<&str>) {
    let name = name.map(|n| format!("{n}: ")).unwrap_or_default();
    let markings = answer
        .markings
        .iter()
        .map(|m| m.text.as_str())
        .collect::<Vec<_>>()
        .join("  |  ");
    match &answer.verdict {
        Some(verdict) => {
            let place = place(&verdict.place);
            if answer.markings.is_empty() {
                page.paragraph(&format!(
                    "{name}{} for {place}: no marking was read.",
                    word(verdict.outcome).to_uppercase()
                ));
            } else {
                page.paragraph(&format!("{name}{}", headline(verdict.outcome, &place)));
            }
            if let Some(worst) = verdict
                .grounds
                .first()
                .filter(|g| g.outcome != OutcomeDto::Suitable)
            {
                page.paragraph(&worst.detail);
            }
            if verdict.probability.get() < WORTH_SAYING {
                page.paragraph(&format!(
                    "Of the plausible readings, {} (by weight) give this outcome or a better one.",
                    verdict.probability.get()
                ));
            }
        }
        None if answer.markings.is_empty() => {
            page.paragraph(&format!("{name}NO MARKING was read."));
        }
        None => page.paragraph(&format!(
            "{name}READ, NOT JUDGED: give a place for a verdict (--zone 1 --gas ethanol)."
        )),
    }
    if !markings.is_empty() {
        page.paragraph(&format!("Marking: {markings}"));
    }
    if answer.review.needed {
        page.paragraph("A person must look before this is used: see \"Check by hand\".");
    }
}

fn headline(outcome: OutcomeDto, place: &str) -> String {
    match outcome {
        OutcomeDto::Suitable => format!("SUITABLE for {place}."),
        OutcomeDto::Conditional => {
            format!("CONDITIONAL for {place}: allowed only if the conditions below are met.")
        }
        OutcomeDto::Undecided => {
            format!(
                "UNDECIDED for {place}: not to be relied on before the points below are settled."
            )
        }
        OutcomeDto::Unsuitable => format!("UNSUITABLE for {place}."),
    }
}

/// The place in one line: `zone 1, ethanol, group IIB, ambient -20 to 45 °C`.
pub(crate) fn place(place: &PlaceDto) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut add = |before: &str, value: Option<String>, after: &str| {
        parts.extend(value.map(|value| format!("{before}{value}{after}")));
    };
    let names = |names: &[String]| (!names.is_empty()).then(|| names.join(" and "));
    let numbered = place
        .zone
        .as_ref()
        .is_some_and(|zone| zone.chars().all(|c| c.is_ascii_digit()));
    add(if numbered { "zone " } else { "" }, place.zone.clone(), "");
    add("EPL ", place.epl.clone(), "");
    add("", names(&place.gas), "");
    add("group ", place.gas_group.clone(), "");
    add("ignition at ", text(place.ignition_c.as_ref()), " °C");
    add("class ", place.t_class.clone(), "");
    add("", names(&place.dust), "");
    add("group ", place.dust_group.clone(), "");
    add(
        "cloud ignition at ",
        text(place.cloud_ignition_c.as_ref()),
        " °C",
    );
    add(
        "layer ignition at ",
        text(place.layer_ignition_c.as_ref()),
        " °C",
    );
    add("layer of ", text(place.layer_mm.as_ref()), " mm");
    add(
        "surface at most ",
        text(place.max_surface_c.as_ref()),
        " °C",
    );
    add("ambient ", text(place.ambient_c.as_ref()), " °C");
    let ip = place
        .ip
        .as_deref()
        .map(|ip| ip.trim_start_matches("IP").to_owned());
    add("IP", ip, "");
    parts.join(", ")
}

fn text(value: Option<&impl ToString>) -> Option<String> {
    value.map(ToString::to_string)
}

/// Every ground with its clause, worst first.
pub(super) fn grounds(page: &mut Page, verdict: &VerdictDto) {
    if verdict.grounds.is_empty() && verdict.notes.is_empty() {
        return;
    }
    page.heading("Why, worst first");
    for ground in &verdict.grounds {
        page.row(word(ground.outcome), &ground.detail);
        page.beneath(&format!("[{}]", ground.source));
        if let Some(next) = &ground.next {
            page.beneath(&format!("To do: {next}"));
        }
    }
    for note in &verdict.notes {
        page.row("note", note);
    }
}

/// Where the outcome hangs on a doubtful character.
pub(super) fn doubt(page: &mut Page, verdict: &VerdictDto) {
    if verdict.decided_by.is_empty() {
        return;
    }
    page.heading("What the outcome hangs on");
    for deciding in &verdict.decided_by {
        page.bullet(&format!(
            "line {}, characters {} to {}, read as \"{}\":",
            deciding.line + 1,
            deciding.start + 1,
            deciding.end,
            deciding.text
        ));
        for reading in &deciding.readings {
            page.row(
                &format!("\"{}\"", reading.text),
                &format!(
                    "{}, probability {}",
                    word(reading.outcome),
                    reading.probability.get()
                ),
            );
        }
    }
}

fn word(outcome: OutcomeDto) -> &'static str {
    match outcome {
        OutcomeDto::Unsuitable => "unsuitable",
        OutcomeDto::Undecided => "undecided",
        OutcomeDto::Conditional => "conditional",
        OutcomeDto::Suitable => "suitable",
    }
}

/// What only a person at the plate or with the certificate can settle.
pub(super) fn by_hand(page: &mut Page, answer: &Answer) {
    let mut points: Vec<String> = answer.review.reasons.clone();
    // With a place, the grounds say what to do about each certificate.
    let unjudged = answer.plate.certificates.iter();
    for certificate in unjudged.filter(|_| answer.verdict.is_none()) {
        let number = format!("{} {}", certificate.number, certificate.suffix);
        if certificate.suffix.contains('X') {
            points.push(format!(
                "{number}: read the specific conditions of use in the certificate and see that \
                 each is met."
            ));
        }
        if certificate.suffix.contains('U') {
            points.push(format!(
                "{number}: this is an Ex component; look for the certificate of the equipment \
                 that it is part of."
            ));
        }
    }
    for warning in &answer.plate.warnings {
        points.push(format!("The plate warns: \"{warning}\""));
    }
    if points.is_empty() {
        return;
    }
    page.heading("Check by hand");
    for point in points {
        page.bullet(&point);
    }
}
