//! From the register to tables, reports and inspections.

mod row;
mod sheets;
mod site_report;
mod table;

pub use row::row;
pub use site_report::{PaperError, ReportOptions, site_report};
pub use table::{Format, export};

use crate::facts::Facts;
use crate::inspection::{
    InspectionError, Occasion, answer, draft, due, prefill, proposed_findings, stand,
};
use crate::register::{
    Finding, InspectionId, InspectionRecord, Item, LocationRecord, NewInspection, PlateQuery,
    PlateRecord, ReviewState, Store, StoreError,
};
use jiff::civil::Date;
use std::collections::HashMap;

/// An inspection of `record` in which everything is answered that the plate can answer.
///
/// # Errors
///
/// [`InspectionError`] where nobody stands for it or the interval is too long.
pub fn prefilled(
    record: &PlateRecord,
    occasion: &Occasion<'_>,
) -> Result<NewInspection, InspectionError> {
    let facts = Facts::new(&record.answer);
    let mut inspection = draft(occasion, &facts.tables())?;
    let identity = facts.identity();
    let conditional: Vec<String> = facts
        .certificates()
        .into_iter()
        .filter(|c| c.ends_with('X'))
        .collect();
    let plate = facts.for_inspection(waits(record), &identity, &conditional);
    prefill(&mut inspection, &plate);
    inspection.findings = proposed_findings(&plate.grounds, occasion.date, inspection.next);
    Ok(inspection)
}

/// What an inspector answers.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Answers {
    /// Items with their results and notes.
    pub items: Vec<Item>,
    /// Priority, text, and by when; none to keep what the verdict proposes.
    pub findings: Option<Vec<(u8, String, Option<Date>)>>,
    /// The record that this one corrects.
    pub replaces: Option<InspectionId>,
}

/// An inspection of `record` as an inspector answers it, beside what the plate answers.
///
/// # Errors
///
/// [`InspectionError`] where it cannot be recorded like that.
pub fn inspection_of(
    record: &PlateRecord,
    occasion: &Occasion<'_>,
    answers: Answers,
) -> Result<NewInspection, InspectionError> {
    let mut inspection = prefilled(record, occasion)?;
    for one in &answers.items {
        answer(&mut inspection, &one.item, one.result, one.note.as_deref())?;
    }
    if let Some(findings) = answers.findings {
        inspection.findings = findings
            .into_iter()
            .map(|(priority, text, until)| Finding {
                text: text.trim().to_owned(),
                priority,
                due: until.or_else(|| due(priority, occasion.date, inspection.next)),
            })
            .collect();
    }
    inspection.replaces = answers.replaces;
    stand(&inspection)?;
    Ok(inspection)
}

/// True while a person must look at the plate and nobody has.
pub fn waits(record: &PlateRecord) -> bool {
    matches!(
        record.row.review,
        ReviewState::Waiting | ReviewState::PutBack
    )
}

/// The inspection that counts: the last by date that no other one replaces.
pub fn last_inspection(inspections: &[InspectionRecord]) -> Option<&InspectionRecord> {
    inspections
        .iter()
        .filter(|one| {
            inspections
                .iter()
                .all(|other| other.inspection.replaces != Some(one.id))
        })
        .max_by_key(|one| (one.inspection.date, one.id))
}

/// Every location by its tag in small letters, since upper and lower case are the same.
fn locations(store: &dyn Store) -> Result<HashMap<String, LocationRecord>, StoreError> {
    let locations = store.locations()?.into_iter();
    Ok(locations
        .map(|location| (location.facts.tag.to_lowercase(), location))
        .collect())
}

/// Plates that are looked up at a time.
const PAGE: usize = 100;

/// Calls `visit` with every plate that the query finds, page by page.
fn each(
    store: &dyn Store,
    mut query: PlateQuery,
    visit: &mut dyn FnMut(&PlateRecord) -> Result<(), PaperError>,
) -> Result<(), PaperError> {
    query.limit = PAGE;
    loop {
        let page = store.plates(&query)?;
        for row in &page.plates {
            if let Some(record) = store.plate(row.id)? {
                visit(&record)?;
            }
        }
        match page.next {
            Some(next) => query.after = Some(next),
            None => return Ok(()),
        }
    }
}
