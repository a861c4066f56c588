//! Inspections of a plate as JSON.

use crate::inspection::{Section, item};
use crate::register::{Finding, InspectionRecord, Item, ItemResult, NewInspection};
use serde::Serialize;
use utoipa::ToSchema;

/// What was recorded of a plate, and what an inspection of now would begin with.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Inspections)]
pub struct InspectionsDto {
    /// Every inspection, oldest first.
    #[schema(value_type = Vec<Object>)]
    pub inspections: Vec<InspectionRecord>,
    /// Where a grade is asked for: its items, with what the plate answers filled in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub draft: Option<DraftDto>,
}

/// An inspection before anybody has looked.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = InspectionDraft)]
pub struct DraftDto {
    /// Items for the types of protection of the plate.
    pub items: Vec<DraftItemDto>,
    /// Findings that follow from the verdict: `text`, `priority` (1 is the most urgent), `due`.
    #[schema(value_type = Vec<Object>)]
    pub findings: Vec<Finding>,
    /// When the next inspection is due.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub next: Option<jiff::civil::Date>,
}

/// One item.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = InspectionItem)]
pub struct DraftItemDto {
    /// Stable name of the item.
    pub item: String,
    /// `equipment`, `installation` or `environment`.
    pub section: &'static str,
    /// What must be so.
    pub text: &'static str,
    /// When it does not concern every equipment.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub note: &'static str,
    /// Standard, clause and how it is known.
    pub source: String,
    /// `pass`, `fail`, `not_applicable` or `not_checked`; only what the plate answers for sure
    /// is anything but `not_checked`.
    #[schema(value_type = String)]
    pub result: ItemResult,
    /// What the plate says about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ground: Option<String>,
}

impl DraftDto {
    /// What an inspector sees before anything was looked at.
    pub(crate) fn new(draft: NewInspection) -> Self {
        Self {
            items: draft.items.into_iter().filter_map(shown).collect(),
            findings: draft.findings,
            next: draft.next,
        }
    }
}

fn shown(recorded: Item) -> Option<DraftItemDto> {
    let known = item(&recorded.item)?;
    Some(DraftItemDto {
        section: match known.section {
            Section::Equipment => "equipment",
            Section::Installation => "installation",
            Section::Environment => "environment",
        },
        text: known.text,
        note: known.note,
        source: known.source(),
        item: recorded.item,
        result: recorded.result,
        ground: recorded.ground,
    })
}
