//! A person's word on a plate: confirmed, corrected or illegible. It re-runs the verdict.

use super::{Evidence, KEPT_IN, PlateId, PlateRecord, SettlementId, Store, StoreError};
use crate::pipeline::{GivenPlace, read_text};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// What a person said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SettlementKind {
    /// The lines are as they were read.
    Confirmed,
    /// The lines are others.
    Corrected,
    /// Nobody can read it.
    Illegible,
}

impl SettlementKind {
    /// The stable name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Confirmed => "confirmed",
            Self::Corrected => "corrected",
            Self::Illegible => "illegible",
        }
    }

    /// The kind that has this name.
    pub fn from_name(name: &str) -> Option<Self> {
        [Self::Confirmed, Self::Corrected, Self::Illegible]
            .into_iter()
            .find(|kind| kind.name() == name)
    }
}

/// A settlement that is to be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewSettlement {
    /// What the person said.
    pub kind: SettlementKind,
    /// The lines of the plate as the person has them; empty where it is illegible.
    pub lines: Vec<String>,
    /// What they noted.
    pub note: Option<String>,
}

/// A settlement as the register holds it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SettlementRecord {
    /// Its row.
    pub id: SettlementId,
    /// The plate.
    pub plate: PlateId,
    /// When.
    pub at: Timestamp,
    /// Who.
    pub who: String,
    /// What they said.
    pub kind: SettlementKind,
    /// The lines as they have them.
    pub lines: Vec<String>,
    /// What they noted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Settles a plate and re-runs its verdict for the place of its location.
///
/// Where `settlement` confirms, its lines are taken from the answer that the person saw; where
/// it declares the plate illegible, there is no line and the verdict is undecided.
///
/// `version` is the plate's version that the person saw.
///
/// # Errors
///
/// [`StoreError::Conflict`] where someone changed the plate since, [`StoreError::Held`] where
/// someone else is deciding on it, [`StoreError::NotFound`] for an unknown plate.
pub fn settle(
    store: &dyn Store,
    plate: PlateId,
    version: i64,
    settlement: NewSettlement,
    who: &str,
) -> Result<PlateRecord, StoreError> {
    let record = store.plate(plate)?.ok_or_else(|| StoreError::NotFound {
        what: "plate",
        id: plate.to_string(),
    })?;
    let lines = match settlement.kind {
        SettlementKind::Confirmed => shown_lines(&record.answer),
        SettlementKind::Corrected => settlement.lines,
        SettlementKind::Illegible => Vec::new(),
    };
    let given = place_of(store, record.row.location.as_deref())?;
    let answer = settled_answer(
        settlement.kind,
        &lines,
        record.answer.get("photo"),
        given.as_ref(),
    )?;
    let settlement = NewSettlement {
        lines,
        ..settlement
    };
    store.keep_settlement(plate, version, &settlement, &answer, who)
}

/// The answer to the lines that a person has settled.
pub(super) fn settled_answer(
    kind: SettlementKind,
    lines: &[String],
    photo: Option<&Value>,
    place: Option<&GivenPlace>,
) -> Result<Value, StoreError> {
    let mut answer = read_text(lines, place, KEPT_IN);
    if kind == SettlementKind::Illegible {
        answer.review.reasons = vec!["a person found the plate illegible".to_owned()];
    }
    let mut value = serde_json::to_value(answer).map_err(|e| StoreError::Damaged(e.to_string()))?;
    if let (Value::Object(map), Some(photo)) = (&mut value, photo) {
        map.insert("photo".to_owned(), photo.clone());
    }
    Ok(value)
}

/// The lines of an answer.
pub(super) fn shown_lines(answer: &Value) -> Vec<String> {
    answer
        .get("lines")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(|line| line.get("text")?.as_str())
        .map(ToOwned::to_owned)
        .collect()
}

/// The place of a location, to be held against the certificates of the register; none where it has
/// none or there is no location.
///
/// # Errors
///
/// [`StoreError::Damaged`] where the kept place cannot be used.
pub(crate) fn place_of(
    store: &dyn Store,
    tag: Option<&str>,
) -> Result<Option<GivenPlace>, StoreError> {
    let Some(tag) = tag else {
        return Ok(None);
    };
    let Some(location) = store.location(tag)? else {
        return Ok(None);
    };
    let place = GivenPlace::check(location.facts.place).map_err(|errors| {
        let texts: Vec<String> = errors.into_iter().map(|e| e.message).collect();
        StoreError::Damaged(format!("the place of {tag}: {}", texts.join("; ")))
    })?;
    match place {
        None => Ok(None),
        Some(place) => Ok(Some(place.with_certificates(store.certificates()?))),
    }
}

/// The answer that this program makes of kept evidence for a place.
///
/// # Errors
///
/// [`StoreError::Damaged`] where the bytes are no evidence.
pub(crate) fn unpacked(evidence: &[u8]) -> Result<Evidence, StoreError> {
    Evidence::unpack(evidence).map_err(|e| StoreError::Damaged(format!("evidence: {e}")))
}
