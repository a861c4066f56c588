//! What the register knows of itself.

use super::super::StoreError;
use super::SqliteRegister;
use super::records::first;
use std::path::PathBuf;

/// Key of the folder of copies.
const COPIES: &str = "copies";

impl SqliteRegister {
    /// The folder of copies; none where none is kept. Where it was given as a plain name, it
    /// stands beside the register, so that both can be moved together.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub fn copies(&self) -> Result<Option<PathBuf>, StoreError> {
        let kept: Option<String> = self.read(|connection| {
            first(
                connection,
                "SELECT value FROM settings WHERE key = ?1",
                [COPIES],
                |row| row.get(0),
            )
        })?;
        Ok(kept.map(|name| {
            let beside = self.path().parent().map(|p| p.join(&name));
            beside.unwrap_or_else(|| PathBuf::from(name))
        }))
    }

    /// Remembers the folder of copies, a plain name beside the register or a whole path.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub fn set_copies(&self, folder: &str) -> Result<(), StoreError> {
        self.write(|write| {
            write.execute(
                "remember the folder of copies",
                "INSERT INTO settings (key, value) VALUES (?1, ?2)
                 ON CONFLICT DO UPDATE SET value = excluded.value",
                (COPIES, folder),
            )?;
            Ok(())
        })
    }
}
