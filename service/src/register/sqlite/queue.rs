//! The queue of photos to read: offers, leases, and how they end.

use super::super::{
    Asked, Claimed, ImportId, ImportRecord, ImportState, Joined, Keyed, Lease, NewPhoto,
    NewReading, Offered, PhotoId, PhotoState, Photos, PlateId, Problem, Received, Sighting, Sorted,
    StoreError,
};
use super::records::{all, first, named};
use super::write::Write;
use super::{SqliteRegister, imports, locations, photos};
use jiff::Timestamp;

/// A photo whose reading ended the program so often is not handed out again by itself.
const MOST_ATTEMPTS: i64 = 3;

impl Photos for SqliteRegister {
    fn offer(
        &self,
        photo: &NewPhoto,
        worker: &str,
        seconds: u32,
        retry: bool,
    ) -> Result<Offered, StoreError> {
        self.write(|write| offer(write, photo, worker, seconds, retry))
    }

    fn state(&self, sha256: &str) -> Result<Option<(PhotoState, Option<String>)>, StoreError> {
        self.read(|connection| {
            first(
                connection,
                "SELECT state, reason FROM photos WHERE sha256 = ?1",
                [sha256],
                |row| Ok((named(row, 0, PhotoState::from_name)?, row.get(1)?)),
            )
        })
    }

    fn plates_on(&self, sha256: &str) -> Result<Vec<PlateId>, StoreError> {
        self.read(|connection| {
            let sql = "SELECT id FROM photos WHERE sha256 = ?1";
            let photo = first(connection, sql, [sha256], |row| row.get(0).map(PhotoId))?;
            photo.map_or(Ok(Vec::new()), |photo| photos::plates_of(connection, photo))
        })
    }

    fn sightings(&self, photo: PhotoId) -> Result<Vec<Sighting>, StoreError> {
        self.read(|connection| sightings(connection, photo))
    }

    fn claim(&self, worker: &str, seconds: u32) -> Result<Option<Claimed>, StoreError> {
        self.write(|write| {
            let next: Option<(i64, String)> = write.first(
                "SELECT id, sha256 FROM photos WHERE state = 'waiting'
                 AND (worker IS NULL OR lease_until <= ?1) AND attempts < ?2
                 ORDER BY id LIMIT 1",
                (write.millis(), MOST_ATTEMPTS),
                |row| Ok((row.get(0)?, row.get(1)?)),
            )?;
            let Some((id, sha256)) = next else {
                return Ok(None);
            };
            let lease = hand_out(write, id, &sha256, worker, seconds)?;
            Ok(Some(claimed(write.connection(), lease)?))
        })
    }

    fn failed(
        &self,
        after: Option<PhotoId>,
        limit: usize,
    ) -> Result<Vec<(PhotoId, Claimed)>, StoreError> {
        self.read(|connection| {
            let rows: Vec<(i64, String)> = all(
                connection,
                "SELECT id, sha256 FROM photos WHERE state = 'failed' AND id > ?1
                 ORDER BY id LIMIT ?2",
                (
                    after.map_or(0, |id| id.0),
                    i64::try_from(limit).unwrap_or(i64::MAX),
                ),
                |row| Ok((row.get(0)?, row.get(1)?)),
            )?;
            rows.into_iter()
                .map(|(id, sha256)| {
                    // No lease at all: whoever wants to try offers the photo again.
                    let lease = Lease {
                        photo: PhotoId(id),
                        sha256,
                        worker: String::new(),
                        fence: -1,
                        until: Timestamp::UNIX_EPOCH,
                    };
                    Ok((PhotoId(id), claimed(connection, lease)?))
                })
                .collect()
        })
    }

    fn renew(&self, lease: &Lease, seconds: u32) -> Result<Lease, StoreError> {
        self.write(|write| {
            let until = until(write, seconds);
            let changed = write.execute(
                "keep a lease",
                "UPDATE photos SET lease_until = ?3 WHERE id = ?1 AND fence = ?2
                 AND state = 'waiting'",
                (lease.photo.0, lease.fence, until.as_millisecond()),
            )?;
            held(changed, lease)?;
            Ok(Lease {
                until,
                ..lease.clone()
            })
        })
    }

    fn finish(
        &self,
        lease: &Lease,
        readings: &[NewReading],
        kept: bool,
        import: Option<ImportId>,
        who: &str,
    ) -> Result<Vec<Joined>, StoreError> {
        self.write(|write| {
            // The first statement asks for the fence, so that a stale worker changes nothing.
            let changed = write.execute(
                "end a lease",
                "UPDATE photos SET worker = NULL, lease_until = NULL, attempts = 0,
                 kept = max(kept, ?3) WHERE id = ?1 AND fence = ?2 AND state = 'waiting'",
                (lease.photo.0, lease.fence, kept),
            )?;
            held(changed, lease)?;
            let joined = photos::take(write, lease.photo, readings, import, who)?;
            if let Some(import) = import {
                imports::taken(write, import)?;
            }
            Ok(joined)
        })
    }

    fn give_up(
        &self,
        lease: &Lease,
        source: &str,
        sorted: &Sorted,
        import: Option<ImportId>,
    ) -> Result<(), StoreError> {
        self.write(|write| {
            let (state, reason) = match sorted {
                Sorted::Refused(reason) => (PhotoState::Refused, Some(reason)),
                Sorted::Failed(reason) => (PhotoState::Failed, Some(reason)),
                Sorted::Held | Sorted::Left => (PhotoState::Waiting, None),
            };
            let changed = write.execute(
                "end a lease without a reading",
                "UPDATE photos SET worker = NULL, lease_until = NULL, attempts = 0, state = ?3,
                 reason = ?4 WHERE id = ?1 AND fence = ?2 AND state = 'waiting'",
                (lease.photo.0, lease.fence, state.name(), reason),
            )?;
            held(changed, lease)?;
            match import {
                Some(import) => imports::sorted(write, import, source, sorted),
                None => Ok(()),
            }
        })
    }

    fn begin_upload(&self, key: &str, content: &str) -> Result<Keyed, StoreError> {
        self.begin_upload_row(key, content)
    }

    fn end_upload(
        &self,
        key: Option<&str>,
        received: Received,
        note: Option<&str>,
        who: &str,
    ) -> Result<(), StoreError> {
        self.end_upload_row(key, received, note, who)
    }

    fn begin_import(
        &self,
        sources: &[String],
        asked: &Asked,
        who: &str,
    ) -> Result<ImportId, StoreError> {
        self.begin_import_row(sources, asked, who)
    }

    fn interrupt_imports(&self) -> Result<(), StoreError> {
        self.interrupt_rows()
    }

    fn waiting_of(&self, import: ImportId) -> Result<u64, StoreError> {
        self.waiting_of_row(import)
    }

    fn count(&self, import: ImportId, source: &str, sorted: &Sorted) -> Result<(), StoreError> {
        self.write(|write| imports::sorted(write, import, source, sorted))
    }

    fn end_import(&self, import: ImportId, state: ImportState) -> Result<ImportRecord, StoreError> {
        self.end_import_row(import, state)
    }

    fn import(&self, import: ImportId) -> Result<Option<ImportRecord>, StoreError> {
        self.import_row(import)
    }

    fn imports(&self, limit: usize) -> Result<Vec<ImportRecord>, StoreError> {
        self.import_rows(limit)
    }

    fn problems(
        &self,
        import: ImportId,
        skip: usize,
        limit: usize,
    ) -> Result<Vec<Problem>, StoreError> {
        self.problem_rows(import, skip, limit)
    }
}

fn until(write: &Write<'_>, seconds: u32) -> Timestamp {
    let millis = write.millis() + i64::from(seconds) * 1000;
    Timestamp::from_millisecond(millis).unwrap_or(Timestamp::MAX)
}

/// One row changed: the fence was the newest.
fn held(changed: usize, lease: &Lease) -> Result<(), StoreError> {
    if changed == 1 {
        Ok(())
    } else {
        Err(StoreError::LeaseLost {
            sha256: lease.sha256.clone(),
        })
    }
}

struct Known {
    id: i64,
    state: PhotoState,
    reason: Option<String>,
    plate: Option<i64>,
    attempts: i64,
    busy: bool,
}

fn offer(
    write: &Write<'_>,
    photo: &NewPhoto,
    worker: &str,
    seconds: u32,
    retry: bool,
) -> Result<Offered, StoreError> {
    let known = write.first(
        "SELECT id, state, reason, plate_id, attempts,
         worker IS NOT NULL AND lease_until > ?2 FROM photos WHERE sha256 = ?1",
        (&photo.sha256, write.millis()),
        |row| {
            Ok(Known {
                id: row.get(0)?,
                state: named(row, 1, PhotoState::from_name)?,
                reason: row.get(2)?,
                plate: row.get(3)?,
                attempts: row.get(4)?,
                busy: row.get(5)?,
            })
        },
    )?;
    let Some(known) = known else {
        let id = add(write, photo, worker)?;
        sight(write, id, &photo.sighting)?;
        let lease = hand_out(write, id, &photo.sha256, worker, seconds)?;
        return Ok(Offered::ToRead(lease));
    };
    sight(write, known.id, &photo.sighting)?;
    if photo.kept {
        write.execute(
            "note that a copy is kept",
            "UPDATE photos SET kept = 1 WHERE id = ?1 AND kept = 0",
            [known.id],
        )?;
    }
    let ended_the_program = known.state == PhotoState::Waiting && known.attempts >= MOST_ATTEMPTS;
    if !retry && (known.state == PhotoState::Failed || ended_the_program) {
        return Ok(Offered::FailedBefore {
            reason: known.reason.unwrap_or_else(|| {
                format!("the program ended {MOST_ATTEMPTS} times while it was being read")
            }),
        });
    }
    if known.state == PhotoState::Read || known.busy {
        let first_seen = write.first(
            "SELECT source FROM sightings WHERE photo_id = ?1 ORDER BY rowid LIMIT 1",
            [known.id],
            |row| row.get(0),
        )?;
        return Ok(Offered::Held {
            photo: PhotoId(known.id),
            plate: known.plate.map(PlateId),
            first_seen: first_seen.unwrap_or_default(),
        });
    }
    locate(write, known.id, photo, worker)?;
    let lease = hand_out(write, known.id, &photo.sha256, worker, seconds)?;
    Ok(Offered::ToRead(lease))
}

fn add(write: &Write<'_>, photo: &NewPhoto, who: &str) -> Result<i64, StoreError> {
    let id = write.insert(
        "add a photo",
        "INSERT INTO photos (sha256, bytes, state, kept, added_at)
         VALUES (?1, ?2, 'waiting', ?3, ?4)",
        (
            &photo.sha256,
            i64::try_from(photo.bytes).unwrap_or(i64::MAX),
            photo.kept,
            write.millis(),
        ),
    )?;
    locate(write, id, photo, who)?;
    Ok(id)
}

/// Gives a photo its location and tag, where it has none yet.
fn locate(write: &Write<'_>, id: i64, photo: &NewPhoto, who: &str) -> Result<(), StoreError> {
    if photo.location.is_none() && photo.tag.is_none() {
        return Ok(());
    }
    let location = photo
        .location
        .as_deref()
        .map(|tag| locations::ensure(write, tag, who))
        .transpose()?;
    write.execute(
        "locate a photo",
        "UPDATE photos SET location_id = coalesce(location_id, ?2), tag = coalesce(tag, ?3)
         WHERE id = ?1",
        (id, location, &photo.tag),
    )?;
    Ok(())
}

fn sight(write: &Write<'_>, id: i64, sighting: &Sighting) -> Result<(), StoreError> {
    write.execute(
        "note where a photo was seen",
        "INSERT INTO sightings (photo_id, source, raw, seen_at) VALUES (?1, ?2, ?3, ?4)
         ON CONFLICT DO NOTHING",
        (id, &sighting.source, &sighting.raw, write.millis()),
    )?;
    Ok(())
}

/// Hands a photo out. The attempt counts from now on, so that one that ends the program counts.
fn hand_out(
    write: &Write<'_>,
    id: i64,
    sha256: &str,
    worker: &str,
    seconds: u32,
) -> Result<Lease, StoreError> {
    let until = until(write, seconds);
    write.execute(
        "hand a photo out",
        "UPDATE photos SET state = 'waiting', reason = NULL, worker = ?2, lease_until = ?3,
         fence = fence + 1, attempts = attempts + 1 WHERE id = ?1",
        (id, worker, until.as_millisecond()),
    )?;
    let fence = write.first("SELECT fence FROM photos WHERE id = ?1", [id], |row| {
        row.get(0)
    })?;
    Ok(Lease {
        photo: PhotoId(id),
        sha256: sha256.to_owned(),
        worker: worker.to_owned(),
        fence: fence.unwrap_or(0),
        until,
    })
}

fn claimed(connection: &rusqlite::Connection, lease: Lease) -> Result<Claimed, StoreError> {
    let (kept, location) = first(
        connection,
        "SELECT f.kept, l.tag FROM photos f LEFT JOIN locations l ON l.id = f.location_id
         WHERE f.id = ?1",
        [lease.photo.0],
        |row| Ok((row.get(0)?, row.get(1)?)),
    )?
    .unwrap_or((false, None));
    let sightings = sightings(connection, lease.photo)?;
    Ok(Claimed {
        lease,
        kept,
        sightings,
        location,
    })
}

fn sightings(
    connection: &rusqlite::Connection,
    photo: PhotoId,
) -> Result<Vec<Sighting>, StoreError> {
    all(
        connection,
        "SELECT source, raw FROM sightings WHERE photo_id = ?1 ORDER BY rowid",
        [photo.0],
        |row| {
            Ok(Sighting {
                source: row.get(0)?,
                raw: row.get(1)?,
            })
        },
    )
}
