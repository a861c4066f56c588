//! An inspection (IEC 60079-17): who looked at what, how closely, and what was found.

use super::{InspectionId, PlateId};
use jiff::{Timestamp, civil::Date};
use serde::{Deserialize, Serialize};

/// How closely (IEC 60079-17, terms and definitions; memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// Seen without tools or access equipment.
    Visual,
    /// With access equipment and tools, closed.
    Close,
    /// Opened, with tools and test equipment.
    Detailed,
}

/// On what occasion (IEC 60079-17, terms and definitions; memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InspectionKind {
    /// Before it is brought into service.
    Initial,
    /// In a routine.
    Periodic,
    /// A share of the equipment.
    Sample,
    /// After a repair or overhaul.
    AfterRepair,
}

/// What an item gave.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ItemResult {
    /// In order.
    Pass,
    /// Not in order.
    Fail,
    /// Does not apply to this equipment.
    NotApplicable,
    /// Not looked at.
    NotChecked,
}

/// One item of the inspection tables.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Item {
    /// Stable name of the item.
    pub item: String,
    /// What it gave.
    pub result: ItemResult,
    /// What the inspector noted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The ground from which the plate answered it; none where a person did.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ground: Option<String>,
}

/// Something to put right.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Finding {
    /// What is wrong.
    pub text: String,
    /// 1 is the most urgent.
    pub priority: u8,
    /// By when.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due: Option<Date>,
}

/// An inspection that is to be recorded.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewInspection {
    /// How closely.
    pub grade: Grade,
    /// On what occasion.
    pub kind: InspectionKind,
    /// When.
    pub date: Date,
    /// Who looked.
    pub inspector: String,
    /// What shows that they are competent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub competence: Option<String>,
    /// The items.
    #[serde(default)]
    pub items: Vec<Item>,
    /// What is to be put right.
    #[serde(default)]
    pub findings: Vec<Finding>,
    /// When to inspect again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<Date>,
    /// The record that this one corrects; both stay.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces: Option<InspectionId>,
}

/// An inspection as the register holds it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct InspectionRecord {
    /// Its row.
    pub id: InspectionId,
    /// The plate.
    pub plate: PlateId,
    /// When it was recorded.
    pub at: Timestamp,
    /// Who recorded it.
    pub who: String,
    /// What was recorded.
    #[serde(flatten)]
    pub inspection: NewInspection,
}
