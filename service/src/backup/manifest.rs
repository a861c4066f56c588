//! What belongs to a backup.

use super::{BackupError, MANIFEST, of_file};
use crate::register::sync_folder;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::Write;
use std::path::Path;

/// The only form there is yet.
pub(super) const FORM: u32 = 1;

/// What belongs to a backup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Manifest {
    /// Form of the backup.
    pub form: u32,
    /// Version of the program that made it.
    pub program: String,
    /// The moment that it shows.
    pub made_at: Timestamp,
    /// SHA-256 of the register's file.
    pub register_sha256: String,
    /// Rows of each table.
    pub rows: BTreeMap<String, u64>,
    /// Photos that the register keeps itself, and that lie in the pool.
    pub photos: u64,
    /// Photos of which the register knows only where they were seen; these are not in it.
    pub elsewhere: u64,
    /// Hashes of photos whose copy was missing or damaged already when the backup was made.
    pub lost: Vec<String>,
}

impl Manifest {
    /// Reads the manifest of the backup in `folder`.
    pub(super) fn read(folder: &Path) -> Result<Self, BackupError> {
        let path = folder.join(MANIFEST);
        let text = std::fs::read(&path).map_err(of_file(&path))?;
        let torn = |finding: String| BackupError::Torn {
            path: folder.to_owned(),
            findings: vec![finding],
        };
        let manifest: Self = serde_json::from_slice(&text)
            .map_err(|e| torn(format!("{MANIFEST} cannot be read: {e}")))?;
        if manifest.form == FORM {
            Ok(manifest)
        } else {
            Err(torn(format!(
                "it has form {}, this program knows form {FORM}; use a newer one",
                manifest.form
            )))
        }
    }

    /// Writes it, last and synced, into `folder`.
    pub(super) fn write(&self, folder: &Path) -> Result<(), BackupError> {
        let path = folder.join(MANIFEST);
        let text = serde_json::to_vec_pretty(self).map_err(|e| BackupError::File {
            path: path.clone(),
            source: std::io::Error::other(e),
        })?;
        File::create_new(&path)
            .and_then(|mut file| {
                file.write_all(&text)?;
                file.sync_all()
            })
            .and_then(|()| sync_folder(folder))
            .map_err(of_file(&path))
    }
}
