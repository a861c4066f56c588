//! The door to what the register keeps.

use super::{
    Filter, Hold, InspectionRecord, LocationFacts, LocationRecord, NewInspection, NewReading,
    NewSettlement, PhotoId, PhotoRecord, PlateId, PlatePage, PlateQuery, PlateRecord, ReadingId,
    ReadingRecord, SettlementId, SettlementRecord, StoreError, Tally, VerdictId,
};
use crate::answer::OutcomeDto;
use jiff::Timestamp;
use serde::Serialize;
use serde_json::Value;
use std::sync::Arc;
use vetplate_parser::certificates::CertificateList;

/// Whose history.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// Of a plate.
    Plate(PlateId),
    /// Of a photo.
    Photo(PhotoId),
    /// Of a location.
    Location(super::LocationId),
}

/// One line of the history. Lines are only ever added.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Event {
    /// Number of the line.
    pub id: i64,
    /// When.
    pub at: Timestamp,
    /// Who.
    pub who: String,
    /// What was done: `read`, `joined`, `settled`, `put back`, `judged again` and the like.
    pub what: String,
    /// What was there before; null where nothing was.
    pub before: Value,
    /// What is there now.
    pub after: Value,
}

/// One verdict of a plate. Verdicts are only ever added; the last one counts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VerdictRecord {
    /// Its row.
    pub id: VerdictId,
    /// The plate.
    pub plate: PlateId,
    /// When.
    pub at: Timestamp,
    /// The outcome; none where no place is known.
    pub outcome: Option<OutcomeDto>,
    /// The reading that it rests on.
    pub reading: Option<ReadingId>,
    /// The settlement that it rests on.
    pub settlement: Option<SettlementId>,
    /// Version of program, tables and rules.
    pub program: String,
    /// What made it necessary: `read`, `settled`, `reread`, `place changed`.
    pub cause: String,
}

/// A list of certificates that was given to the register. Lists are only ever added; the last one
/// counts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CertificateListRecord {
    /// Its row.
    pub id: i64,
    /// When it was given.
    pub at: Timestamp,
    /// Who gave it.
    pub who: String,
    /// Name of its file.
    pub source: String,
    /// SHA-256 of its text, hexadecimal.
    pub sha256: String,
    /// How many certificates are in it.
    pub certificates: u64,
}

/// Keeps and finds. Every call is whole or not at all, and is on disk when it returns.
///
/// `who` is the person or program that acts; it goes into the history. Times come from the
/// environment of the store.
pub trait Store: Send + Sync {
    /// Adds a location or changes it; what stays the same is no change and no history.
    ///
    /// The verdicts of its plates are not touched: judging again is a step of its own.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn put_location(&self, facts: &LocationFacts, who: &str) -> Result<LocationRecord, StoreError>;

    /// The location that has this tag.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn location(&self, tag: &str) -> Result<Option<LocationRecord>, StoreError>;

    /// The certificates that plates are held against: the last list that was given, where one was.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn certificates(&self) -> Result<Option<Arc<CertificateList>>, StoreError>;

    /// Every location, by tag.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn locations(&self) -> Result<Vec<LocationRecord>, StoreError>;

    /// One page of plates.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn plates(&self, query: &PlateQuery) -> Result<PlatePage, StoreError>;

    /// One plate with all that is known now.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn plate(&self, id: PlateId) -> Result<Option<PlateRecord>, StoreError>;

    /// Plates by verdict, review and location.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn tallies(&self) -> Result<Vec<Tally>, StoreError>;

    /// Every reading of the plate, on all its photos, oldest first.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn readings(&self, plate: PlateId) -> Result<Vec<ReadingRecord>, StoreError>;

    /// The readings that count of a photo, one for each plate on it, in the order of their parts.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn readings_of_photo(&self, photo: PhotoId) -> Result<Vec<ReadingRecord>, StoreError>;

    /// Every verdict of the plate, oldest first.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn verdicts(&self, plate: PlateId) -> Result<Vec<VerdictRecord>, StoreError>;

    /// Every settlement of the plate, oldest first.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn settlements(&self, plate: PlateId) -> Result<Vec<SettlementRecord>, StoreError>;

    /// The history, oldest first.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn history(&self, of: Subject) -> Result<Vec<Event>, StoreError>;

    /// Photos behind `after` by row, at most `limit`: whatever their state.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn photos(&self, after: Option<PhotoId>, limit: usize) -> Result<Vec<PhotoRecord>, StoreError>;

    /// Keeps a settlement and makes its answer the one that counts.
    ///
    /// `version` is the plate's version that the person saw. Use [`super::settle`], which
    /// makes the answer.
    ///
    /// # Errors
    ///
    /// [`StoreError::Conflict`] where someone changed the plate since, [`StoreError::Held`]
    /// where someone else is deciding on it.
    fn keep_settlement(
        &self,
        plate: PlateId,
        version: i64,
        settlement: &NewSettlement,
        answer: &Value,
        who: &str,
    ) -> Result<PlateRecord, StoreError>;

    /// Makes a new answer on the lines of the settlement that counts, for a place or a table
    /// that has changed. The settlement itself stays as it is.
    ///
    /// # Errors
    ///
    /// [`StoreError::WrongState`] where the plate is not settled, [`StoreError::Conflict`] as
    /// above.
    fn judge_settled(
        &self,
        plate: PlateId,
        version: i64,
        answer: &Value,
        cause: &str,
        who: &str,
    ) -> Result<PlateRecord, StoreError>;

    /// Puts a plate back into the queue with a reason; a settled one is reopened. The last
    /// reading counts again until someone settles.
    ///
    /// # Errors
    ///
    /// [`StoreError::Conflict`] as above.
    fn put_back(
        &self,
        plate: PlateId,
        version: i64,
        reason: &str,
        who: &str,
    ) -> Result<PlateRecord, StoreError>;

    /// Takes a plate in hand for `seconds`, or longer where the same person holds it already.
    /// It changes no version: deciding without holding is allowed.
    ///
    /// # Errors
    ///
    /// [`StoreError::Held`] where someone else holds it.
    fn hold(&self, plate: PlateId, seconds: u32, who: &str) -> Result<Hold, StoreError>;

    /// Lets go of a plate that `who` holds.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn let_go(&self, plate: PlateId, who: &str) -> Result<(), StoreError>;

    /// Changes the equipment's tag and the location; `None` leaves one as it is.
    ///
    /// # Errors
    ///
    /// [`StoreError::Conflict`] as above, [`StoreError::NotFound`] for an unknown location.
    fn describe(
        &self,
        plate: PlateId,
        version: i64,
        tag: Option<&str>,
        location: Option<&str>,
        who: &str,
    ) -> Result<PlateRecord, StoreError>;

    /// Replaces the reading of a photo that counts by a new one; the old one stays. A settled
    /// plate keeps its settlement.
    ///
    /// # Errors
    ///
    /// [`StoreError::NotFound`] where `instead_of` is not the reading that counts any more.
    fn replace_reading(
        &self,
        photo: PhotoId,
        instead_of: ReadingId,
        reading: &NewReading,
        cause: &str,
        who: &str,
    ) -> Result<PlateId, StoreError>;

    /// Adds the readings of plates that a photo shows beside those that are known of it, and joins
    /// each to its plate; answers the plates in the same order.
    ///
    /// # Errors
    ///
    /// [`StoreError::NotFound`] where the photo was not read yet.
    fn add_further(
        &self,
        photo: PhotoId,
        readings: &[NewReading],
        cause: &str,
        who: &str,
    ) -> Result<Vec<PlateId>, StoreError>;

    /// Records an inspection.
    ///
    /// # Errors
    ///
    /// [`StoreError::NotFound`] for an unknown plate or an unknown record to replace.
    fn inspect(
        &self,
        plate: PlateId,
        inspection: &NewInspection,
        who: &str,
    ) -> Result<InspectionRecord, StoreError>;

    /// Proves that changes can be kept, by keeping one; answers the moment that the last
    /// verified backup shows.
    ///
    /// # Errors
    ///
    /// [`StoreError`] where they cannot.
    fn prove(&self) -> Result<Option<Timestamp>, StoreError>;

    /// Every inspection of the plate, oldest first.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn inspections(&self, plate: PlateId) -> Result<Vec<InspectionRecord>, StoreError>;

    /// Calls `each` with every plate that the filter lets pass, in order of rows; memory does
    /// not grow with their number.
    ///
    /// # Errors
    ///
    /// [`StoreError`], or the error of `each`, which ends the walk.
    fn each_plate(
        &self,
        filter: &Filter,
        each: &mut dyn FnMut(PlateRecord) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let mut query = PlateQuery {
            filter: filter.clone(),
            limit: 200,
            ..PlateQuery::default()
        };
        loop {
            let page = self.plates(&query)?;
            for row in page.plates {
                if let Some(plate) = self.plate(row.id)? {
                    each(plate)?;
                }
            }
            match page.next {
                Some(next) => query.after = Some(next),
                None => return Ok(()),
            }
        }
    }
}
