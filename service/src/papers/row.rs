//! A plate as a row of a table.

use super::{last_inspection, waits};
use crate::export::Row;
use crate::facts::Facts;
use crate::inspection::{grade_words, kind_words};
use crate::register::{InspectionRecord, LocationRecord, PlateRecord, ReviewState};

/// The row of a plate, with its location and its inspections.
pub fn row(
    record: &PlateRecord,
    location: Option<&LocationRecord>,
    inspections: &[InspectionRecord],
) -> Row {
    let facts = Facts::new(&record.answer);
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let place = location.map(|l| &l.facts.place);
    let worst = facts.grounds().next();
    let ambient = facts.ambient_c();
    let settlement = record.settlement.as_ref();
    let last = last_inspection(inspections).map(|record| &record.inspection);
    let photo = crate::handlers::best_photo(record);
    Row {
        plate: record.row.id.0,
        tag: text(&record.row.tag),
        location: text(&record.row.location),
        location_name: location
            .and_then(|l| l.facts.description.clone())
            .unwrap_or_default(),
        zone: place.and_then(|p| p.zone.clone()).unwrap_or_default(),
        gas: place.map(|p| p.gas.join("; ")).unwrap_or_default(),
        dust: place.map(|p| p.dust.join("; ")).unwrap_or_default(),
        maker: text(&record.row.maker),
        kind: text(&record.row.kind),
        serial: text(&record.row.serial),
        year: record.row.year,
        marking: facts.of_markings("text").join("; "),
        canonical: facts.of_markings("canonical").join("; "),
        group: facts.of_markings("group").join("; "),
        temperature: facts.temperatures().join("; "),
        epl: facts.levels().join("; "),
        certificate: facts.certificates().join("; "),
        suffix: facts.suffixes(),
        notified_body: facts.text("notified_body").to_owned(),
        ambient_low_c: ambient.map(|a| a[0]),
        ambient_high_c: ambient.map(|a| a[1]),
        ip: facts.text("ip").to_owned(),
        ratings: facts.texts("ratings").join("; "),
        outcome: facts.outcome().to_owned(),
        outcome_probability: facts.probability(),
        reason: worst.map(|(g, _)| g.detail.to_owned()).unwrap_or_default(),
        clause: worst.map(|(g, _)| g.source.to_owned()).unwrap_or_default(),
        next_step: worst.map(|(_, next)| next.to_owned()).unwrap_or_default(),
        review: match record.row.review {
            ReviewState::NotNeeded => "not needed",
            ReviewState::Waiting => "waiting",
            ReviewState::PutBack => "put back",
            ReviewState::Settled => "settled",
        }
        .to_owned(),
        review_reason: if waits(record) {
            facts.review_reasons().join("; ")
        } else {
            String::new()
        },
        settled_by: settlement.map(|s| s.who.clone()).unwrap_or_default(),
        settled_at: settlement
            .map(|s| day(&s.at.to_string()))
            .unwrap_or_default(),
        confidence: facts.confidence(),
        inspected_on: last.map(|i| i.date.to_string()).unwrap_or_default(),
        inspection_grade: last
            .map(|i| grade_words(i.grade).to_owned())
            .unwrap_or_default(),
        inspection_kind: last
            .map(|i| kind_words(i.kind).to_owned())
            .unwrap_or_default(),
        inspector: last.map(|i| i.inspector.clone()).unwrap_or_default(),
        open_findings: last.map(|i| i.findings.len() as i64),
        worst_priority: last.and_then(|i| i.findings.iter().map(|f| i64::from(f.priority)).min()),
        next_inspection: last
            .and_then(|i| i.next)
            .map(|d| d.to_string())
            .unwrap_or_default(),
        taken_at: photo.and_then(|p| p.taken_at.clone()).unwrap_or_default(),
        photo_sha256: photo.map(|p| p.sha256.clone()).unwrap_or_default(),
        version: facts.version().to_owned(),
    }
}

/// The day of a moment.
fn day(moment: &str) -> String {
    moment.get(..10).unwrap_or(moment).to_owned()
}
