//! One marking taken apart in plain words.

use super::page::Page;
use crate::answer::MarkingDto;

/// Values less probable than this are left to the JSON: they only hide the others.
const WORTH_SAYING: f64 = 0.01;

/// The marking, every piece of it, and what it serves.
pub(super) fn taken_apart(page: &mut Page, marking: &MarkingDto, index: usize, count: usize) {
    if count == 1 {
        page.heading(&format!("Marking  {}", marking.text));
    } else {
        page.heading(&format!(
            "Marking {} of {count}  {}",
            index + 1,
            marking.text
        ));
    }
    if let Some(raw) = &marking.read_as {
        page.row("read as", raw);
    }
    for repair in &marking.repairs {
        page.row(
            "repaired",
            &format!(
                "\"{}\" to \"{}\": {}",
                repair.from, repair.to, repair.repair
            ),
        );
    }
    if let Some(canonical) = marking.canonical.as_ref().filter(|c| **c != marking.text) {
        page.row("today", canonical);
    }
    for piece in &marking.pieces {
        page.row(&piece.text, &piece.meaning);
    }
    if let Some(note) = &marking.gas_note {
        page.row("gas", note);
    }
    if !marking.zones.is_empty() {
        page.row("serves", &zones(&marking.zones));
    }
    if marking.confidence.get() < 1.0 {
        page.row("confidence", &marking.confidence.get().to_string());
    }
    for (field, doubt) in &marking.fields {
        let also: Vec<_> = doubt
            .also
            .iter()
            .filter(|a| a.probability.get() >= WORTH_SAYING)
            .collect();
        if also.is_empty() {
            continue;
        }
        let also = also
            .iter()
            .map(|a| format!("{} ({})", a.value, a.probability.get()))
            .collect::<Vec<_>>()
            .join(", ");
        page.row(
            "doubt",
            &format!("{field} {}; may also be {also}", doubt.confidence.get()),
        );
    }
}

fn zones(zones: &[String]) -> String {
    let numbered = zones
        .iter()
        .all(|zone| zone.chars().all(|c| c.is_ascii_digit()));
    match (numbered, zones) {
        (true, [one]) => format!("zone {one}"),
        (true, several) => format!("zones {}", several.join(", ")),
        (false, several) => several.join("; "),
    }
}
