//! The trait, call by call.

use super::super::{
    Event, Hold, InspectionRecord, LocationFacts, LocationRecord, NewInspection, NewReading,
    NewSettlement, PhotoId, PhotoRecord, PlateId, PlatePage, PlateQuery, PlateRecord, ReadingId,
    ReadingRecord, SettlementRecord, Store, StoreError, Subject, Tally, VerdictRecord,
};
use super::SqliteRegister;
use jiff::Timestamp;
use serde_json::Value;
use std::sync::Arc;
use vetplate_parser::certificates::CertificateList;

impl Store for SqliteRegister {
    fn put_location(&self, facts: &LocationFacts, who: &str) -> Result<LocationRecord, StoreError> {
        self.put_location_row(facts, who)
    }

    fn location(&self, tag: &str) -> Result<Option<LocationRecord>, StoreError> {
        self.location_row(tag)
    }

    fn certificates(&self) -> Result<Option<Arc<CertificateList>>, StoreError> {
        self.held_certificates()
    }

    fn locations(&self) -> Result<Vec<LocationRecord>, StoreError> {
        self.location_rows()
    }

    fn plates(&self, query: &PlateQuery) -> Result<PlatePage, StoreError> {
        self.plate_page(query)
    }

    fn plate(&self, id: PlateId) -> Result<Option<PlateRecord>, StoreError> {
        self.plate_record(id)
    }

    fn tallies(&self) -> Result<Vec<Tally>, StoreError> {
        self.tally_rows()
    }

    fn readings(&self, plate: PlateId) -> Result<Vec<ReadingRecord>, StoreError> {
        self.reading_rows(plate)
    }

    fn readings_of_photo(&self, photo: PhotoId) -> Result<Vec<ReadingRecord>, StoreError> {
        self.counting_rows(photo)
    }

    fn verdicts(&self, plate: PlateId) -> Result<Vec<VerdictRecord>, StoreError> {
        self.verdict_rows(plate)
    }

    fn settlements(&self, plate: PlateId) -> Result<Vec<SettlementRecord>, StoreError> {
        self.settlement_rows(plate)
    }

    fn history(&self, of: Subject) -> Result<Vec<Event>, StoreError> {
        self.event_rows(of)
    }

    fn photos(&self, after: Option<PhotoId>, limit: usize) -> Result<Vec<PhotoRecord>, StoreError> {
        self.photo_rows(after, limit)
    }

    fn keep_settlement(
        &self,
        plate: PlateId,
        version: i64,
        settlement: &NewSettlement,
        answer: &Value,
        who: &str,
    ) -> Result<PlateRecord, StoreError> {
        self.settle_row(plate, version, settlement, answer, who)
    }

    fn judge_settled(
        &self,
        plate: PlateId,
        version: i64,
        answer: &Value,
        cause: &str,
        who: &str,
    ) -> Result<PlateRecord, StoreError> {
        self.judge_settled_row(plate, version, answer, cause, who)
    }

    fn put_back(
        &self,
        plate: PlateId,
        version: i64,
        reason: &str,
        who: &str,
    ) -> Result<PlateRecord, StoreError> {
        self.put_back_row(plate, version, reason, who)
    }

    fn hold(&self, plate: PlateId, seconds: u32, who: &str) -> Result<Hold, StoreError> {
        self.hold_row(plate, seconds, who)
    }

    fn let_go(&self, plate: PlateId, who: &str) -> Result<(), StoreError> {
        self.let_go_row(plate, who)
    }

    fn describe(
        &self,
        plate: PlateId,
        version: i64,
        tag: Option<&str>,
        location: Option<&str>,
        who: &str,
    ) -> Result<PlateRecord, StoreError> {
        self.describe_row(plate, version, tag, location, who)
    }

    fn replace_reading(
        &self,
        photo: PhotoId,
        instead_of: ReadingId,
        reading: &NewReading,
        cause: &str,
        who: &str,
    ) -> Result<PlateId, StoreError> {
        self.replace_reading_row(photo, instead_of, reading, cause, who)
    }

    fn add_further(
        &self,
        photo: PhotoId,
        readings: &[NewReading],
        cause: &str,
        who: &str,
    ) -> Result<Vec<PlateId>, StoreError> {
        self.add_further_row(photo, readings, cause, who)
    }

    fn inspect(
        &self,
        plate: PlateId,
        inspection: &NewInspection,
        who: &str,
    ) -> Result<InspectionRecord, StoreError> {
        self.inspect_row(plate, inspection, who)
    }

    fn prove(&self) -> Result<Option<Timestamp>, StoreError> {
        self.prove_row()
    }

    fn inspections(&self, plate: PlateId) -> Result<Vec<InspectionRecord>, StoreError> {
        self.inspection_rows(plate)
    }
}
