//! One plate: what is known of it, and the changes that people make.

use super::super::{
    Hold, Joined, NewReading, NewSettlement, PhotoId, PlateId, PlateRecord, ReadingId, ReviewState,
    StoreError,
};
use super::records::{
    PHOTO_COLUMNS, PLATE_COLUMNS, SETTLEMENT_COLUMNS, all, first, json, named, photo_row,
    plate_row, settlement_row, text, time,
};
use super::refresh::{Basis, Cause, Shown, refresh, search_text, state, verdict};
use super::write::Write;
use super::{SqliteRegister, photos};
use crate::answer::OutcomeDto;
use jiff::Timestamp;
use rusqlite::Connection;
use serde_json::Value;

pub(super) fn not_found(what: &'static str, id: impl std::fmt::Display) -> StoreError {
    StoreError::NotFound {
        what,
        id: id.to_string(),
    }
}

/// A plate with all that is known now.
pub(super) fn record(
    connection: &Connection,
    id: PlateId,
    now: Timestamp,
) -> Result<Option<PlateRecord>, StoreError> {
    let found = first(
        connection,
        &format!(
            "SELECT {PLATE_COLUMNS}, coalesce(v.answer, r.answer), p.fields, p.differences,
             p.put_back, p.held_by, p.held_until, p.reading_id, p.settlement_id
             FROM plates p LEFT JOIN locations l ON l.id = p.location_id
             LEFT JOIN verdicts v ON v.id = p.verdict_id LEFT JOIN readings r ON r.id = p.reading_id
             WHERE p.id = ?1"
        ),
        [id.0],
        |row| {
            let who: Option<String> = row.get(20)?;
            let hold = match who {
                Some(who) => Some(Hold {
                    who,
                    until: time(row, 21)?,
                }),
                None => None,
            };
            let settlement: Option<i64> = row.get(23)?;
            let reading: Option<i64> = row.get(22)?;
            let record = PlateRecord {
                row: plate_row(row)?,
                answer: json::<Value>(row, 16)?,
                reading: reading.filter(|_| settlement.is_none()).map(ReadingId),
                fields: json(row, 17)?,
                differences: json(row, 18)?,
                put_back: row.get(19)?,
                hold: hold.filter(|h| h.until > now),
                settlement: None,
                photos: Vec::new(),
                beside: Vec::new(),
            };
            Ok((record, settlement))
        },
    )?;
    let Some((mut record, settlement)) = found else {
        return Ok(None);
    };
    if let Some(settlement) = settlement {
        record.settlement = first(
            connection,
            &format!("SELECT {SETTLEMENT_COLUMNS} FROM settlements WHERE id = ?1"),
            [settlement],
            settlement_row,
        )?;
    }
    record.photos = all(
        connection,
        &format!(
            "SELECT {PHOTO_COLUMNS}, s.reading_id FROM shown s JOIN photos f ON f.id = s.photo_id
             WHERE s.plate_id = ?1 ORDER BY f.id, s.part"
        ),
        [id.0],
        |row| {
            let mut photo = photo_row(row)?;
            // What the photo shows of this plate, not of its neighbour.
            photo.plate = Some(id);
            photo.reading = row.get::<_, Option<i64>>(15)?.map(ReadingId);
            Ok(photo)
        },
    )?;
    // A photo that shows the same plate twice is one photo.
    record.photos.dedup_by_key(|photo| photo.id);
    for photo in &mut record.photos {
        photo.sources = photos::sources(connection, photo.id)?;
        record
            .beside
            .extend(photos::plates_of(connection, photo.id)?);
    }
    record.beside.sort_unstable();
    record.beside.dedup();
    record.beside.retain(|plate| *plate != id);
    Ok(Some(record))
}

/// What a change finds before it begins.
struct Now {
    review: ReviewState,
    state: Value,
}

/// Refuses where someone changed the plate since, or is deciding on it.
fn check_version(
    write: &Write<'_>,
    plate: PlateId,
    version: i64,
    who: &str,
) -> Result<Now, StoreError> {
    let (current, review) = write
        .first(
            "SELECT version, review FROM plates WHERE id = ?1",
            [plate.0],
            |row| {
                Ok((
                    row.get::<_, i64>(0)?,
                    named(row, 1, ReviewState::from_name)?,
                ))
            },
        )?
        .ok_or_else(|| not_found("plate", plate))?;
    if current != version {
        let (who, at, what) = write
            .first(
                "SELECT who, at, what FROM history WHERE subject = 'plate' AND subject_id = ?1
                 ORDER BY id DESC LIMIT 1",
                [plate.0],
                |row| Ok((row.get(0)?, time(row, 1)?, row.get(2)?)),
            )?
            .unwrap_or_else(|| (String::new(), write.at, String::new()));
        return Err(StoreError::Conflict {
            plate,
            expected: version,
            current,
            who,
            at,
            what,
        });
    }
    refuse_held(write, plate, who)?;
    Ok(Now {
        review,
        state: state(write, plate.0)?,
    })
}

fn refuse_held(write: &Write<'_>, plate: PlateId, who: &str) -> Result<(), StoreError> {
    let held = write.first(
        "SELECT held_by, held_until FROM plates
         WHERE id = ?1 AND held_by <> ?2 AND held_until > ?3",
        (plate.0, who, write.millis()),
        |row| Ok((row.get(0)?, time(row, 1)?)),
    )?;
    match held {
        Some((who, until)) => Err(StoreError::Held { plate, who, until }),
        None => Ok(()),
    }
}

fn changed(write: &Write<'_>, plate: PlateId) -> Result<PlateRecord, StoreError> {
    record(write.connection(), plate, write.at)?.ok_or_else(|| not_found("plate", plate))
}

impl SqliteRegister {
    pub(super) fn plate_record(&self, id: PlateId) -> Result<Option<PlateRecord>, StoreError> {
        let now = self.environment().clock();
        self.read(|connection| record(connection, id, now))
    }

    pub(super) fn settle_row(
        &self,
        plate: PlateId,
        version: i64,
        settlement: &NewSettlement,
        answer: &Value,
        who: &str,
    ) -> Result<PlateRecord, StoreError> {
        self.write(|write| {
            let now = check_version(write, plate, version, who)?;
            let id = write.insert(
                "add a settlement",
                "INSERT INTO settlements (plate_id, at, who, kind, lines, note)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                (
                    plate.0,
                    write.millis(),
                    who,
                    settlement.kind.name(),
                    text(&settlement.lines)?,
                    &settlement.note,
                ),
            )?;
            write.execute(
                "let go of a settled plate",
                "UPDATE plates SET version = version + 1, changed_at = ?2, settlement_id = ?3,
                 review = 'settled', urgency = 0, put_back = NULL, held_by = NULL,
                 held_until = NULL, differences = '[]' WHERE id = ?1",
                (plate.0, write.millis(), id),
            )?;
            let program = program(answer);
            let cause = Cause {
                who,
                what: settlement.kind.name(),
                verdict: "settled",
                program: &program,
                photo: None,
            };
            settled_answer(write, plate, id, answer, &cause)?;
            let after = state(write, plate.0)?;
            write.event(who, ("plate", plate.0), cause.what, &now.state, &after)?;
            changed(write, plate)
        })
    }

    pub(super) fn judge_settled_row(
        &self,
        plate: PlateId,
        version: i64,
        answer: &Value,
        cause: &str,
        who: &str,
    ) -> Result<PlateRecord, StoreError> {
        self.write(|write| {
            let now = check_version(write, plate, version, who)?;
            let settlement = write
                .first(
                    "SELECT settlement_id FROM plates WHERE id = ?1",
                    [plate.0],
                    |row| row.get::<_, Option<i64>>(0),
                )?
                .flatten()
                .ok_or(StoreError::WrongState {
                    plate,
                    state: now.review,
                    hint: "only a settled plate keeps its lines",
                })?;
            let program = program(answer);
            let cause = Cause {
                who,
                what: "judged again",
                verdict: cause,
                program: &program,
                photo: None,
            };
            write.execute(
                "count a change of a plate",
                "UPDATE plates SET version = version + 1, changed_at = ?2 WHERE id = ?1",
                (plate.0, write.millis()),
            )?;
            settled_answer(write, plate, settlement, answer, &cause)?;
            let after = state(write, plate.0)?;
            write.event(who, ("plate", plate.0), cause.what, &now.state, &after)?;
            changed(write, plate)
        })
    }

    pub(super) fn put_back_row(
        &self,
        plate: PlateId,
        version: i64,
        reason: &str,
        who: &str,
    ) -> Result<PlateRecord, StoreError> {
        self.write(|write| {
            let now = check_version(write, plate, version, who)?;
            write.execute(
                "put a plate back",
                "UPDATE plates SET settlement_id = NULL, review = 'put_back', put_back = ?2,
                 held_by = NULL, held_until = NULL WHERE id = ?1",
                (plate.0, reason),
            )?;
            let cause = Cause {
                who,
                what: "put back",
                verdict: "put back",
                program: env!("CARGO_PKG_VERSION"),
                photo: None,
            };
            refresh(write, plate.0, &now.state, &cause)?;
            changed(write, plate)
        })
    }

    pub(super) fn hold_row(
        &self,
        plate: PlateId,
        seconds: u32,
        who: &str,
    ) -> Result<Hold, StoreError> {
        self.write(|write| {
            refuse_held(write, plate, who)?;
            let until = write.millis() + i64::from(seconds) * 1000;
            let changed = write.execute(
                "take a plate in hand",
                "UPDATE plates SET held_by = ?2, held_until = ?3 WHERE id = ?1",
                (plate.0, who, until),
            )?;
            if changed == 0 {
                return Err(not_found("plate", plate));
            }
            Ok(Hold {
                who: who.to_owned(),
                until: Timestamp::from_millisecond(until).unwrap_or(Timestamp::MAX),
            })
        })
    }

    pub(super) fn let_go_row(&self, plate: PlateId, who: &str) -> Result<(), StoreError> {
        self.write(|write| {
            write.execute(
                "let go of a plate",
                "UPDATE plates SET held_by = NULL, held_until = NULL
                 WHERE id = ?1 AND held_by = ?2",
                (plate.0, who),
            )?;
            Ok(())
        })
    }

    pub(super) fn describe_row(
        &self,
        plate: PlateId,
        version: i64,
        tag: Option<&str>,
        location: Option<&str>,
        who: &str,
    ) -> Result<PlateRecord, StoreError> {
        self.write(|write| {
            let now = check_version(write, plate, version, who)?;
            let row: Option<i64> = match location {
                None => None,
                Some(name) => Some(
                    write
                        .first("SELECT id FROM locations WHERE tag = ?1", [name], |row| {
                            row.get(0)
                        })?
                        .ok_or_else(|| not_found("location", name))?,
                ),
            };
            write.execute(
                "describe a plate",
                "UPDATE plates SET version = version + 1, changed_at = ?2,
                 tag = coalesce(?3, tag), location_id = coalesce(?4, location_id) WHERE id = ?1",
                (plate.0, write.millis(), tag, row),
            )?;
            if row.is_some() {
                write.execute(
                    "place the photos of a plate",
                    "UPDATE photos SET location_id = ?2
                     WHERE id IN (SELECT photo_id FROM shown WHERE plate_id = ?1)",
                    (plate.0, row),
                )?;
            }
            search_text(write, plate.0)?;
            let after = state(write, plate.0)?;
            write.event(who, ("plate", plate.0), "described", &now.state, &after)?;
            changed(write, plate)
        })
    }

    pub(super) fn replace_reading_row(
        &self,
        photo: PhotoId,
        instead_of: ReadingId,
        reading: &NewReading,
        cause: &str,
        who: &str,
    ) -> Result<PlateId, StoreError> {
        self.write(|write| {
            let (plate, part) = write
                .first(
                    "SELECT plate_id, part FROM shown WHERE photo_id = ?1 AND reading_id = ?2",
                    (photo.0, instead_of.0),
                    |row| Ok((row.get::<_, i64>(0)?, row.get::<_, i64>(1)?)),
                )?
                .ok_or_else(|| not_found("counting reading", instead_of))?;
            let before = state(write, plate)?;
            // The same letters, judged anew, contradict nobody who has settled them otherwise.
            let says_the_same =
                photos::marking(write, instead_of)?.as_deref() == reading.facts.value("marking");
            let id = photos::keep_reading(write, photo, part, reading)?;
            photos::count_reading(write, photo, part, id)?;
            photos::keep_keys(write, PlateId(plate), &reading.facts)?;
            let cause = Cause {
                who,
                what: cause,
                verdict: cause,
                program: &reading.program,
                photo: (!says_the_same).then_some(photo),
            };
            refresh(write, plate, &before, &cause)?;
            Ok(PlateId(plate))
        })
    }

    pub(super) fn add_further_row(
        &self,
        photo: PhotoId,
        readings: &[NewReading],
        cause: &str,
        who: &str,
    ) -> Result<Vec<PlateId>, StoreError> {
        self.write(|write| {
            write
                .first(
                    "SELECT 1 FROM photos WHERE id = ?1 AND state = 'read'",
                    [photo.0],
                    |_| Ok(()),
                )?
                .ok_or_else(|| not_found("photo that was read", photo))?;
            let joined = photos::add_further(write, photo, readings, cause, who)?;
            Ok(joined.into_iter().map(Joined::plate).collect())
        })
    }
}

/// Version of the program that made an answer.
fn program(answer: &Value) -> String {
    answer
        .pointer("/versions/vetplate")
        .and_then(Value::as_str)
        .unwrap_or(env!("CARGO_PKG_VERSION"))
        .to_owned()
}

/// Makes an answer on settled lines the one that counts.
fn settled_answer(
    write: &Write<'_>,
    plate: PlateId,
    settlement: i64,
    answer: &Value,
    cause: &Cause<'_>,
) -> Result<(), StoreError> {
    let outcome = answer
        .pointer("/verdict/outcome")
        .and_then(Value::as_str)
        .and_then(OutcomeDto::from_name);
    let basis = Basis {
        outcome,
        reading: None,
        settlement: Some(settlement),
        answer: Some(answer),
    };
    let id = verdict(write, plate.0, &basis, cause)?;
    let shown = Shown::of_answer(answer);
    write.execute(
        "write settled values",
        "UPDATE plates SET maker = ?2, kind = ?3, serial = ?4, year = ?5, certificate = ?6,
         marking = ?7, outcome = ?8, verdict_id = ?9 WHERE id = ?1",
        (
            plate.0,
            &shown.maker,
            &shown.kind,
            &shown.serial,
            shown.year,
            &shown.certificate,
            &shown.marking,
            outcome.map(OutcomeDto::name),
            id,
        ),
    )?;
    search_text(write, plate.0)
}
