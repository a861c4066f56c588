//! Plates of the register as JSON.

use super::DecidingDto;
use crate::facts::Facts;
use crate::register::{
    Cursor, Event, Hold, InspectionRecord, LocationRecord, PhotoRecord, PlateId, PlatePage,
    PlateRecord, PlateRow, SettlementRecord, VerdictRecord,
};
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use super::PlaceDto;

/// One page of plates.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = PlatePage)]
pub struct PlatePageDto {
    /// The plates.
    pub plates: Vec<PlateRow>,
    /// What to give as `cursor` for the next page; left out on the last one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<String>,
}

impl From<&PlatePage> for PlatePageDto {
    fn from(page: &PlatePage) -> Self {
        Self {
            plates: page.plates.clone(),
            next: page.next.map(cursor_text),
        }
    }
}

/// A cursor as clients hand it back.
pub(crate) fn cursor_text(cursor: Cursor) -> String {
    format!("{}.{}", cursor.urgency, cursor.id)
}

/// The cursor that a client hands back; none where the text is none of ours.
pub(crate) fn cursor_from(text: &str) -> Option<Cursor> {
    let (urgency, id) = text.split_once('.')?;
    Some(Cursor {
        urgency: urgency.parse().ok()?,
        id: PlateId(id.parse().ok()?),
    })
}

/// A plate with all that is known.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Plate)]
pub struct PlateDetailDto {
    /// What a list shows.
    #[serde(flatten)]
    #[schema(inline)]
    pub row: PlateRow,
    /// The answer that counts: a `Reading`, schema 1.
    #[schema(value_type = Object)]
    pub answer: Value,
    /// Where the photos of this plate contradict each other, a sentence each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub differences: Vec<String>,
    /// Why someone put it back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub put_back: Option<String>,
    /// Who is deciding on it right now: `who` and `until`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<Object>)]
    pub hold: Option<Hold>,
    /// The settlement that counts.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<Object>)]
    pub settlement: Option<SettlementRecord>,
    /// Its photos, first one first. `sha256` names each.
    #[serde(rename = "photo_list")]
    #[schema(value_type = Vec<Object>)]
    pub photo_list: Vec<PhotoRecord>,
    /// Numbers of other plates that are on its photos.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(value_type = Vec<i64>)]
    pub beside: Vec<PlateId>,
    /// Every verdict, oldest first.
    #[schema(value_type = Vec<Object>)]
    pub verdicts: Vec<VerdictRecord>,
    /// Every settlement, oldest first.
    #[schema(value_type = Vec<Object>)]
    pub settlements: Vec<SettlementRecord>,
    /// Every inspection, oldest first.
    #[schema(value_type = Vec<Object>)]
    pub inspections: Vec<InspectionRecord>,
    /// Who did what and when, what stood there before and after, oldest first.
    #[schema(value_type = Vec<Object>)]
    pub history: Vec<Event>,
}

/// What became of a photo that was sent.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Upload)]
pub struct UploadDto {
    /// `taken`, or `already_held` where the register has the same bytes.
    pub outcome: &'static str,
    /// Of a photo that was taken: `new` for a plate that the register did not hold,
    /// `by_identity` (serial number and certificate) or `by_look` for one more of a plate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joined: Option<&'static str>,
    /// The plate as it is now.
    pub plate: PlateRow,
    /// The answer that counts for the plate: a `Reading`, schema 1.
    #[schema(value_type = Object)]
    pub answer: Value,
    /// Numbers of other plates that are on the plate's photos: each is a piece of equipment of its
    /// own.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(value_type = Vec<i64>)]
    pub beside: Vec<PlateId>,
    /// Each plate that the photo shows as it is now, in the order of `plates` of its `Reading`, so
    /// that each can be settled by itself; `plate` alone where it shows one.
    pub plates: Vec<PlateRow>,
    /// What was sent and not put in the place of what was there, a sentence each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub remarks: Vec<String>,
}

/// One plate that waits for a person.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = ReviewEntry)]
pub struct ReviewEntryDto {
    /// What a list shows.
    #[serde(flatten)]
    #[schema(inline)]
    pub row: PlateRow,
    /// Why a person must look, a sentence each.
    pub reasons: Vec<String>,
    /// What the outcome hangs on: readings that compete, with their probabilities.
    pub competing: Vec<String>,
    /// The same place by place, as in the verdict of a `Reading`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(value_type = Vec<DecidingDto>)]
    pub decided_by: Vec<Value>,
    /// Critical fields that may have another value, with probabilities.
    pub alternatives: Vec<String>,
    /// The lines as read, to be confirmed or corrected.
    pub lines: Vec<ReviewLineDto>,
    /// Where the part of the photo with the marking is: a path of this service, or of a file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crop: Option<String>,
    /// Why someone put it back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub put_back: Option<String>,
    /// Who is deciding on it right now: `who` and `until`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<Object>)]
    pub hold: Option<Hold>,
}

/// One line of a plate that waits for a person.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = ReviewLine)]
pub struct ReviewLineDto {
    /// What was read.
    pub text: String,
    /// Probability that every character is right.
    pub confidence: f64,
    /// Whether a marking stands on it.
    pub marking: bool,
}

impl ReviewEntryDto {
    /// What a person needs to decide on `record`.
    pub fn new(record: &PlateRecord, crop: Option<String>) -> Self {
        let facts = Facts::new(&record.answer);
        let owned = |texts: Vec<&str>| texts.into_iter().map(ToOwned::to_owned).collect();
        let mut reasons: Vec<String> = owned(facts.review_reasons());
        reasons.extend(record.differences.iter().cloned());
        let markings = facts.marking_lines();
        Self {
            row: record.row.clone(),
            reasons,
            competing: facts.competing(),
            decided_by: facts.deciding().to_vec(),
            alternatives: facts.alternatives(),
            lines: facts
                .lines()
                .enumerate()
                .map(|(index, line)| ReviewLineDto {
                    text: line.text.to_owned(),
                    confidence: line.confidence,
                    marking: markings.contains(&index),
                })
                .collect(),
            crop,
            put_back: record.put_back.clone(),
            hold: record.hold.clone(),
        }
    }
}

/// One page of the queue, most urgent first.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = ReviewPage)]
pub struct ReviewPageDto {
    /// Plates that wait.
    pub entries: Vec<ReviewEntryDto>,
    /// How many wait in all, on this page and on others.
    pub waiting: u64,
    /// What to give as `cursor` for the next page; left out on the last one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<String>,
}

/// A location of the site.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Location)]
pub struct LocationDto {
    /// By what it is found.
    pub tag: String,
    /// What it is called.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub description: Option<String>,
    /// The place.
    pub place: PlaceDto,
    /// Rises with every change; it is also the `ETag`.
    pub version: i64,
    /// Last change.
    #[schema(format = DateTime)]
    pub changed_at: String,
}

impl From<&LocationRecord> for LocationDto {
    fn from(record: &LocationRecord) -> Self {
        Self {
            tag: record.facts.tag.clone(),
            description: record.facts.description.clone(),
            place: (&record.facts.place).into(),
            version: record.version,
            changed_at: record.changed_at.to_string(),
        }
    }
}

/// Every location, by tag.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Locations)]
pub struct LocationsDto {
    /// The locations.
    pub locations: Vec<LocationDto>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cursors_come_back_and_strangers_are_refused() {
        let cursor = Cursor {
            urgency: 5123,
            id: PlateId(-7),
        };
        assert_eq!(cursor_from(&cursor_text(cursor)), Some(cursor));
        for wrong in ["", "5", "x.1", "1.", "1.2.3"] {
            assert_eq!(cursor_from(wrong), None, "{wrong}");
        }
    }
}
