//! Rows → types.

use super::super::{
    PhotoId, PhotoRecord, PhotoState, PlateId, PlateRow, ReadingFacts, ReadingId, ReadingRecord,
    ReviewState, SettlementId, SettlementKind, SettlementRecord, StoreError,
};
use super::write::failed;
use crate::answer::OutcomeDto;
use jiff::Timestamp;
use rusqlite::types::Type;
use rusqlite::{Connection, Params, Row};
use serde::de::DeserializeOwned;
use serde_json::Value;

/// Columns of [`plate_row`], of `plates p` joined with `locations l`.
pub(super) const PLATE_COLUMNS: &str = "p.id, p.version, p.tag, l.tag, p.maker, p.kind, p.serial, \
     p.year, p.certificate, p.marking, p.outcome, p.review, p.urgency, p.photos, p.created_at, \
     p.changed_at";

/// Columns of [`photo_row`], of `photos f`.
pub(super) const PHOTO_COLUMNS: &str = "f.id, f.sha256, f.bytes, f.state, f.reason, f.kept, \
     f.width, f.height, f.taken_at, f.north, f.east, f.location_id, f.plate_id, f.reading_id, \
     f.added_at";

/// Columns of [`reading_row`], of `readings r` joined with `shown s`.
pub(super) const READING_COLUMNS: &str = "r.id, r.photo_id, r.at, r.program, r.models, r.facts, \
     r.answer, r.evidence, s.reading_id = r.id, r.part";

/// Columns of [`settlement_row`].
pub(super) const SETTLEMENT_COLUMNS: &str = "id, plate_id, at, who, kind, lines, note";

/// A column that holds what it cannot hold.
fn wrong(column: usize, kind: Type, what: impl std::fmt::Display) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(column, kind, what.to_string().into())
}

pub(super) fn time(row: &Row<'_>, column: usize) -> rusqlite::Result<Timestamp> {
    Timestamp::from_millisecond(row.get(column)?).map_err(|e| wrong(column, Type::Integer, e))
}

pub(super) fn named<T>(
    row: &Row<'_>,
    column: usize,
    from_name: impl Fn(&str) -> Option<T>,
) -> rusqlite::Result<T> {
    let name: String = row.get(column)?;
    from_name(&name).ok_or_else(|| wrong(column, Type::Text, format!("unknown name {name:?}")))
}

pub(super) fn json<T: DeserializeOwned>(row: &Row<'_>, column: usize) -> rusqlite::Result<T> {
    let text: String = row.get(column)?;
    serde_json::from_str(&text).map_err(|e| wrong(column, Type::Text, e))
}

pub(super) fn outcome(row: &Row<'_>, column: usize) -> rusqlite::Result<Option<OutcomeDto>> {
    match row.get::<_, Option<String>>(column)? {
        None => Ok(None),
        Some(_) => named(row, column, OutcomeDto::from_name).map(Some),
    }
}

/// A number that is never negative.
pub(super) fn count(row: &Row<'_>, column: usize) -> rusqlite::Result<u64> {
    let value: i64 = row.get(column)?;
    u64::try_from(value).map_err(|e| wrong(column, Type::Integer, e))
}

pub(super) fn plate_row(row: &Row<'_>) -> rusqlite::Result<PlateRow> {
    Ok(PlateRow {
        id: PlateId(row.get(0)?),
        version: row.get(1)?,
        tag: row.get(2)?,
        location: row.get(3)?,
        maker: row.get(4)?,
        kind: row.get(5)?,
        serial: row.get(6)?,
        year: row.get(7)?,
        certificate: row.get(8)?,
        marking: row.get(9)?,
        outcome: outcome(row, 10)?,
        review: named(row, 11, ReviewState::from_name)?,
        urgency: row.get(12)?,
        photos: row.get(13)?,
        created_at: time(row, 14)?,
        changed_at: time(row, 15)?,
    })
}

/// A photo without its sources, which stand in another table.
pub(super) fn photo_row(row: &Row<'_>) -> rusqlite::Result<PhotoRecord> {
    let north: Option<f64> = row.get(9)?;
    let east: Option<f64> = row.get(10)?;
    Ok(PhotoRecord {
        id: PhotoId(row.get(0)?),
        sha256: row.get(1)?,
        bytes: count(row, 2)?,
        state: named(row, 3, PhotoState::from_name)?,
        reason: row.get(4)?,
        kept: row.get(5)?,
        width: row.get(6)?,
        height: row.get(7)?,
        taken_at: row.get(8)?,
        gps: north.zip(east).map(|(n, e)| [n, e]),
        location: row.get::<_, Option<i64>>(11)?.map(super::super::LocationId),
        plate: row.get::<_, Option<i64>>(12)?.map(PlateId),
        reading: row.get::<_, Option<i64>>(13)?.map(ReadingId),
        added_at: time(row, 14)?,
        sources: Vec::new(),
    })
}

pub(super) fn reading_row(row: &Row<'_>) -> rusqlite::Result<ReadingRecord> {
    Ok(ReadingRecord {
        id: ReadingId(row.get(0)?),
        photo: PhotoId(row.get(1)?),
        at: time(row, 2)?,
        program: row.get(3)?,
        models: json(row, 4)?,
        facts: json::<ReadingFacts>(row, 5)?,
        answer: json::<Value>(row, 6)?,
        evidence: row.get(7)?,
        counts: row.get::<_, Option<bool>>(8)?.unwrap_or(false),
        part: row.get(9)?,
    })
}

pub(super) fn settlement_row(row: &Row<'_>) -> rusqlite::Result<SettlementRecord> {
    Ok(SettlementRecord {
        id: SettlementId(row.get(0)?),
        plate: PlateId(row.get(1)?),
        at: time(row, 2)?,
        who: row.get(3)?,
        kind: named(row, 4, SettlementKind::from_name)?,
        lines: json(row, 5)?,
        note: row.get(6)?,
    })
}

/// Every row that a query gives.
pub(super) fn all<T>(
    connection: &Connection,
    sql: &str,
    params: impl Params,
    row: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
) -> Result<Vec<T>, StoreError> {
    connection
        .prepare_cached(sql)
        .and_then(|mut statement| statement.query_map(params, row)?.collect())
        .map_err(failed("look up"))
}

/// The first row that a query gives.
pub(super) fn first<T>(
    connection: &Connection,
    sql: &str,
    params: impl Params,
    row: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
) -> Result<Option<T>, StoreError> {
    Ok(all(connection, sql, params, row)?.into_iter().next())
}

/// JSON text of what is kept.
pub(super) fn text(value: &impl serde::Serialize) -> Result<String, StoreError> {
    serde_json::to_string(value).map_err(|e| StoreError::Failed {
        step: "write JSON",
        reason: e.to_string(),
    })
}
