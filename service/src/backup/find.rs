//! Which folder is meant.

use super::{BackupError, MANIFEST, PHOTOS, of_file};
use std::path::{Path, PathBuf};

/// The backup at `path`, or the newest in it.
pub(super) fn backup_at(path: &Path) -> Result<PathBuf, BackupError> {
    if path.join(MANIFEST).exists() {
        return Ok(path.to_owned());
    }
    let none = || BackupError::NoBackup {
        path: path.to_owned(),
    };
    if !path.is_dir() {
        return Err(none());
    }
    let mut newest: Option<PathBuf> = None;
    for entry in std::fs::read_dir(path).map_err(of_file(path))? {
        let folder = entry.map_err(of_file(path))?.path();
        // Names are times, so that the last by name is the newest.
        let is_newer = newest.as_ref().is_none_or(|newest| folder > *newest);
        if is_newer && folder.join(MANIFEST).exists() {
            newest = Some(folder);
        }
    }
    newest.ok_or_else(none)
}

/// The pool of photos that belongs to the backup in `folder`.
pub(super) fn pool_of(folder: &Path) -> PathBuf {
    folder.parent().unwrap_or(Path::new("")).join(PHOTOS)
}
