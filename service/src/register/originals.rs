//! The bytes of photos that the register keeps by itself.

use crate::environment::Environment;
use crate::pipeline::hex;
use sha2::{Digest, Sha256};
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

/// Why a copy could not be kept or read.
#[derive(Debug, thiserror::Error)]
#[error("{}: {source}", path.display())]
pub struct OriginalError {
    /// The file.
    pub path: PathBuf,
    /// What the system says.
    pub source: io::Error,
}

/// Keeps bytes under their hash. Nothing that is kept is ever altered or removed.
pub trait Originals: Send + Sync {
    /// Keeps the bytes; they are on disk, name and all, when it returns. Bytes that are there
    /// already are left as they are.
    ///
    /// # Errors
    ///
    /// [`OriginalError`] where they are not on disk.
    fn keep(&self, sha256: &str, bytes: &[u8]) -> Result<(), OriginalError>;

    /// The bytes.
    ///
    /// # Errors
    ///
    /// [`OriginalError`], also where they are missing.
    fn read(&self, sha256: &str) -> Result<Vec<u8>, OriginalError>;
}

/// A folder of copies, by the first two digits of their hash.
#[derive(Clone)]
pub struct Folder {
    root: PathBuf,
    environment: Environment,
}

impl Folder {
    /// The folder at `root`; it is made when the first photo is kept.
    pub fn new(root: impl Into<PathBuf>, environment: Environment) -> Self {
        Self {
            root: root.into(),
            environment,
        }
    }

    /// Where a photo lies.
    pub fn path(&self, sha256: &str) -> PathBuf {
        let fan = sha256.get(..2).unwrap_or("__");
        self.root.join(fan).join(sha256)
    }

    /// Where it lies as a whole.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// temp → write → fsync → rename → fsync of the folder: after a power failure the file is
    /// there whole, or not at all.
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let folder = path.parent().unwrap_or(&self.root);
        self.environment.step("make the folder of a copy")?;
        let made = !folder.exists();
        fs::create_dir_all(folder)?;
        if made {
            sync_folder(&self.root)?;
            if let Some(above) = self.root.parent() {
                sync_folder(above)?;
            }
        }
        let mut temporary = path.to_owned();
        temporary.set_extension("part");
        self.environment.step("create a copy")?;
        let mut file = File::create(&temporary)?;
        self.environment.step("write a copy")?;
        file.write_all(bytes)?;
        self.environment.step("sync a copy")?;
        file.sync_all()?;
        drop(file);
        self.environment.step("name a copy")?;
        fs::rename(&temporary, path)?;
        self.environment.step("sync the folder of a copy")?;
        sync_folder(folder)
    }
}

/// SHA-256 of a file, in hexadecimal, read piece by piece.
pub(crate) fn file_sha256(path: &Path) -> io::Result<String> {
    let mut file = File::open(path)?;
    let mut hash = Sha256::new();
    let mut piece = vec![0; 1 << 16];
    loop {
        let read = file.read(&mut piece)?;
        if read == 0 {
            return Ok(hex(&hash.finalize()));
        }
        hash.update(&piece[..read]);
    }
}

/// Makes names of a folder last. Windows has no such call and needs none for renames.
pub(crate) fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) && !folder.as_os_str().is_empty() {
        File::open(folder)?.sync_all()?;
    }
    Ok(())
}

impl Originals for Folder {
    fn keep(&self, sha256: &str, bytes: &[u8]) -> Result<(), OriginalError> {
        let path = self.path(sha256);
        // A file of the right size under its final name was written whole: names come last.
        if fs::metadata(&path).is_ok_and(|m| m.len() == bytes.len() as u64) {
            return Ok(());
        }
        self.write(&path, bytes)
            .map_err(|source| OriginalError { path, source })
    }

    fn read(&self, sha256: &str) -> Result<Vec<u8>, OriginalError> {
        let path = self.path(sha256);
        fs::read(&path).map_err(|source| OriginalError { path, source })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn a_copy_is_whole_or_not_there_whatever_step_fails() {
        for failing in 0..6 {
            let dir = tempfile::tempdir().unwrap();
            let count = AtomicUsize::new(0);
            let environment = Environment::system().with_steps(move |_| {
                if count.fetch_add(1, Ordering::Relaxed) == failing {
                    return Err(io::ErrorKind::StorageFull.into());
                }
                Ok(())
            });
            let folder = Folder::new(dir.path().join("copies"), environment);
            let sha = "ab12";
            assert!(folder.keep(sha, b"photo").is_err(), "step {failing}");
            if let Ok(bytes) = folder.read(sha) {
                assert_eq!(bytes, b"photo");
            }
            folder.keep(sha, b"photo").unwrap();
            assert_eq!(folder.read(sha).unwrap(), b"photo");
            assert_eq!(
                fs::read_dir(dir.path().join("copies/ab")).unwrap().count(),
                1
            );
        }
    }
}
