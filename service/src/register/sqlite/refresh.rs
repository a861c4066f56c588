//! A plate after something about it changed: its photos put together, its verdict, its row.

use super::super::join::{Brief, Combined, combine};
use super::super::reading::squeezed;
use super::super::{FieldSource, PhotoId, ReadingFacts, ReadingId, ReviewState, StoreError};
use super::records::{json, named, text};
use super::write::Write;
use crate::answer::OutcomeDto;
use serde_json::Value;
use std::collections::BTreeMap;

/// From here a new photo of a settled plate is sure enough to call a person again.
const CALLS_AGAIN: f64 = 0.5;
/// Urgency of a settled plate that a new photo contradicts.
const CONTRADICTS_SETTLED: i64 = 5600;

/// What a plate's row says, for the history.
const STATE: &str = "SELECT json_object('version', version, 'tag', tag, 'location', \
     (SELECT tag FROM locations WHERE id = location_id), 'marking', marking, 'serial', serial, \
     'certificate', certificate, 'outcome', outcome, 'review', review, 'reading', reading_id, \
     'settlement', settlement_id, 'photos', photos) FROM plates WHERE id = ?1";

/// What the row of a plate says now.
pub(super) fn state(write: &Write<'_>, plate: i64) -> Result<Value, StoreError> {
    Ok(write
        .first(STATE, [plate], |row| json(row, 0))?
        .unwrap_or(Value::Null))
}

/// What is refreshed and why.
pub(super) struct Cause<'a> {
    pub(super) who: &'a str,
    /// What the history says.
    pub(super) what: &'a str,
    /// What the verdict says.
    pub(super) verdict: &'a str,
    /// Version of the program that made the latest answer.
    pub(super) program: &'a str,
    /// The photo that brings a new reading, if one does.
    pub(super) photo: Option<PhotoId>,
}

/// Puts the readings of a plate together again, and writes row, verdict, search text and history.
///
/// `before` is what [`state`] said before the change.
pub(super) fn refresh(
    write: &Write<'_>,
    plate: i64,
    before: &Value,
    cause: &Cause<'_>,
) -> Result<(), StoreError> {
    let briefs = briefs(write, plate)?;
    let Some(combined) = combine(&briefs) else {
        return Err(StoreError::Damaged(format!("plate {plate} has no reading")));
    };
    let settled: Option<i64> = write
        .first(
            "SELECT settlement_id FROM plates WHERE id = ?1",
            [plate],
            |row| row.get(0),
        )?
        .flatten();
    // Two plates of one photo may be the same piece of equipment.
    let mut shown: Vec<PhotoId> = briefs.iter().map(|brief| brief.photo).collect();
    shown.dedup();
    let photos = i64::try_from(shown.len()).unwrap_or(i64::MAX);
    if settled.is_some() {
        stay_settled(write, plate, &briefs, &combined, photos, cause)?;
    } else {
        follow_readings(write, plate, &combined, photos, cause)?;
    }
    search_text(write, plate)?;
    let after = state(write, plate)?;
    write.event(cause.who, ("plate", plate), cause.what, before, &after)
}

fn briefs(write: &Write<'_>, plate: i64) -> Result<Vec<Brief>, StoreError> {
    write.all(
        "SELECT r.id, f.id, r.facts, l.tag, CASE WHEN (SELECT tag FROM plates WHERE id = ?1) IS NULL
             AND EXISTS (SELECT 1 FROM further_plates n WHERE n.photo_id = f.id) THEN f.tag END
         FROM shown s JOIN photos f ON f.id = s.photo_id
         JOIN readings r ON r.id = s.reading_id LEFT JOIN locations l ON l.id = f.location_id
         WHERE s.plate_id = ?1 ORDER BY f.id, s.part",
        [plate],
        |row| {
            Ok(Brief {
                reading: ReadingId(row.get(0)?),
                photo: PhotoId(row.get(1)?),
                facts: json::<ReadingFacts>(row, 2)?,
                location: row.get(3)?,
                tag_of_one: row.get(4)?,
            })
        },
    )
}

/// The row says what the readings say.
fn follow_readings(
    write: &Write<'_>,
    plate: i64,
    combined: &Combined,
    photos: i64,
    cause: &Cause<'_>,
) -> Result<(), StoreError> {
    let (put_back, state): (Option<String>, ReviewState) = write
        .first(
            "SELECT put_back, review FROM plates WHERE id = ?1",
            [plate],
            |row| Ok((row.get(0)?, named(row, 1, ReviewState::from_name)?)),
        )?
        .unwrap_or((None, ReviewState::NotNeeded));
    // What a person put back stays in the queue, however well the next photo reads.
    let review = if state == ReviewState::PutBack && put_back.is_some() {
        ReviewState::PutBack
    } else if combined.review {
        ReviewState::Waiting
    } else {
        ReviewState::NotNeeded
    };
    let verdict = verdict(
        write,
        plate,
        &Basis {
            outcome: combined.outcome,
            reading: Some(combined.best.0),
            settlement: None,
            answer: None,
        },
        cause,
    )?;
    let shown = Shown::of_fields(&combined.fields);
    write.execute(
        "change a plate",
        "UPDATE plates SET version = version + 1, changed_at = ?2, maker = ?3, kind = ?4,
         serial = ?5, year = ?6, certificate = ?7, marking = ?8, outcome = ?9, review = ?10,
         urgency = ?11, photos = ?12, fields = ?13, differences = ?14, reading_id = ?15,
         verdict_id = ?16 WHERE id = ?1",
        rusqlite::params![
            plate,
            write.millis(),
            &shown.maker,
            &shown.kind,
            &shown.serial,
            shown.year,
            &shown.certificate,
            &shown.marking,
            combined.outcome.map(OutcomeDto::name),
            review.name(),
            combined
                .urgency
                .max(i64::from(review == ReviewState::PutBack)),
            photos,
            text(&combined.fields)?,
            text(&combined.differences)?,
            combined.best.0,
            verdict,
        ],
    )?;
    Ok(())
}

/// The settled values stay; a photo that contradicts them calls a person again.
fn stay_settled(
    write: &Write<'_>,
    plate: i64,
    briefs: &[Brief],
    combined: &Combined,
    photos: i64,
    cause: &Cause<'_>,
) -> Result<(), StoreError> {
    let marking: String = write
        .first("SELECT marking FROM plates WHERE id = ?1", [plate], |row| {
            row.get(0)
        })?
        .unwrap_or_default();
    let contradiction = briefs
        .iter()
        .filter(|brief| Some(brief.photo) == cause.photo)
        .filter(|brief| brief.facts.confidence("marking") >= CALLS_AGAIN)
        .find_map(|brief| {
            let new = brief.facts.value("marking")?;
            (squeezed(new) != squeezed(&marking))
                .then(|| format!("a new photo reads {new}, settled is {marking}"))
        });
    write.execute(
        "change a settled plate",
        "UPDATE plates SET version = version + 1, changed_at = ?2, photos = ?3, fields = ?4,
         put_back = coalesce(?5, put_back),
         review = CASE WHEN ?5 IS NULL THEN review ELSE 'put_back' END,
         urgency = CASE WHEN ?5 IS NULL THEN urgency ELSE ?6 END
         WHERE id = ?1",
        (
            plate,
            write.millis(),
            photos,
            text(&combined.fields)?,
            contradiction,
            CONTRADICTS_SETTLED,
        ),
    )?;
    Ok(())
}

/// What a verdict rests on.
pub(super) struct Basis<'a> {
    pub(super) outcome: Option<OutcomeDto>,
    pub(super) reading: Option<i64>,
    pub(super) settlement: Option<i64>,
    pub(super) answer: Option<&'a Value>,
}

/// Adds a verdict; answers its row.
pub(super) fn verdict(
    write: &Write<'_>,
    plate: i64,
    basis: &Basis<'_>,
    cause: &Cause<'_>,
) -> Result<i64, StoreError> {
    write.insert(
        "add a verdict",
        "INSERT INTO verdicts (plate_id, at, outcome, reading_id, settlement_id, program, cause,
         answer) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        (
            plate,
            write.millis(),
            basis.outcome.map(OutcomeDto::name),
            basis.reading,
            basis.settlement,
            cause.program,
            cause.verdict,
            basis.answer.map(Value::to_string),
        ),
    )
}

/// What a list shows of a plate's text.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Shown {
    pub(super) maker: Option<String>,
    pub(super) kind: Option<String>,
    pub(super) serial: Option<String>,
    pub(super) year: Option<i32>,
    pub(super) certificate: Option<String>,
    pub(super) marking: String,
}

impl Shown {
    fn of_fields(fields: &BTreeMap<String, FieldSource>) -> Self {
        let value = |name: &str| fields.get(name).map(|f| f.value.clone());
        Self {
            maker: value("maker"),
            kind: value("type"),
            serial: value("serial"),
            year: value("year").and_then(|y| y.parse().ok()),
            certificate: value("certificate"),
            marking: value("marking").unwrap_or_default(),
        }
    }

    /// Of an answer, schema 1.
    pub(super) fn of_answer(answer: &Value) -> Self {
        let value = |name: &str| answer.get(name)?.as_str().map(ToOwned::to_owned);
        let certificate = answer.pointer("/certificates/0").and_then(|c| {
            let number = c.get("number")?.as_str()?;
            let suffix = c.get("suffix").and_then(Value::as_str).unwrap_or("");
            Some(format!("{number} {suffix}").trim().to_owned())
        });
        let markings: Vec<&str> = answer
            .get("markings")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
            .filter_map(|m| m.get("text")?.as_str())
            .collect();
        Self {
            maker: value("maker"),
            kind: value("type"),
            serial: value("serial"),
            year: answer
                .get("year")
                .and_then(Value::as_i64)
                .and_then(|y| i32::try_from(y).ok()),
            certificate,
            marking: markings.join("; "),
        }
    }
}

/// Makes the search find what the row says now.
pub(super) fn search_text(write: &Write<'_>, plate: i64) -> Result<(), StoreError> {
    write.execute(
        "forget the search text",
        "DELETE FROM plate_text WHERE rowid = ?1",
        [plate],
    )?;
    write.execute(
        "write the search text",
        "INSERT INTO plate_text (rowid, tag, location, serial, certificate, maker, kind)
         SELECT p.id, p.tag, l.tag, p.serial, p.certificate, p.maker, p.kind
         FROM plates p LEFT JOIN locations l ON l.id = p.location_id WHERE p.id = ?1",
        [plate],
    )?;
    Ok(())
}

/// A plate that has only its first reading yet: a row for [`refresh`] to fill.
pub(super) fn new_plate(
    write: &Write<'_>,
    location: Option<i64>,
    tag: Option<&str>,
) -> Result<i64, StoreError> {
    write.insert(
        "add a plate",
        "INSERT INTO plates (version, tag, location_id, marking, review, urgency, photos, fields,
         differences, created_at, changed_at)
         VALUES (0, ?1, ?2, '', 'not_needed', 0, 0, '{}', '[]', ?3, ?3)",
        (tag, location, write.millis()),
    )
}
