//! The register as a whole: copied while it is in use, and put into one file.

use super::super::StoreError;
use super::SqliteRegister;
use super::records::all;
use super::write::failed;
use rusqlite::Connection;
use rusqlite::backup::Backup;
use std::collections::BTreeMap;
use std::fs::File;
use std::path::Path;
use std::sync::PoisonError;

const STEP: &str = "copy the register";

impl SqliteRegister {
    /// Copies the register as it is at one moment to a new file, which is on disk when this
    /// returns. Others read and write meanwhile.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub(crate) fn copy_to(&self, path: &Path) -> Result<(), StoreError> {
        let fault = |e: std::io::Error| StoreError::Failed {
            step: STEP,
            reason: format!("{}: {e}", path.display()),
        };
        // Accounts are in it: for the eyes of its owner alone.
        private(path).map_err(fault)?;
        self.read(|connection| {
            let mut target = Connection::open(path).map_err(failed(STEP))?;
            let backup = Backup::new(connection, &mut target).map_err(failed(STEP))?;
            // In one step, so that it is one moment; in write-ahead mode nobody waits for it.
            backup.step(-1).map_err(failed(STEP))?;
            drop(backup);
            target.close().map_err(|(_, e)| failed(STEP)(e))
        })?;
        File::open(path)
            .and_then(|file| file.sync_all())
            .map_err(fault)
    }

    /// How many rows each table has; what only serves the search is left out.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub(crate) fn row_counts(&self) -> Result<BTreeMap<String, u64>, StoreError> {
        self.read(|connection| {
            let tables: Vec<String> = all(
                connection,
                "SELECT name FROM sqlite_schema WHERE type = 'table'
                     AND name NOT LIKE 'sqlite%' AND name NOT LIKE 'plate_text%'",
                [],
                |row| row.get(0),
            )?;
            let mut counts = BTreeMap::new();
            for table in tables {
                // The name comes from the schema, which is ours.
                let sql = format!("SELECT count(*) FROM \"{table}\"");
                let count: i64 = connection
                    .query_row(&sql, [], |row| row.get(0))
                    .map_err(failed("count"))?;
                counts.insert(table, count.unsigned_abs());
            }
            Ok(counts)
        })
    }

    /// Ends the use of a register that nobody else has open: all of it is in its one file then.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub(crate) fn close_whole(self) -> Result<(), StoreError> {
        let step = "close the register";
        drop(self.readers);
        let writer = self
            .writer
            .into_inner()
            .unwrap_or_else(PoisonError::into_inner);
        writer
            .pragma_update(None, "journal_mode", "delete")
            .map_err(failed(step))?;
        writer.close().map_err(|(_, e)| failed(step)(e))
    }
}

#[cfg(unix)]
fn private(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::OpenOptionsExt;
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true).mode(0o600);
    options.open(path).map(drop)
}

#[cfg(not(unix))]
fn private(path: &Path) -> std::io::Result<()> {
    File::create_new(path).map(drop)
}
