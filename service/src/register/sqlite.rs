//! The register in one file of `SQLite`.
//!
//! One connection writes, others read beside it (write-ahead log). Every change is one short
//! transaction that is synced before the call returns.

mod certificates;
mod check;
mod copy;
mod imports;
mod kept;
mod list;
mod locations;
mod open;
mod people;
mod photos;
mod plates;
mod queue;
mod records;
mod refresh;
mod settings;
mod store;
mod uploads;
mod write;

pub use check::CheckFinding;

use super::StoreError;
use crate::environment::Environment;
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// Connections that are kept open for readers; more are opened and closed on demand.
const IDLE_READERS: usize = 4;

/// A register in one file of `SQLite`.
pub struct SqliteRegister {
    path: PathBuf,
    environment: Environment,
    writer: Mutex<Connection>,
    readers: Mutex<Vec<Connection>>,
    certificates: Mutex<certificates::Held>,
}

impl SqliteRegister {
    /// Opens the register at `path`; with `create`, makes it where there is none.
    ///
    /// An older schema is brought forward, all or nothing, after a copy was put beside the file.
    ///
    /// # Errors
    ///
    /// [`StoreError::Missing`], [`StoreError::NotARegister`], [`StoreError::Newer`] and
    /// whatever else keeps it from being opened.
    pub fn open(path: &Path, create: bool, environment: Environment) -> Result<Self, StoreError> {
        let writer = open::open(path, create, &environment, &open::MIGRATIONS)?;
        Ok(Self {
            path: path.to_owned(),
            environment,
            writer: Mutex::new(writer),
            readers: Mutex::new(Vec::new()),
            certificates: Mutex::default(),
        })
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Clock and ids.
    pub fn environment(&self) -> &Environment {
        &self.environment
    }

    /// Runs `work` on a connection for reading.
    fn read<T>(
        &self,
        work: impl FnOnce(&Connection) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let step = "look into the register";
        self.environment
            .step(step)
            .map_err(|e| write::injected(step, &e))?;
        let idle = self
            .readers
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .pop();
        let connection = match idle {
            Some(connection) => connection,
            None => open::reader(&self.path)?,
        };
        let result = work(&connection);
        let mut readers = self.readers.lock().unwrap_or_else(PoisonError::into_inner);
        if readers.len() < IDLE_READERS {
            readers.push(connection);
        }
        result
    }
}
