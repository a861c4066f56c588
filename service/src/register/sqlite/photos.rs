//! Photos that were read, and how they find their plate.

use super::super::join::agree;
use super::super::look::quarters;
use super::super::{
    ImportId, Joined, LOOK_DISTANCE, NewReading, PhotoId, PhotoRecord, PlateId, ReadingFacts,
    ReadingId, StoreError, look_distance,
};
use super::SqliteRegister;
use super::records::{PHOTO_COLUMNS, all, json, photo_row, text};
use super::refresh::{Cause, new_plate, refresh, state};
use super::write::Write;
use rusqlite::Connection;
use serde_json::Value;

/// Photos with the same look that are compared; a folder of black pictures has thousands.
const MOST_ALIKE: i64 = 200;

/// Keeps a reading of a photo and joins it to its plate.
pub(super) fn take(
    write: &Write<'_>,
    photo: PhotoId,
    reading: &NewReading,
    import: Option<ImportId>,
    who: &str,
) -> Result<Joined, StoreError> {
    let id = keep_reading(write, photo, reading)?;
    let (location, tag): (Option<i64>, Option<String>) = write
        .first(
            "SELECT location_id, tag FROM photos WHERE id = ?1",
            [photo.0],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )?
        .unwrap_or((None, None));
    let found = match by_identity(write, &reading.facts)? {
        Some(plate) => Some(Joined::ByIdentity(plate)),
        None => by_look(write, reading, location)?.map(Joined::ByLook),
    };
    let (joined, before) = if let Some(joined) = found {
        (joined, state(write, joined.plate().0)?)
    } else {
        let plate = new_plate(write, location, tag.as_deref())?;
        (Joined::New(PlateId(plate)), Value::Null)
    };
    let plate = joined.plate();
    let quarters = reading.facts.look.map(quarters);
    let quarter = |n: usize| quarters.map(|q| q[n]);
    write.execute(
        "mark a photo as read",
        "UPDATE photos SET state = 'read', reason = NULL, plate_id = ?2, reading_id = ?3,
         import_id = ?4, width = ?5, height = ?6, taken_at = ?7, north = ?8, east = ?9,
         look = ?10, look_0 = ?11, look_1 = ?12, look_2 = ?13, look_3 = ?14 WHERE id = ?1",
        rusqlite::params![
            photo.0,
            plate.0,
            id.0,
            import.map(|i| i.0),
            reading.size.0,
            reading.size.1,
            &reading.taken_at,
            reading.gps.map(|g| g[0]),
            reading.gps.map(|g| g[1]),
            reading.facts.look.map(u64::cast_signed),
            quarter(0),
            quarter(1),
            quarter(2),
            quarter(3),
        ],
    )?;
    write.execute(
        "name and place a plate that lacks it",
        "UPDATE plates SET tag = coalesce(tag, ?2), location_id = coalesce(location_id, ?3)
         WHERE id = ?1",
        (plate.0, tag, location),
    )?;
    keep_keys(write, plate, &reading.facts)?;
    let what = match joined {
        Joined::New(_) => "read",
        Joined::ByIdentity(_) => "joined by serial number and certificate",
        Joined::ByLook(_) => "joined by look",
    };
    let cause = Cause {
        who,
        what,
        verdict: "read",
        program: &reading.program,
        photo: Some(photo),
    };
    refresh(write, plate.0, &before, &cause)?;
    Ok(joined)
}

/// Adds a reading; answers its row.
pub(super) fn keep_reading(
    write: &Write<'_>,
    photo: PhotoId,
    reading: &NewReading,
) -> Result<ReadingId, StoreError> {
    write
        .insert(
            "add a reading",
            "INSERT INTO readings (photo_id, at, program, models, facts, answer, evidence)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            (
                photo.0,
                write.millis(),
                &reading.program,
                reading.models.to_string(),
                text(&reading.facts)?,
                reading.answer.to_string(),
                &reading.evidence,
            ),
        )
        .map(ReadingId)
}

/// The marking that a reading found.
pub(super) fn marking(write: &Write<'_>, reading: ReadingId) -> Result<Option<String>, StoreError> {
    let facts: Option<ReadingFacts> = write.first(
        "SELECT facts FROM readings WHERE id = ?1",
        [reading.0],
        |row| json(row, 0),
    )?;
    Ok(facts.and_then(|facts| facts.value("marking").map(ToOwned::to_owned)))
}

/// Makes later photos find the plate by what this reading is sure of.
pub(super) fn keep_keys(
    write: &Write<'_>,
    plate: PlateId,
    facts: &ReadingFacts,
) -> Result<(), StoreError> {
    for identity in &facts.identities {
        write.execute(
            "name a plate by serial number and certificate",
            "INSERT INTO plate_keys (key, plate_id) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
            (identity.key(), plate.0),
        )?;
    }
    Ok(())
}

fn by_identity(write: &Write<'_>, facts: &ReadingFacts) -> Result<Option<PlateId>, StoreError> {
    for identity in &facts.identities {
        let found = write.first(
            "SELECT plate_id FROM plate_keys WHERE key = ?1",
            [identity.key()],
            |row| row.get(0),
        )?;
        if let Some(plate) = found {
            return Ok(Some(PlateId(plate)));
        }
    }
    Ok(None)
}

struct Alike {
    plate: i64,
    look: i64,
    taken_at: Option<String>,
    location: Option<i64>,
    facts: ReadingFacts,
}

/// A plate one of whose photos looks the same, where nothing at all speaks against it.
fn by_look(
    write: &Write<'_>,
    reading: &NewReading,
    location: Option<i64>,
) -> Result<Option<PlateId>, StoreError> {
    let Some(look) = reading.facts.look else {
        return Ok(None);
    };
    let [a, b, c, d] = quarters(look);
    let alike = write.all(
        "SELECT f.plate_id, f.look, f.taken_at, f.location_id, r.facts FROM photos f
         JOIN readings r ON r.id = f.reading_id
         WHERE f.look IS NOT NULL AND f.state = 'read'
         AND (f.look_0 = ?1 OR f.look_1 = ?2 OR f.look_2 = ?3 OR f.look_3 = ?4) LIMIT ?5",
        (a, b, c, d, MOST_ALIKE),
        |row| {
            Ok(Alike {
                plate: row.get(0)?,
                look: row.get(1)?,
                taken_at: row.get(2)?,
                location: row.get(3)?,
                facts: json(row, 4)?,
            })
        },
    )?;
    let best = alike
        .into_iter()
        .filter(|other| {
            look_distance(other.look.cast_unsigned(), look) <= LOOK_DISTANCE
                && same_or_unknown(other.taken_at.as_ref(), reading.taken_at.as_ref())
                && same_or_unknown(other.location.as_ref(), location.as_ref())
                && reads_alike(&other.facts, &reading.facts)
        })
        .min_by_key(|other| (look_distance(other.look.cast_unsigned(), look), other.plate));
    Ok(best.map(|other| PlateId(other.plate)))
}

/// At least one value was read on both, and none differs.
fn reads_alike(a: &ReadingFacts, b: &ReadingFacts) -> bool {
    let shared = a.fields.keys().any(|name| b.fields.contains_key(name));
    shared && agree(a, b)
}

fn same_or_unknown<T: PartialEq>(a: Option<&T>, b: Option<&T>) -> bool {
    a.is_none() || b.is_none() || a == b
}

/// Where the bytes of a photo were seen, first one first.
pub(super) fn sources(connection: &Connection, photo: PhotoId) -> Result<Vec<String>, StoreError> {
    all(
        connection,
        "SELECT source FROM sightings WHERE photo_id = ?1 ORDER BY rowid",
        [photo.0],
        |row| row.get(0),
    )
}

impl SqliteRegister {
    pub(super) fn photo_rows(
        &self,
        after: Option<PhotoId>,
        limit: usize,
    ) -> Result<Vec<PhotoRecord>, StoreError> {
        self.read(|connection| {
            let mut rows = all(
                connection,
                &format!("SELECT {PHOTO_COLUMNS} FROM photos WHERE id > ?1 ORDER BY id LIMIT ?2"),
                (
                    after.map_or(0, |id| id.0),
                    i64::try_from(limit).unwrap_or(i64::MAX),
                ),
                photo_row,
            )?;
            for row in &mut rows {
                row.sources = sources(connection, row.id)?;
            }
            Ok(rows)
        })
    }
}
