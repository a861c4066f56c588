//! A plate: one piece of equipment over time.

use super::{PhotoId, PhotoRecord, PlateId, ReadingId, SettlementRecord};
use crate::answer::OutcomeDto;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// Where the review of a plate stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ReviewState {
    /// Nobody needs to look.
    NotNeeded,
    /// A person must look.
    Waiting,
    /// Someone looked and put it back with a reason.
    PutBack,
    /// A person settled it.
    Settled,
}

impl ReviewState {
    /// Every state.
    pub const ALL: [Self; 4] = [Self::NotNeeded, Self::Waiting, Self::PutBack, Self::Settled];

    /// The stable name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::NotNeeded => "not_needed",
            Self::Waiting => "waiting",
            Self::PutBack => "put_back",
            Self::Settled => "settled",
        }
    }

    /// The state for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NotNeeded => "in no need of review",
            Self::Waiting => "waiting for review",
            Self::PutBack => "put back for another review",
            Self::Settled => "settled",
        }
    }

    /// The state that has this name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.name() == name)
    }
}

/// A value of the plate and the photo that shows it best.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FieldSource {
    /// The value.
    pub value: String,
    /// Probability that every character of it is right.
    pub confidence: f64,
    /// The photo that it was read on.
    pub photo: PhotoId,
    /// The reading that it comes from.
    pub reading: ReadingId,
}

/// What a list shows of a plate.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PlateRow {
    /// Its number.
    #[schema(value_type = i64)]
    pub id: PlateId,
    /// Rises with every change; it is also the `ETag`.
    pub version: i64,
    /// Tag of the equipment, where a list or a person gave one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tag: Option<String>,
    /// Tag of its location.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub location: Option<String>,
    /// Maker.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub maker: Option<String>,
    /// Type or model.
    #[serde(rename = "type", skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    /// Serial number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub serial: Option<String>,
    /// Year of manufacture.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub year: Option<i32>,
    /// First certificate with its suffix.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub certificate: Option<String>,
    /// The markings, `; ` between them; empty where none was read.
    pub marking: String,
    /// The verdict; left out where no place is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outcome: Option<OutcomeDto>,
    /// `not_needed`, `waiting`, `put_back` or `settled`.
    #[schema(value_type = String)]
    pub review: ReviewState,
    /// How urgent the review is; 0 where none is needed.
    pub urgency: i64,
    /// How many photos show it.
    pub photos: u32,
    /// When the register first heard of it.
    #[schema(value_type = String, format = DateTime)]
    pub created_at: Timestamp,
    /// Last change.
    #[schema(value_type = String, format = DateTime)]
    pub changed_at: Timestamp,
}

/// Who is deciding on a plate right now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Hold {
    /// Who.
    pub who: String,
    /// Until when.
    pub until: Timestamp,
}

/// A plate with all that is known now.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlateRecord {
    /// What a list shows.
    #[serde(flatten)]
    pub row: PlateRow,
    /// The answer that counts (schema 1): of the settlement, or of the best reading.
    pub answer: Value,
    /// The reading that the answer comes from; none once a person settled it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reading: Option<ReadingId>,
    /// The best reading of each field over all photos, with its source.
    pub fields: BTreeMap<String, FieldSource>,
    /// Where the photos of this plate contradict each other, a sentence each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub differences: Vec<String>,
    /// Why someone put it back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub put_back: Option<String>,
    /// Who is deciding on it right now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hold: Option<Hold>,
    /// The settlement that counts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub settlement: Option<SettlementRecord>,
    /// Its photos, first one first.
    pub photos: Vec<PhotoRecord>,
    /// Other plates that are on its photos.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub beside: Vec<PlateId>,
}
