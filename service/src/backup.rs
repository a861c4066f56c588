//! Backups of a register that is in use, and the way back.
//!
//! A backup is a folder named by its time, with the register as it was at one moment and a
//! manifest that says what belongs to it. Photos lie beside these folders in a pool that all
//! backups of the place share, each under its hash, so that a backup costs what is new:
//!
//! ```text
//! DIR/2026-11-29T150000Z/register.vetplate
//! DIR/2026-11-29T150000Z/manifest.json
//! DIR/photos/ab/ab12…
//! ```
//!
//! The folder gets its name last: what has one was written whole. Whether it still is, only
//! [`verify`] can say.

mod find;
mod make;
mod manifest;
mod restore;
mod scratch;
mod verify;

pub use make::{Made, make};
pub use manifest::Manifest;
pub use restore::restore;
pub use verify::{Verified, verify};

use crate::register::StoreError;
use std::io;
use std::path::{Path, PathBuf};

/// The register within a backup.
const REGISTER: &str = "register.vetplate";
/// What belongs to the backup.
const MANIFEST: &str = "manifest.json";
/// The pool of photos beside the backups.
const PHOTOS: &str = "photos";

/// Why a backup was not made, or is none.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum BackupError {
    /// A file that cannot be read or written.
    #[error("{}: {source}", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// There is no backup.
    #[error(
        "{}: there is no backup here; give the folder of `register backup --to`, or one of the \
         folders in it that are named by their time",
        path.display()
    )]
    NoBackup {
        /// The folder.
        path: PathBuf,
    },
    /// The backup is not what was written.
    #[error("{}: this backup must not be used: {}", path.display(), findings.join("; "))]
    Torn {
        /// The backup.
        path: PathBuf,
        /// What is wrong with it.
        findings: Vec<String>,
    },
    /// There is something where the register is to be restored.
    #[error(
        "{}: there is something here already; a register is restored to an empty place only",
        path.display()
    )]
    Occupied {
        /// The file or folder.
        path: PathBuf,
    },
    /// A register failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// The error of a file.
fn of_file(path: &Path) -> impl Fn(io::Error) -> BackupError {
    let path = path.to_owned();
    move |source| BackupError::File {
        path: path.clone(),
        source,
    }
}
