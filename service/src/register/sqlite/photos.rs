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

/// Keeps the readings of a photo, one for each plate on it, and joins each to its plate.
pub(super) fn take(
    write: &Write<'_>,
    photo: PhotoId,
    readings: &[NewReading],
    import: Option<ImportId>,
    who: &str,
) -> Result<Vec<Joined>, StoreError> {
    let Some(first) = readings.first() else {
        return Err(StoreError::Damaged(format!("photo {photo} has no reading")));
    };
    let mut arrival = Arrival::of(write, photo, who)?;
    // A list names one piece of equipment a photo: with two, nobody knows which it means.
    let tag = arrival.tag.take();
    arrival.tag = tag.filter(|_| readings.len() == 1);
    let id = keep_reading(write, photo, 0, first)?;
    let joined = arrival.join(write, first, 0)?;
    let look = first.facts.look;
    let quarters = look.map(quarters);
    let quarter = |n: usize| quarters.map(|q| q[n]);
    write.execute(
        "mark a photo as read",
        "UPDATE photos SET state = 'read', reason = NULL, plate_id = ?2, reading_id = ?3,
         import_id = ?4, width = ?5, height = ?6, taken_at = ?7, north = ?8, east = ?9,
         look = ?10, look_0 = ?11, look_1 = ?12, look_2 = ?13, look_3 = ?14 WHERE id = ?1",
        rusqlite::params![
            photo.0,
            joined.0,
            id.0,
            import.map(|i| i.0),
            first.size.0,
            first.size.1,
            &first.taken_at,
            first.gps.map(|g| g[0]),
            first.gps.map(|g| g[1]),
            look.map(u64::cast_signed),
            quarter(0),
            quarter(1),
            quarter(2),
            quarter(3),
        ],
    )?;
    arrival.add(write, &readings[1..])?;
    arrival.refresh_all(write, None)
}

/// Adds the readings of plates that a photo shows beside those that are known of it.
pub(super) fn add_further(
    write: &Write<'_>,
    photo: PhotoId,
    readings: &[NewReading],
    cause: &str,
    who: &str,
) -> Result<Vec<Joined>, StoreError> {
    let mut arrival = Arrival::of(write, photo, who)?;
    arrival.tag = None;
    arrival.plates = plates_of(write.connection(), photo)?;
    arrival.add(write, readings)?;
    arrival.refresh_all(write, Some(cause))
}

/// A photo on its way to its plates.
struct Arrival<'a> {
    photo: PhotoId,
    who: &'a str,
    location: Option<i64>,
    tag: Option<String>,
    /// The plates that the photo is known to show.
    plates: Vec<PlateId>,
    /// How each reading found its plate, what the row of the plate said before, and the version of
    /// the program that read.
    joined: Vec<(Joined, Value, String)>,
}

impl<'a> Arrival<'a> {
    fn of(write: &Write<'_>, photo: PhotoId, who: &'a str) -> Result<Self, StoreError> {
        let (location, tag) = write
            .first(
                "SELECT location_id, tag FROM photos WHERE id = ?1",
                [photo.0],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )?
            .unwrap_or((None, None));
        Ok(Self {
            photo,
            who,
            location,
            tag,
            plates: Vec::new(),
            joined: Vec::new(),
        })
    }

    /// Adds readings behind those of the plates that are known of the photo already.
    fn add(&mut self, write: &Write<'_>, readings: &[NewReading]) -> Result<(), StoreError> {
        for reading in readings {
            let part = i64::try_from(self.plates.len()).unwrap_or(i64::MAX);
            let id = keep_reading(write, self.photo, part, reading)?;
            let plate = self.join(write, reading, part)?;
            write.execute(
                "note a further plate of a photo",
                "INSERT INTO further_plates (photo_id, part, plate_id, reading_id)
                 VALUES (?1, ?2, ?3, ?4)",
                (self.photo.0, part, plate.0, id.0),
            )?;
        }
        Ok(())
    }

    /// Finds the plate that a reading belongs to, a new one where it fits none. Plates of the same
    /// photo are others, unless serial number and certificate say otherwise.
    fn join(
        &mut self,
        write: &Write<'_>,
        reading: &NewReading,
        part: i64,
    ) -> Result<PlateId, StoreError> {
        let found = match by_identity(write, &reading.facts)? {
            Some(plate) => Some(Joined::ByIdentity(plate)),
            None => self.by_look(write, reading, part)?,
        };
        let (joined, before) = if let Some(joined) = found {
            (joined, state(write, joined.plate().0)?)
        } else {
            let plate = new_plate(write, self.location, self.tag.as_deref())?;
            (Joined::New(PlateId(plate)), Value::Null)
        };
        let plate = joined.plate();
        write.execute(
            "name and place a plate that lacks it",
            "UPDATE plates SET tag = coalesce(tag, ?2), location_id = coalesce(location_id, ?3)
             WHERE id = ?1",
            (plate.0, &self.tag, self.location),
        )?;
        keep_keys(write, plate, &reading.facts)?;
        self.plates.push(plate);
        self.joined.push((joined, before, reading.program.clone()));
        Ok(plate)
    }

    /// Puts the readings of each plate together again, once all are there.
    fn refresh_all(
        self,
        write: &Write<'_>,
        cause: Option<&str>,
    ) -> Result<Vec<Joined>, StoreError> {
        for (joined, before, program) in &self.joined {
            let what = match joined {
                Joined::New(_) => "read",
                Joined::ByIdentity(_) => "joined by serial number and certificate",
                Joined::ByLook(_) => "joined by look",
            };
            let cause = Cause {
                who: self.who,
                what: cause.unwrap_or(what),
                verdict: cause.unwrap_or("read"),
                program,
                photo: Some(self.photo),
            };
            refresh(write, joined.plate().0, before, &cause)?;
        }
        Ok(self.joined.into_iter().map(|(joined, ..)| joined).collect())
    }

    /// A plate one of whose photos looks the same, where nothing at all speaks against it.
    fn by_look(
        &self,
        write: &Write<'_>,
        reading: &NewReading,
        part: i64,
    ) -> Result<Option<Joined>, StoreError> {
        let Some(look) = reading.facts.look else {
            return Ok(None);
        };
        let [a, b, c, d] = quarters(look);
        let alike = write.all(ALIKE, (a, b, c, d, self.photo.0, MOST_ALIKE), |row| {
            Ok(Alike {
                plate: row.get(0)?,
                part: row.get(1)?,
                look: row.get(2)?,
                taken_at: row.get(3)?,
                location: row.get(4)?,
                facts: json(row, 5)?,
            })
        })?;
        let distance = |other: &Alike| look_distance(other.look.cast_unsigned(), look);
        let best = alike
            .into_iter()
            .filter(|other| {
                distance(other) <= LOOK_DISTANCE
                    && !self.plates.contains(&PlateId(other.plate))
                    && same_or_unknown(other.taken_at.as_ref(), reading.taken_at.as_ref())
                    && same_or_unknown(other.location.as_ref(), self.location.as_ref())
                    && reads_alike(&other.facts, &reading.facts)
            })
            .min_by_key(|other| (distance(other), other.part != part, other.plate));
        Ok(best.map(|other| Joined::ByLook(PlateId(other.plate))))
    }
}

/// Adds a reading; answers its row.
pub(super) fn keep_reading(
    write: &Write<'_>,
    photo: PhotoId,
    part: i64,
    reading: &NewReading,
) -> Result<ReadingId, StoreError> {
    write
        .insert(
            "add a reading",
            "INSERT INTO readings (photo_id, part, at, program, models, facts, answer, evidence)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            (
                photo.0,
                part,
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

/// Makes another reading of a plate on a photo the one that counts.
pub(super) fn count_reading(
    write: &Write<'_>,
    photo: PhotoId,
    part: i64,
    reading: ReadingId,
) -> Result<(), StoreError> {
    const STEP: &str = "make another reading count";
    if part == 0 {
        let sql = "UPDATE photos SET reading_id = ?2 WHERE id = ?1";
        write.execute(STEP, sql, (photo.0, reading.0))?;
    } else {
        let sql = "UPDATE further_plates SET reading_id = ?3 WHERE photo_id = ?1 AND part = ?2";
        write.execute(STEP, sql, (photo.0, part, reading.0))?;
    }
    Ok(())
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

/// Plates of photos that share a quarter of their look with a photo, and are not of that photo.
const ALIKE: &str = "\
    SELECT f.plate_id, 0, f.look, f.taken_at, f.location_id, r.facts FROM photos f
    JOIN readings r ON r.id = f.reading_id
    WHERE f.look IS NOT NULL AND f.state = 'read' AND f.id <> ?5
    AND (f.look_0 = ?1 OR f.look_1 = ?2 OR f.look_2 = ?3 OR f.look_3 = ?4)
    UNION ALL
    SELECT n.plate_id, n.part, f.look, f.taken_at, f.location_id, r.facts FROM photos f
    JOIN further_plates n ON n.photo_id = f.id JOIN readings r ON r.id = n.reading_id
    WHERE f.look IS NOT NULL AND f.state = 'read' AND f.id <> ?5
    AND (f.look_0 = ?1 OR f.look_1 = ?2 OR f.look_2 = ?3 OR f.look_3 = ?4)
    LIMIT ?6";

struct Alike {
    plate: i64,
    part: i64,
    look: i64,
    taken_at: Option<String>,
    location: Option<i64>,
    facts: ReadingFacts,
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

/// The plates that a photo shows, in the order of their parts.
pub(super) fn plates_of(
    connection: &Connection,
    photo: PhotoId,
) -> Result<Vec<PlateId>, StoreError> {
    all(
        connection,
        "SELECT plate_id FROM shown WHERE photo_id = ?1 ORDER BY part",
        [photo.0],
        |row| row.get(0).map(PlateId),
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
                &format!(
                    "SELECT {PHOTO_COLUMNS} FROM photos f WHERE f.id > ?1 ORDER BY f.id LIMIT ?2"
                ),
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
