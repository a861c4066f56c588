//! What is only ever added to: readings, verdicts, settlements, inspections and the history of a plate.

use super::super::{
    Event, InspectionId, InspectionRecord, NewInspection, PhotoId, PlateId, ReadingId,
    ReadingRecord, SettlementId, SettlementRecord, StoreError, Subject, VerdictId, VerdictRecord,
};
use super::SqliteRegister;
use super::plates::not_found;
use super::records::{
    READING_COLUMNS, SETTLEMENT_COLUMNS, all, json, outcome, reading_row, settlement_row, time,
};
use serde_json::Value;

impl SqliteRegister {
    pub(super) fn inspect_row(
        &self,
        plate: PlateId,
        inspection: &NewInspection,
        who: &str,
    ) -> Result<InspectionRecord, StoreError> {
        self.write(|write| {
            write
                .first("SELECT 1 FROM plates WHERE id = ?1", [plate.0], |_| Ok(()))?
                .ok_or_else(|| not_found("plate", plate))?;
            if let Some(replaced) = inspection.replaces {
                write
                    .first(
                        "SELECT 1 FROM inspections WHERE id = ?1 AND plate_id = ?2",
                        (replaced.0, plate.0),
                        |_| Ok(()),
                    )?
                    .ok_or_else(|| not_found("inspection of this plate", replaced))?;
            }
            let json =
                serde_json::to_value(inspection).map_err(|e| StoreError::Damaged(e.to_string()))?;
            let id = write.insert(
                "record an inspection",
                "INSERT INTO inspections (plate_id, at, who, date, next, replaces, record)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                (
                    plate.0,
                    write.millis(),
                    who,
                    inspection.date.to_string(),
                    inspection.next.map(|d| d.to_string()),
                    inspection.replaces.map(|i| i.0),
                    json.to_string(),
                ),
            )?;
            // Whoever has the plate in a cache hears that there is more to see.
            write.execute(
                "count a change of a plate",
                "UPDATE plates SET version = version + 1, changed_at = ?2 WHERE id = ?1",
                (plate.0, write.millis()),
            )?;
            write.event(who, ("plate", plate.0), "inspected", &Value::Null, &json)?;
            Ok(InspectionRecord {
                id: InspectionId(id),
                plate,
                at: write.at,
                who: who.to_owned(),
                inspection: inspection.clone(),
            })
        })
    }

    pub(super) fn inspection_rows(
        &self,
        plate: PlateId,
    ) -> Result<Vec<InspectionRecord>, StoreError> {
        self.read(|connection| {
            all(
                connection,
                "SELECT id, at, who, record FROM inspections WHERE plate_id = ?1 ORDER BY id",
                [plate.0],
                |row| {
                    Ok(InspectionRecord {
                        id: InspectionId(row.get(0)?),
                        plate,
                        at: time(row, 1)?,
                        who: row.get(2)?,
                        inspection: json(row, 3)?,
                    })
                },
            )
        })
    }

    pub(super) fn reading_rows(&self, plate: PlateId) -> Result<Vec<ReadingRecord>, StoreError> {
        self.read(|connection| {
            all(
                connection,
                &format!(
                    "SELECT {READING_COLUMNS} FROM shown s
                     JOIN readings r ON r.photo_id = s.photo_id AND r.part = s.part
                     WHERE s.plate_id = ?1 ORDER BY r.id"
                ),
                [plate.0],
                reading_row,
            )
        })
    }

    pub(super) fn counting_rows(&self, photo: PhotoId) -> Result<Vec<ReadingRecord>, StoreError> {
        self.read(|connection| {
            all(
                connection,
                &format!(
                    "SELECT {READING_COLUMNS} FROM shown s JOIN readings r ON r.id = s.reading_id
                     WHERE s.photo_id = ?1 ORDER BY s.part"
                ),
                [photo.0],
                reading_row,
            )
        })
    }

    pub(super) fn verdict_rows(&self, plate: PlateId) -> Result<Vec<VerdictRecord>, StoreError> {
        self.read(|connection| {
            all(
                connection,
                "SELECT id, at, outcome, reading_id, settlement_id, program, cause FROM verdicts
                 WHERE plate_id = ?1 ORDER BY id",
                [plate.0],
                |row| {
                    Ok(VerdictRecord {
                        id: VerdictId(row.get(0)?),
                        plate,
                        at: time(row, 1)?,
                        outcome: outcome(row, 2)?,
                        reading: row.get::<_, Option<i64>>(3)?.map(ReadingId),
                        settlement: row.get::<_, Option<i64>>(4)?.map(SettlementId),
                        program: row.get(5)?,
                        cause: row.get(6)?,
                    })
                },
            )
        })
    }

    pub(super) fn settlement_rows(
        &self,
        plate: PlateId,
    ) -> Result<Vec<SettlementRecord>, StoreError> {
        self.read(|connection| {
            all(
                connection,
                &format!(
                    "SELECT {SETTLEMENT_COLUMNS} FROM settlements WHERE plate_id = ?1 ORDER BY id"
                ),
                [plate.0],
                settlement_row,
            )
        })
    }

    pub(super) fn event_rows(&self, of: Subject) -> Result<Vec<Event>, StoreError> {
        let (subject, id) = match of {
            Subject::Plate(id) => ("plate", id.0),
            Subject::Photo(id) => ("photo", id.0),
            Subject::Location(id) => ("location", id.0),
        };
        self.read(|connection| {
            all(
                connection,
                "SELECT id, at, who, what, before, after FROM history
                 WHERE subject = ?1 AND subject_id = ?2 ORDER BY id",
                (subject, id),
                |row| {
                    Ok(Event {
                        id: row.get(0)?,
                        at: time(row, 1)?,
                        who: row.get(2)?,
                        what: row.get(3)?,
                        before: json(row, 4)?,
                        after: json(row, 5)?,
                    })
                },
            )
        })
    }
}
