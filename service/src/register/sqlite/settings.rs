//! What the register knows of itself.

use super::super::StoreError;
use super::SqliteRegister;
use super::records::first;
use jiff::Timestamp;
use std::path::PathBuf;

/// Key of the folder of copies.
const COPIES: &str = "copies";
/// Key of the moment at which somebody last asked whether changes can be kept.
const PROVED: &str = "proved";
/// Key of the last backup that was verified.
const BACKUP: &str = "backup_verified";

impl SqliteRegister {
    /// The folder of copies; none where none is kept. Where it was given as a plain name, it
    /// stands beside the register, so that both can be moved together.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub fn copies(&self) -> Result<Option<PathBuf>, StoreError> {
        let kept = self.setting(COPIES)?;
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
        self.put_setting("remember the folder of copies", COPIES, folder)
    }

    /// The moment that the last verified backup shows; none where there is none.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub fn verified_backup(&self) -> Result<Option<Timestamp>, StoreError> {
        let kept = self.setting(BACKUP)?;
        kept.map(|text| {
            text.parse()
                .map_err(|e| StoreError::Damaged(format!("{BACKUP} is {text:?}: {e}")))
        })
        .transpose()
    }

    /// Remembers that a backup of that moment was verified; an older one changes nothing.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub fn set_verified_backup(&self, made_at: Timestamp) -> Result<(), StoreError> {
        if self.verified_backup()?.is_some_and(|held| held >= made_at) {
            return Ok(());
        }
        self.put_setting("remember a verified backup", BACKUP, &made_at.to_string())
    }

    pub(super) fn prove_row(&self) -> Result<Option<Timestamp>, StoreError> {
        let now = self.environment().clock().to_string();
        self.put_setting("prove that it can be written", PROVED, &now)?;
        self.verified_backup()
    }

    fn setting(&self, key: &str) -> Result<Option<String>, StoreError> {
        self.read(|connection| {
            first(
                connection,
                "SELECT value FROM settings WHERE key = ?1",
                [key],
                |row| row.get(0),
            )
        })
    }

    fn put_setting(&self, step: &'static str, key: &str, value: &str) -> Result<(), StoreError> {
        self.write(|write| {
            write.execute(
                step,
                "INSERT INTO settings (key, value) VALUES (?1, ?2)
                 ON CONFLICT DO UPDATE SET value = excluded.value",
                (key, value),
            )?;
            Ok(())
        })
    }
}
