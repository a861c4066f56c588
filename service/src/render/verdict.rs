//! Outcome, grounds, doubt, and what to check by hand.

use super::page::Page;
use crate::answer::{Answer, OutcomeDto, PlaceDto, VerdictDto};
use vetplate_parser::{Joint, Message, message};

/// A share of readings above this is not worth a person's time; the JSON has it exactly.
/// A verdict that rests on a doubtful field is undecided long before.
const WORTH_SAYING: f64 = 0.99;

/// The first lines: what an inspector must see before anything else.
pub(super) fn outcome(page: &mut Page, answer: &Answer, name: Option<&str>) {
    let head = |said: Message| match name {
        Some(name) => message!("terminal-named", name = name, said = said),
        None => said,
    };
    let markings = answer
        .markings
        .iter()
        .map(|m| m.text.as_str())
        .collect::<Vec<_>>()
        .join("  |  ");
    match &answer.verdict {
        Some(verdict) => {
            let place = place(page, &verdict.place);
            page.paragraph(&head(if answer.markings.is_empty() {
                message!("terminal-undecided-no-marking", place = place)
            } else {
                headline(verdict.outcome, place)
            }));
            if let Some(worst) = verdict
                .grounds
                .first()
                .filter(|g| g.outcome != OutcomeDto::Suitable)
            {
                page.paragraph(&worst.detail);
            }
            if verdict.probability.get() < WORTH_SAYING {
                page.paragraph(&message!(
                    "terminal-probability",
                    share = verdict.probability.get()
                ));
            }
        }
        None if answer.markings.is_empty() => {
            page.paragraph(&head(message!("terminal-no-marking")));
        }
        None => page.paragraph(&head(message!("terminal-not-judged"))),
    }
    if !markings.is_empty() {
        page.paragraph(&message!("terminal-markings", markings = markings));
    }
    if answer.review.needed {
        page.paragraph(&message!(
            "terminal-review",
            heading = message!("terminal-by-hand")
        ));
    }
}

fn headline(outcome: OutcomeDto, place: Message) -> Message {
    match outcome {
        OutcomeDto::Suitable => message!("terminal-suitable", place = place),
        OutcomeDto::Conditional => message!("terminal-conditional", place = place),
        OutcomeDto::Undecided => message!("terminal-undecided", place = place),
        OutcomeDto::Unsuitable => message!("terminal-unsuitable", place = place),
    }
}

/// The place in one line: `zone 1, ethanol, group IIB, ambient -20 to 45 °C`.
pub(super) fn place(page: &Page, place: &PlaceDto) -> Message {
    let mut parts: Vec<Message> = Vec::new();
    let names = |names: &[String]| {
        (!names.is_empty()).then(|| Message::list(names.iter().map(Message::verbatim), Joint::And))
    };
    let celsius =
        |value: &Option<crate::answer::PlaceNumber>| value.as_ref().map(|v| page.number(v));
    parts.extend(place.zone.as_ref().map(|zone| match zone.as_str() {
        numbered if numbered.chars().all(|c| c.is_ascii_digit()) => {
            message!("terminal-zone", zone = numbered)
        }
        "mine-M1" => message!("terminal-mine-m1"),
        "mine-M2" => message!("terminal-mine-m2"),
        "non-hazardous" => message!("terminal-non-hazardous"),
        other => Message::verbatim(other),
    }));
    parts.extend(
        place
            .epl
            .iter()
            .map(|epl| message!("origin-epl", epl = epl)),
    );
    parts.extend(names(&place.gas));
    parts.extend(
        place
            .gas_group
            .iter()
            .map(|group| message!("terminal-group", group = group)),
    );
    parts.extend(celsius(&place.ignition_c).map(|c| message!("terminal-ignition", celsius = c)));
    parts.extend(
        place
            .t_class
            .iter()
            .map(|class| message!("terminal-class", class = class)),
    );
    parts.extend(names(&place.dust));
    parts.extend(
        place
            .dust_group
            .iter()
            .map(|group| message!("terminal-group", group = group)),
    );
    parts.extend(celsius(&place.cloud_ignition_c).map(|c| message!("terminal-cloud", celsius = c)));
    parts.extend(celsius(&place.layer_ignition_c).map(|c| message!("terminal-layer", celsius = c)));
    parts.extend(celsius(&place.layer_mm).map(|depth| message!("terminal-depth", depth = depth)));
    parts.extend(celsius(&place.max_surface_c).map(|c| message!("surface-at-most", celsius = c)));
    parts.extend(place.ambient_c.as_ref().map(|range| match range.ends() {
        Some((low, high)) => message!(
            "terminal-ambient",
            low = page.number(low),
            high = page.number(high)
        ),
        None => Message::verbatim(range),
    }));
    parts.extend(
        place
            .ip
            .as_deref()
            .map(|ip| Message::verbatim(format!("IP{}", ip.trim_start_matches("IP")))),
    );
    Message::list(parts, Joint::Comma)
}

/// Every ground with its clause, worst first.
pub(super) fn grounds(page: &mut Page, verdict: &VerdictDto) {
    if verdict.grounds.is_empty() && verdict.notes.is_empty() {
        return;
    }
    page.heading(&message!("terminal-why"));
    for ground in &verdict.grounds {
        page.row(&word(ground.outcome), &ground.detail);
        page.beneath(&format!("[{}]", ground.source));
        if let Some(next) = &ground.next {
            page.beneath(&message!("terminal-to-do", step = next));
        }
    }
    for note in &verdict.notes {
        page.row(&message!("label-note"), note);
    }
}

/// Where the outcome hangs on a doubtful character.
pub(super) fn doubt(page: &mut Page, verdict: &VerdictDto) {
    if verdict.decided_by.is_empty() {
        return;
    }
    page.heading(&message!("terminal-hangs-on"));
    for deciding in &verdict.decided_by {
        page.bullet(&message!(
            "terminal-deciding",
            line = deciding.line + 1,
            first = deciding.start + 1,
            last = deciding.end,
            text = &deciding.text
        ));
        for reading in &deciding.readings {
            page.row(
                &message!("terminal-quoted", text = &reading.text),
                &message!(
                    "terminal-reading",
                    outcome = word(reading.outcome),
                    probability = reading.probability.get()
                ),
            );
        }
    }
}

fn word(outcome: OutcomeDto) -> Message {
    match outcome {
        OutcomeDto::Unsuitable => message!("outcome-unsuitable"),
        OutcomeDto::Undecided => message!("outcome-undecided"),
        OutcomeDto::Conditional => message!("outcome-conditional"),
        OutcomeDto::Suitable => message!("outcome-suitable"),
    }
}

/// What only a person at the plate or with the certificate can settle.
pub(super) fn by_hand(page: &mut Page, answer: &Answer) {
    let mut points: Vec<Message> = answer
        .review
        .reasons
        .iter()
        .map(Message::verbatim)
        .collect();
    // With a place, the grounds say what to do about each certificate.
    let unjudged = answer.plate.certificates.iter();
    for certificate in unjudged.filter(|_| answer.verdict.is_none()) {
        let number = format!("{} {}", certificate.number, certificate.suffix);
        if certificate.suffix.contains('X') {
            points.push(message!("terminal-read-conditions", number = &number));
        }
        if certificate.suffix.contains('U') {
            points.push(message!("terminal-read-component", number = &number));
        }
    }
    for warning in &answer.plate.warnings {
        points.push(message!("terminal-warning", warning = warning));
    }
    if points.is_empty() {
        return;
    }
    page.heading(&message!("terminal-by-hand"));
    for point in points {
        page.bullet(&point);
    }
}
