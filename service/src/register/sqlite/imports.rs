//! The accounts of imports.

use super::super::{
    Accounts, Asked, ImportId, ImportRecord, ImportState, Origin, Problem, Sorted, StoreError,
};
use super::SqliteRegister;
use super::records::{all, count, first, json, named, text, time};
use super::write::Write;
use rusqlite::Row;

const COLUMNS: &str = "id, who, sources, state, started_at, ended_at, seen, taken, held, refused, \
     failed, left_over, origin, kept, location, resumes, \
     (SELECT max(next.id) FROM imports next WHERE next.resumes = imports.id)";

fn import_row(row: &Row<'_>) -> rusqlite::Result<ImportRecord> {
    let ended: Option<i64> = row.get(5)?;
    Ok(ImportRecord {
        id: ImportId(row.get(0)?),
        asked: Asked {
            origin: named(row, 12, Origin::from_name)?,
            kept: row.get(13)?,
            location: row.get(14)?,
            resumes: row.get::<_, Option<i64>>(15)?.map(ImportId),
        },
        resumed_by: row.get::<_, Option<i64>>(16)?.map(ImportId),
        who: row.get(1)?,
        sources: json(row, 2)?,
        state: named(row, 3, ImportState::from_name)?,
        started_at: time(row, 4)?,
        ended_at: ended.map(|_| time(row, 5)).transpose()?,
        accounts: Accounts {
            seen: count(row, 6)?,
            taken: count(row, 7)?,
            held: count(row, 8)?,
            refused: count(row, 9)?,
            failed: count(row, 10)?,
            left: count(row, 11)?,
        },
    })
}

/// Counts a photo that was taken.
pub(super) fn taken(write: &Write<'_>, import: ImportId) -> Result<(), StoreError> {
    write.execute(
        "count a photo as taken",
        "UPDATE imports SET seen = seen + 1, taken = taken + 1 WHERE id = ?1",
        [import.0],
    )?;
    Ok(())
}

/// Counts a file that was not taken, and keeps why.
pub(super) fn sorted(
    write: &Write<'_>,
    import: ImportId,
    source: &str,
    sorted: &Sorted,
) -> Result<(), StoreError> {
    let (sql, reason) = match sorted {
        Sorted::Held => (
            "UPDATE imports SET seen = seen + 1, held = held + 1 WHERE id = ?1",
            None,
        ),
        Sorted::Refused(reason) => (
            "UPDATE imports SET seen = seen + 1, refused = refused + 1 WHERE id = ?1",
            Some((false, reason)),
        ),
        Sorted::Failed(reason) => (
            "UPDATE imports SET seen = seen + 1, failed = failed + 1 WHERE id = ?1",
            Some((true, reason)),
        ),
        Sorted::Left => (
            "UPDATE imports SET left_over = left_over + 1 WHERE id = ?1",
            None,
        ),
    };
    write.execute("count a file", sql, [import.0])?;
    if let Some((failed, reason)) = reason {
        write.execute(
            "name a file that was not taken",
            "INSERT INTO problems (import_id, source, failed, reason) VALUES (?1, ?2, ?3, ?4)",
            (import.0, source, failed, reason),
        )?;
    }
    Ok(())
}

fn interrupt(write: &Write<'_>) -> Result<(), StoreError> {
    write.execute(
        "mark imports that never ended",
        "UPDATE imports SET state = 'interrupted', ended_at = ?1 WHERE state = 'running'",
        [write.millis()],
    )?;
    write.execute(
        "free what they had in hand",
        "UPDATE photos SET worker = NULL, lease_until = NULL
         WHERE state = 'waiting' AND worker IS NOT NULL",
        [],
    )?;
    Ok(())
}

impl SqliteRegister {
    pub(super) fn begin_import_row(
        &self,
        sources: &[String],
        asked: &Asked,
        who: &str,
    ) -> Result<ImportId, StoreError> {
        self.write(|write| {
            interrupt(write)?;
            let id = write.insert(
                "begin an import",
                "INSERT INTO imports (who, sources, state, started_at, origin, kept, location,
                 resumes) VALUES (?1, ?2, 'running', ?3, ?4, ?5, ?6, ?7)",
                (
                    who,
                    text(&sources)?,
                    write.millis(),
                    asked.origin.name(),
                    asked.kept,
                    &asked.location,
                    asked.resumes.map(|id| id.0),
                ),
            )?;
            Ok(ImportId(id))
        })
    }

    pub(super) fn interrupt_rows(&self) -> Result<(), StoreError> {
        self.write(interrupt)
    }

    pub(super) fn waiting_of_row(&self, import: ImportId) -> Result<u64, StoreError> {
        let waiting = self.read(|connection| {
            first(
                connection,
                "SELECT count(*) FROM plates WHERE review IN ('waiting', 'put_back')
                 AND id IN (SELECT plate_id FROM photos WHERE import_id = ?1
                     UNION ALL SELECT n.plate_id FROM photos f
                     JOIN further_plates n ON n.photo_id = f.id WHERE f.import_id = ?1)",
                [import.0],
                |row| count(row, 0),
            )
        })?;
        Ok(waiting.unwrap_or(0))
    }

    pub(super) fn end_import_row(
        &self,
        import: ImportId,
        state: ImportState,
    ) -> Result<ImportRecord, StoreError> {
        self.write(|write| {
            write.execute(
                "end an import",
                "UPDATE imports SET state = ?2, ended_at = ?3 WHERE id = ?1",
                (import.0, state.name(), write.millis()),
            )?;
            write
                .first(
                    &format!("SELECT {COLUMNS} FROM imports WHERE id = ?1"),
                    [import.0],
                    import_row,
                )?
                .ok_or_else(|| StoreError::NotFound {
                    what: "import",
                    id: import.to_string(),
                })
        })
    }

    pub(super) fn import_row(&self, import: ImportId) -> Result<Option<ImportRecord>, StoreError> {
        self.read(|connection| {
            first(
                connection,
                &format!("SELECT {COLUMNS} FROM imports WHERE id = ?1"),
                [import.0],
                import_row,
            )
        })
    }

    pub(super) fn import_rows(&self, limit: usize) -> Result<Vec<ImportRecord>, StoreError> {
        self.read(|connection| {
            all(
                connection,
                &format!("SELECT {COLUMNS} FROM imports ORDER BY id DESC LIMIT ?1"),
                [i64::try_from(limit).unwrap_or(i64::MAX)],
                import_row,
            )
        })
    }

    pub(super) fn problem_rows(
        &self,
        import: ImportId,
        skip: usize,
        limit: usize,
    ) -> Result<Vec<Problem>, StoreError> {
        self.read(|connection| {
            all(
                connection,
                "SELECT source, failed, reason FROM problems WHERE import_id = ?1
                 ORDER BY id LIMIT ?2 OFFSET ?3",
                (
                    import.0,
                    i64::try_from(limit).unwrap_or(i64::MAX),
                    i64::try_from(skip).unwrap_or(i64::MAX),
                ),
                |row| {
                    Ok(Problem {
                        source: row.get(0)?,
                        failed: row.get(1)?,
                        reason: row.get(2)?,
                    })
                },
            )
        })
    }
}
