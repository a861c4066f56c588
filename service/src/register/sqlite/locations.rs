//! Locations.

use super::super::location::place_to_json;
use super::super::{LocationFacts, LocationId, LocationRecord, StoreError};
use super::SqliteRegister;
use super::records::{all, first, json, time};
use super::write::Write;
use crate::answer::place_fields;
use rusqlite::Row;
use serde_json::{Map, Value, json};

const COLUMNS: &str = "id, tag, description, place, version, changed_at";

fn location_row(row: &Row<'_>) -> rusqlite::Result<LocationRecord> {
    let map: Map<String, Value> = json(row, 3)?;
    let place = place_fields(&map).map_err(|errors| {
        let texts: Vec<String> = errors.into_iter().map(|e| e.message).collect();
        rusqlite::Error::FromSqlConversionFailure(
            3,
            rusqlite::types::Type::Text,
            texts.join("; ").into(),
        )
    })?;
    Ok(LocationRecord {
        id: LocationId(row.get(0)?),
        facts: LocationFacts {
            tag: row.get(1)?,
            description: row.get(2)?,
            place,
        },
        version: row.get(4)?,
        changed_at: time(row, 5)?,
    })
}

fn facts_json(facts: &LocationFacts) -> Value {
    json!({
        "tag": facts.tag,
        "description": facts.description,
        "place": place_to_json(&facts.place),
    })
}

impl SqliteRegister {
    pub(super) fn put_location_row(
        &self,
        facts: &LocationFacts,
        who: &str,
    ) -> Result<LocationRecord, StoreError> {
        self.write(|write| put(write, facts, who))
    }

    pub(super) fn location_row(&self, tag: &str) -> Result<Option<LocationRecord>, StoreError> {
        self.read(|connection| {
            first(
                connection,
                &format!("SELECT {COLUMNS} FROM locations WHERE tag = ?1"),
                [tag],
                location_row,
            )
        })
    }

    pub(super) fn location_rows(&self) -> Result<Vec<LocationRecord>, StoreError> {
        self.read(|connection| {
            all(
                connection,
                &format!("SELECT {COLUMNS} FROM locations ORDER BY tag"),
                [],
                location_row,
            )
        })
    }
}

fn put(write: &Write<'_>, facts: &LocationFacts, who: &str) -> Result<LocationRecord, StoreError> {
    let held = write.first(
        &format!("SELECT {COLUMNS} FROM locations WHERE tag = ?1"),
        [&facts.tag],
        location_row,
    )?;
    let place = place_to_json(&facts.place).to_string();
    let (id, before) = if let Some(held) = held {
        // The tag as it was first written stays.
        if held.facts.description == facts.description && held.facts.place == facts.place {
            return Ok(held);
        }
        write.execute(
            "change a location",
            "UPDATE locations SET description = ?2, place = ?3, version = version + 1,
             changed_at = ?4 WHERE id = ?1",
            (held.id.0, &facts.description, place, write.millis()),
        )?;
        (held.id.0, facts_json(&held.facts))
    } else {
        let id = write.insert(
            "add a location",
            "INSERT INTO locations (tag, description, place, version, changed_at)
             VALUES (?1, ?2, ?3, 1, ?4)",
            (&facts.tag, &facts.description, place, write.millis()),
        )?;
        (id, Value::Null)
    };
    let what = if before.is_null() { "added" } else { "changed" };
    write.event(who, ("location", id), what, &before, &facts_json(facts))?;
    write
        .first(
            &format!("SELECT {COLUMNS} FROM locations WHERE id = ?1"),
            [id],
            location_row,
        )?
        .ok_or_else(|| StoreError::Damaged(format!("location {id} is gone")))
}

/// The row of a location; one that is not known yet is added without a place.
pub(super) fn ensure(write: &Write<'_>, tag: &str, who: &str) -> Result<i64, StoreError> {
    let known = write.first("SELECT id FROM locations WHERE tag = ?1", [tag], |row| {
        row.get(0)
    })?;
    if let Some(id) = known {
        return Ok(id);
    }
    let facts = LocationFacts {
        tag: tag.to_owned(),
        ..LocationFacts::default()
    };
    Ok(put(write, &facts, who)?.id.0)
}
