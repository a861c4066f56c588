//! A plate that waits for a person.

use super::page::Page;
use crate::answer::ReviewEntryDto;

/// What a person needs to decide.
pub(super) fn entry(page: &mut Page, entry: &ReviewEntryDto) {
    let outcome = entry
        .row
        .outcome
        .map_or("not judged", |outcome| outcome.name());
    page.heading(&format!(
        "Plate {}, version {}, urgency {}: {outcome}, {}",
        entry.row.id,
        entry.row.version,
        entry.row.urgency,
        entry.row.location.as_deref().unwrap_or("no location")
    ));
    for reason in &entry.reasons {
        page.bullet(reason);
    }
    for text in entry.competing.iter().chain(&entry.alternatives) {
        page.bullet(text);
    }
    if let Some(why) = &entry.put_back {
        page.bullet(&format!("put back: {why}"));
    }
    for line in &entry.lines {
        page.row(&line.confidence.to_string(), &line.text);
    }
    if let Some(crop) = &entry.crop {
        page.row("crop", crop);
    }
}
