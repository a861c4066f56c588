//! One import at a time into one register.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};

/// Why the lock could not be had.
#[derive(Debug, thiserror::Error)]
pub enum LockError {
    /// Another import has it.
    #[error("another import is at work on this register; wait for it, or stop it ({})", .0.display())]
    Taken(PathBuf),
    /// The system refused.
    #[error("{}: {reason}", path.display())]
    Refused {
        /// The lock's file.
        path: PathBuf,
        /// What the system says.
        reason: String,
    },
}

/// Held while an import runs. The system lets go of it when the program ends, however it ends.
#[derive(Debug)]
pub struct ImportLock {
    _file: File,
    path: PathBuf,
}

impl ImportLock {
    /// Takes the lock of the register at `register`.
    ///
    /// # Errors
    ///
    /// [`LockError::Taken`] where another import runs.
    pub fn take(register: &Path) -> Result<Self, LockError> {
        let mut name = register.file_name().unwrap_or_default().to_owned();
        name.push(".lock");
        let path = register.with_file_name(name);
        let refused = |e: std::io::Error| LockError::Refused {
            path: path.clone(),
            reason: e.to_string(),
        };
        let file = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
            .map_err(refused)?;
        match file.try_lock() {
            Ok(()) => Ok(Self { _file: file, path }),
            Err(TryLockError::WouldBlock) => Err(LockError::Taken(path)),
            Err(TryLockError::Error(e)) => Err(refused(e)),
        }
    }

    /// The lock's file, which stays and is no photo.
    pub fn path(&self) -> &Path {
        &self.path
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_one_has_it_at_a_time() {
        let dir = tempfile::tempdir().unwrap();
        let register = dir.path().join("r.db");
        let first = ImportLock::take(&register).unwrap();
        assert!(matches!(
            ImportLock::take(&register),
            Err(LockError::Taken(_))
        ));
        drop(first);
        ImportLock::take(&register).unwrap();
    }
}
