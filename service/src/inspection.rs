//! Inspections by IEC 60079-17: what is looked at, what the plate answers, what follows.
//!
//! The items are made from `service/data/inspection_items.csv`, in words of our own. Where a
//! plate and its verdict answer an item, [`prefill`] says so with the ground; everything else
//! is left to the inspector, and no item counts as passed that nobody answered.

mod draft;
mod finding;
mod items;
mod prefill;
mod words;

pub use draft::{InspectionError, MAX_MONTHS, Occasion, answer, counts, draft, stand};
pub use finding::{due, meaning, proposed_findings};
pub use items::{ITEMS, InspectionItem, Section, Subject, Table, item, items_for, tables_for};
pub use prefill::{PlateFacts, PlateGround, prefill};
pub use words::{grade_words, kind_words};
