//! One marking taken apart in plain words.

use super::page::Page;
use crate::answer::MarkingDto;
use vetplate_parser::{Joint, Message, field_name, message, repair_name};

/// Values less probable than this are left to the JSON: they only hide the others.
const WORTH_SAYING: f64 = 0.01;

/// The marking, every piece of it, and what it serves.
pub(super) fn taken_apart(page: &mut Page, marking: &MarkingDto, index: usize, count: usize) {
    page.heading(&if count == 1 {
        message!("terminal-marking", marking = &marking.text)
    } else {
        message!(
            "terminal-marking-of",
            number = index + 1,
            count = count,
            marking = &marking.text
        )
    });
    if let Some(raw) = &marking.read_as {
        page.row(&message!("label-read-as"), raw);
    }
    for repair in &marking.repairs {
        page.row(
            &message!("label-repaired"),
            &message!(
                "terminal-repaired",
                from = &repair.from,
                to = &repair.to,
                repair = repair_name(repair.repair)
            ),
        );
    }
    if let Some(canonical) = marking.canonical.as_ref().filter(|c| **c != marking.text) {
        page.row(&message!("label-today"), canonical);
    }
    for piece in &marking.pieces {
        page.row(&piece.text, &piece.meaning);
    }
    if !marking.zones.is_empty() {
        page.row(&message!("label-serves"), &zones(&marking.zones));
    }
    if marking.confidence.get() < 1.0 {
        let confidence = page.number(marking.confidence.get());
        page.row(&message!("label-confidence"), &confidence);
    }
    for (field, doubt) in &marking.fields {
        let also: Vec<Message> = doubt
            .also
            .iter()
            .filter(|a| a.probability.get() >= WORTH_SAYING)
            .map(|a| {
                message!(
                    "terminal-alternative",
                    value = &a.value,
                    probability = a.probability.get()
                )
            })
            .collect();
        if also.is_empty() {
            continue;
        }
        page.row(
            &message!("label-doubt"),
            &message!(
                "terminal-doubt",
                field = field_name(field),
                confidence = doubt.confidence.get(),
                also = Message::list(also, Joint::Comma)
            ),
        );
    }
}

fn zones(zones: &[String]) -> Message {
    let numbered = zones
        .iter()
        .all(|zone| zone.chars().all(|c| c.is_ascii_digit()));
    let names = zones.iter().map(Message::verbatim);
    match (numbered, zones.len()) {
        (true, 1) => message!("terminal-zone", zone = &zones[0]),
        (true, _) => message!("terminal-zones", zones = Message::list(names, Joint::Comma)),
        (false, _) => Message::list(names, Joint::Semicolon),
    }
}
