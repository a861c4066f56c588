//! Opening, making and migrating the file.

use super::super::StoreError;
use super::write::failed;
use crate::environment::Environment;
use rusqlite::{Connection, ErrorCode, OpenFlags, TransactionBehavior};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Marks the file as ours: "VETP".
const APPLICATION_ID: i64 = 0x5645_5450;
/// How long a writer waits for another one.
const BUSY: Duration = Duration::from_secs(10);

/// Step n brings schema n to schema n + 1. Steps are only ever added.
pub(super) const MIGRATIONS: [&str; 4] = [
    include_str!("schema_1.sql"),
    include_str!("schema_2.sql"),
    include_str!("schema_3.sql"),
    include_str!("schema_4.sql"),
];

/// Opens the file for writing, makes it where `create` says so, and migrates it.
pub(super) fn open(
    path: &Path,
    create: bool,
    environment: &Environment,
    migrations: &[&str],
) -> Result<Connection, StoreError> {
    if !create && !path.exists() {
        return Err(StoreError::Missing {
            path: path.to_owned(),
        });
    }
    let mut flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    if create {
        flags |= OpenFlags::SQLITE_OPEN_CREATE;
    }
    let mut connection =
        Connection::open_with_flags(path, flags).map_err(|e| unopenable(path, &e))?;
    configure(&connection).map_err(|e| unopenable(path, &e))?;
    migrate(&mut connection, path, create, environment, migrations)?;
    // Only now is it known to be ours; a stranger's file is left as it is.
    connection
        .pragma_update(None, "journal_mode", "wal")
        .map_err(|e| unopenable(path, &e))?;
    Ok(connection)
}

/// Opens the file for reading.
pub(super) fn reader(path: &Path) -> Result<Connection, StoreError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags).map_err(|e| unopenable(path, &e))?;
    configure(&connection).map_err(|e| unopenable(path, &e))?;
    connection
        .pragma_update(None, "query_only", true)
        .map_err(|e| unopenable(path, &e))?;
    Ok(connection)
}

fn configure(connection: &Connection) -> rusqlite::Result<()> {
    connection.busy_timeout(BUSY)?;
    connection.set_prepared_statement_cache_capacity(64);
    connection.pragma_update(None, "foreign_keys", true)?;
    connection.pragma_update(None, "synchronous", "full")?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update(None, "cell_size_check", true)
}

fn unopenable(path: &Path, error: &rusqlite::Error) -> StoreError {
    if error.sqlite_error_code() == Some(ErrorCode::NotADatabase) {
        return StoreError::NotARegister {
            path: path.to_owned(),
        };
    }
    StoreError::Unopenable {
        path: path.to_owned(),
        reason: error.to_string(),
    }
}

fn number(connection: &Connection, pragma: &str) -> rusqlite::Result<i64> {
    connection.pragma_query_value(None, pragma, |row| row.get(0))
}

/// What the file is, before and after the lock was taken.
fn version(
    connection: &Connection,
    path: &Path,
    create: bool,
    known: usize,
) -> Result<usize, StoreError> {
    let stranger = || StoreError::NotARegister {
        path: path.to_owned(),
    };
    let fault = |e: rusqlite::Error| unopenable(path, &e);
    let application = number(connection, "application_id").map_err(fault)?;
    let found = number(connection, "user_version").map_err(fault)?;
    if application != APPLICATION_ID {
        let objects: i64 = connection
            .query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))
            .map_err(fault)?;
        return if application == 0 && found == 0 && objects == 0 && create {
            Ok(0)
        } else {
            Err(stranger())
        };
    }
    let found = usize::try_from(found).map_err(|_| stranger())?;
    if found > known {
        return Err(StoreError::Newer {
            path: path.to_owned(),
            found: u32::try_from(found).unwrap_or(u32::MAX),
            known: u32::try_from(known).unwrap_or(u32::MAX),
        });
    }
    Ok(found)
}

/// Brings the schema forward in one transaction: all steps or none.
fn migrate(
    connection: &mut Connection,
    path: &Path,
    create: bool,
    environment: &Environment,
    migrations: &[&str],
) -> Result<(), StoreError> {
    let found = version(connection, path, create, migrations.len())?;
    if found == migrations.len() {
        return Ok(());
    }
    if found > 0 {
        copy_beside(connection, path, found, environment)?;
    }
    let step = |name: &'static str| {
        environment
            .step(name)
            .map_err(|e| super::write::injected(name, &e))
    };
    let transaction = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(failed("lock the register"))?;
    // Another program may have been quicker.
    let found = version(&transaction, path, create, migrations.len())?;
    for sql in &migrations[found..] {
        step("migrate")?;
        transaction.execute_batch(sql).map_err(failed("migrate"))?;
    }
    step("mark the schema")?;
    transaction
        .pragma_update(None, "application_id", APPLICATION_ID)
        .and_then(|()| {
            let version = i64::try_from(migrations.len()).unwrap_or(i64::MAX);
            transaction.pragma_update(None, "user_version", version)
        })
        .map_err(failed("mark the schema"))?;
    step("commit a migration")?;
    transaction.commit().map_err(failed("commit a migration"))?;
    let _ = environment.step("after a commit");
    Ok(())
}

/// Where the copy of a register goes before it is migrated.
fn beside(path: &Path, version: usize) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(format!(".schema-{version}"));
    path.with_file_name(name)
}

/// Puts a copy of the whole register beside it; one that is there already is from an earlier
/// try at the same migration and stays.
fn copy_beside(
    connection: &Connection,
    path: &Path,
    version: usize,
    environment: &Environment,
) -> Result<(), StoreError> {
    let target = beside(path, version);
    if target.exists() {
        return Ok(());
    }
    let step = "copy the register before a migration";
    environment
        .step(step)
        .map_err(|e| super::write::injected(step, &e))?;
    let temporary = target.with_extension("part");
    let fault = |e: &dyn std::fmt::Display| StoreError::Failed {
        step,
        reason: format!("{}: {e}", temporary.display()),
    };
    if temporary.exists() {
        std::fs::remove_file(&temporary).map_err(|e| fault(&e))?;
    }
    let name = temporary.to_str().ok_or_else(|| fault(&"no UTF-8"))?;
    connection
        .execute("VACUUM INTO ?1", [name])
        .map_err(failed(step))?;
    std::fs::File::open(&temporary)
        .and_then(|file| file.sync_all())
        .and_then(|()| std::fs::rename(&temporary, &target))
        .map_err(|e| fault(&e))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn open_with(path: &Path, migrations: &[&str]) -> Result<Connection, StoreError> {
        open(path, true, &Environment::system(), migrations)
    }

    #[test]
    fn a_register_of_every_earlier_schema_is_brought_forward() {
        for schema in 1..MIGRATIONS.len() {
            let dir = tempfile::tempdir().unwrap();
            let path = dir.path().join("register.db");
            drop(open_with(&path, &MIGRATIONS[..schema]).unwrap());
            let connection = open_with(&path, &MIGRATIONS).unwrap();
            let version = number(&connection, "user_version").unwrap();
            assert_eq!(version, MIGRATIONS.len() as i64);
            let fresh = open_with(&dir.path().join("fresh.db"), &MIGRATIONS).unwrap();
            let objects = |connection: &Connection| {
                let sql = "SELECT group_concat(type || name, ' ') FROM
                           (SELECT * FROM sqlite_schema ORDER BY type, name)";
                connection
                    .query_row(sql, [], |row| row.get::<_, String>(0))
                    .unwrap()
            };
            assert_eq!(objects(&connection), objects(&fresh));
        }
    }

    #[test]
    fn a_stranger_and_a_newer_file_are_refused_with_a_sentence() {
        let dir = tempfile::tempdir().unwrap();
        let text = dir.path().join("notes.txt");
        std::fs::write(
            &text,
            "no database at all, but long enough to be one ".repeat(50),
        )
        .unwrap();
        let error = open_with(&text, &MIGRATIONS).unwrap_err();
        assert!(error.to_string().contains("no register"), "{error}");

        let other = dir.path().join("other.db");
        Connection::open(&other)
            .unwrap()
            .execute_batch("CREATE TABLE t (x)")
            .unwrap();
        assert!(matches!(
            open_with(&other, &MIGRATIONS),
            Err(StoreError::NotARegister { .. })
        ));

        let newer = dir.path().join("newer.db");
        let more = [&MIGRATIONS[..], &["CREATE TABLE later (x)"]].concat();
        drop(open_with(&newer, &more).unwrap());
        let error = open_with(&newer, &MIGRATIONS).unwrap_err();
        let named = format!("schema {}", more.len());
        assert!(error.to_string().contains(&named), "{error}");

        let missing = dir.path().join("missing.db");
        let error = open(&missing, false, &Environment::system(), &MIGRATIONS).unwrap_err();
        assert!(matches!(error, StoreError::Missing { .. }));
        assert!(!missing.exists());
    }

    #[test]
    fn a_migration_is_whole_or_not_at_all_and_leaves_a_copy() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("register.db");
        drop(open_with(&path, &["CREATE TABLE a (x)"]).unwrap());
        let broken = ["", "CREATE TABLE b (x); CREATE TABLE a (x)"];
        assert!(open_with(&path, &broken).is_err());
        let whole = ["", "CREATE TABLE b (x)"];
        let connection = open_with(&path, &whole).unwrap();
        assert_eq!(number(&connection, "user_version").unwrap(), 2);
        let copy = Connection::open(dir.path().join("register.db.schema-1")).unwrap();
        assert_eq!(number(&copy, "user_version").unwrap(), 1);
    }
}
