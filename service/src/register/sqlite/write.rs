//! Writing: every statement is a named step of a transaction.

use super::super::StoreError;
use super::SqliteRegister;
use crate::environment::Environment;
use jiff::Timestamp;
use rusqlite::{ErrorCode, OptionalExtension, Params, Row, Transaction, TransactionBehavior};
use serde_json::Value;
use std::io;
use std::sync::PoisonError;

/// A transaction. Dropped without [`Self::commit`], nothing of it is kept.
pub(super) struct Write<'a> {
    transaction: Transaction<'a>,
    environment: &'a Environment,
    /// The time of everything that is written in it.
    pub(super) at: Timestamp,
}

impl SqliteRegister {
    /// Runs `work` in one transaction, synced when this returns.
    pub(super) fn write<T>(
        &self,
        work: impl FnOnce(&Write<'_>) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let mut connection = self.writer.lock().unwrap_or_else(PoisonError::into_inner);
        let step = "begin a change";
        self.environment
            .step(step)
            .map_err(|e| injected(step, &e))?;
        let transaction = connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(failed(step))?;
        let write = Write {
            transaction,
            environment: &self.environment,
            at: self.environment.clock(),
        };
        let result = work(&write)?;
        write.commit()?;
        Ok(result)
    }
}

impl Write<'_> {
    /// Runs one statement that changes something; answers how many rows it changed.
    pub(super) fn execute(
        &self,
        step: &'static str,
        sql: &str,
        params: impl Params,
    ) -> Result<usize, StoreError> {
        self.environment
            .step(step)
            .map_err(|e| injected(step, &e))?;
        self.transaction
            .prepare_cached(sql)
            .and_then(|mut statement| statement.execute(params))
            .map_err(failed(step))
    }

    /// Inserts one row; answers its number.
    pub(super) fn insert(
        &self,
        step: &'static str,
        sql: &str,
        params: impl Params,
    ) -> Result<i64, StoreError> {
        self.execute(step, sql, params)?;
        Ok(self.transaction.last_insert_rowid())
    }

    /// The first row that a query gives.
    pub(super) fn first<T>(
        &self,
        sql: &str,
        params: impl Params,
        row: impl FnOnce(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Option<T>, StoreError> {
        self.transaction
            .prepare_cached(sql)
            .and_then(|mut statement| statement.query_row(params, row).optional())
            .map_err(failed("look up"))
    }

    /// Every row that a query gives.
    pub(super) fn all<T>(
        &self,
        sql: &str,
        params: impl Params,
        row: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Vec<T>, StoreError> {
        self.transaction
            .prepare_cached(sql)
            .and_then(|mut statement| statement.query_map(params, row)?.collect())
            .map_err(failed("look up"))
    }

    /// The connection, for questions that readers ask, too.
    pub(super) fn connection(&self) -> &rusqlite::Connection {
        &self.transaction
    }

    /// Milliseconds since 1970 of this transaction.
    pub(super) fn millis(&self) -> i64 {
        self.at.as_millisecond()
    }

    /// Adds one line to the history.
    pub(super) fn event(
        &self,
        who: &str,
        (subject, id): (&str, i64),
        what: &str,
        before: &Value,
        after: &Value,
    ) -> Result<(), StoreError> {
        self.execute(
            "write the history",
            "INSERT INTO history (at, who, subject, subject_id, what, before, after)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            (
                self.millis(),
                who,
                subject,
                id,
                what,
                before.to_string(),
                after.to_string(),
            ),
        )?;
        Ok(())
    }

    fn commit(self) -> Result<(), StoreError> {
        let step = "commit a change";
        self.environment
            .step(step)
            .map_err(|e| injected(step, &e))?;
        self.transaction.commit().map_err(failed(step))?;
        // A kill may strike here, too; an error cannot.
        let _ = self.environment.step("after a commit");
        Ok(())
    }
}

/// What the database says as an error of the register.
pub(super) fn failed(step: &'static str) -> impl Fn(rusqlite::Error) -> StoreError {
    move |error| match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => StoreError::Busy,
        Some(ErrorCode::DiskFull) => StoreError::Full,
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
            StoreError::Damaged(error.to_string())
        }
        _ => StoreError::Failed {
            step,
            reason: error.to_string(),
        },
    }
}

/// A step that a test made fail.
pub(super) fn injected(step: &'static str, error: &io::Error) -> StoreError {
    if error.kind() == io::ErrorKind::StorageFull {
        StoreError::Full
    } else {
        StoreError::Failed {
            step,
            reason: error.to_string(),
        }
    }
}
