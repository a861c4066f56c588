//! A place of which nothing is left.

use super::{BackupError, of_file};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// A folder that goes when it is dropped.
pub(super) struct Scratch(PathBuf);

impl Scratch {
    /// Makes one that nobody else has.
    pub(super) fn new() -> Result<Self, BackupError> {
        static COUNT: AtomicU64 = AtomicU64::new(0);
        let number = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("vetplate-scratch-{}-{number}", std::process::id());
        let path = std::env::temp_dir().join(name);
        // Fails where it is there already, whoever put it there.
        std::fs::create_dir(&path).map_err(of_file(&path))?;
        Ok(Self(path))
    }

    pub(super) fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // What cannot be removed lies in the system's folder for such things.
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
