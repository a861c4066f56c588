//! Accounts and keys.

use super::super::{
    Account, AccountId, Holder, KeyId, KeyKind, KeyRecord, NewKey, People, Role, StoreError,
};
use super::SqliteRegister;
use super::records::{all, first, named, time};
use super::write::Write;
use jiff::Timestamp;
use rusqlite::Row;

const ACCOUNT: &str = "a.id, a.name, a.role, a.password IS NOT NULL, a.created_at";
/// How old the last use of a key must be before a new one is written down, milliseconds: a use
/// must not cost a write each time.
const USED: i64 = 3_600_000;

fn account(row: &Row<'_>) -> rusqlite::Result<Account> {
    Ok(Account {
        id: AccountId(row.get(0)?),
        name: row.get(1)?,
        role: named(row, 2, Role::from_name)?,
        password: row.get(3)?,
        created_at: time(row, 4)?,
    })
}

fn role(row: &Row<'_>, column: usize) -> rusqlite::Result<Option<Role>> {
    match row.get::<_, Option<String>>(column)? {
        None => Ok(None),
        Some(_) => named(row, column, Role::from_name).map(Some),
    }
}

fn maybe_time(row: &Row<'_>, column: usize) -> rusqlite::Result<Option<Timestamp>> {
    match row.get::<_, Option<i64>>(column)? {
        None => Ok(None),
        Some(_) => time(row, column).map(Some),
    }
}

fn key(row: &Row<'_>) -> rusqlite::Result<KeyRecord> {
    Ok(KeyRecord {
        id: KeyId(row.get(0)?),
        kind: named(row, 1, KeyKind::from_name)?,
        label: row.get(2)?,
        role: role(row, 3)?,
        created_at: time(row, 4)?,
        expires_at: maybe_time(row, 5)?,
        used_at: maybe_time(row, 6)?,
    })
}

/// The row of an account that is there.
fn known(write: &Write<'_>, name: &str) -> Result<i64, StoreError> {
    write
        .first(
            "SELECT id FROM accounts WHERE name = ?1 AND removed_at IS NULL",
            [name],
            |row| row.get(0),
        )?
        .ok_or_else(|| nobody(name))
}

fn nobody(name: &str) -> StoreError {
    StoreError::NotFound {
        what: "account",
        id: name.to_owned(),
    }
}

fn event(write: &Write<'_>, who: &str, account: i64, what: &str) -> Result<(), StoreError> {
    write.execute(
        "write the history of accounts",
        "INSERT INTO account_events (at, who, account_id, what) VALUES (?1, ?2, ?3, ?4)",
        (write.millis(), who, account, what),
    )?;
    Ok(())
}

impl SqliteRegister {
    /// Ends every session, as after a restore: those who were signed in then are not here now.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub(crate) fn end_all_sessions(&self) -> Result<(), StoreError> {
        self.write(|write| {
            write.execute(
                "end every session",
                "DELETE FROM keys WHERE kind = 'session'",
                [],
            )?;
            Ok(())
        })
    }
}

impl People for SqliteRegister {
    fn has_accounts(&self) -> Result<bool, StoreError> {
        self.read(|connection| {
            let found = first(
                connection,
                "SELECT 1 FROM accounts WHERE removed_at IS NULL LIMIT 1",
                [],
                |_| Ok(()),
            )?;
            Ok(found.is_some())
        })
    }

    fn accounts(&self) -> Result<Vec<Account>, StoreError> {
        self.read(|connection| {
            all(
                connection,
                &format!(
                    "SELECT {ACCOUNT} FROM accounts a WHERE a.removed_at IS NULL ORDER BY a.name"
                ),
                [],
                account,
            )
        })
    }

    fn add_account(
        &self,
        name: &str,
        role: Role,
        password: Option<&str>,
        who: &str,
    ) -> Result<Account, StoreError> {
        self.write(|write| {
            let held: Option<i64> =
                write.first("SELECT id FROM accounts WHERE name = ?1", [name], |row| {
                    row.get(0)
                })?;
            if held.is_some() {
                return Err(StoreError::Taken {
                    name: name.to_owned(),
                });
            }
            let id = write.insert(
                "add an account",
                "INSERT INTO accounts (name, role, password, created_at) VALUES (?1, ?2, ?3, ?4)",
                (name, role.name(), password, write.millis()),
            )?;
            event(write, who, id, &format!("added as {role}"))?;
            Ok(Account {
                id: AccountId(id),
                name: name.to_owned(),
                role,
                password: password.is_some(),
                created_at: write.at,
            })
        })
    }

    fn set_role(&self, name: &str, role: Role, who: &str) -> Result<(), StoreError> {
        self.write(|write| {
            let id = known(write, name)?;
            write.execute(
                "change a role",
                "UPDATE accounts SET role = ?2 WHERE id = ?1",
                (id, role.name()),
            )?;
            event(write, who, id, &format!("role {role}"))
        })
    }

    fn set_password(&self, name: &str, password: &str, who: &str) -> Result<(), StoreError> {
        self.write(|write| {
            let id = known(write, name)?;
            write.execute(
                "change a password",
                "UPDATE accounts SET password = ?2 WHERE id = ?1",
                (id, password),
            )?;
            write.execute(
                "end sessions",
                "DELETE FROM keys WHERE account_id = ?1 AND kind = 'session'",
                [id],
            )?;
            event(write, who, id, "password changed")
        })
    }

    fn remove_account(&self, name: &str, who: &str) -> Result<(), StoreError> {
        self.write(|write| {
            let id = known(write, name)?;
            write.execute(
                "remove an account",
                "UPDATE accounts SET removed_at = ?2, password = NULL WHERE id = ?1",
                (id, write.millis()),
            )?;
            write.execute(
                "remove the keys of an account",
                "DELETE FROM keys WHERE account_id = ?1",
                [id],
            )?;
            event(write, who, id, "removed")
        })
    }

    fn password(&self, name: &str) -> Result<Option<(Account, Option<String>)>, StoreError> {
        self.read(|connection| {
            first(
                connection,
                &format!(
                    "SELECT {ACCOUNT}, a.password FROM accounts a
                     WHERE a.name = ?1 AND a.removed_at IS NULL"
                ),
                [name],
                |row| Ok((account(row)?, row.get(5)?)),
            )
        })
    }

    fn add_key(&self, name: &str, key: &NewKey, who: &str) -> Result<KeyId, StoreError> {
        self.write(|write| {
            let id = known(write, name)?;
            // Sessions that ran out go when somebody comes, so that they do not gather.
            write.execute(
                "forget keys that ran out",
                "DELETE FROM keys WHERE kind = 'session' AND expires_at <= ?1",
                [write.millis()],
            )?;
            let row = write.insert(
                "add a key",
                "INSERT INTO keys (account_id, kind, label, role, sha256, created_at, expires_at)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                (
                    id,
                    key.kind.name(),
                    &key.label,
                    key.role.map(Role::name),
                    key.sha256,
                    write.millis(),
                    key.expires_at.map(Timestamp::as_millisecond),
                ),
            )?;
            event(write, who, id, &format!("{} {row} made", key.kind.name()))?;
            Ok(KeyId(row))
        })
    }

    fn keys(&self, name: &str) -> Result<Vec<KeyRecord>, StoreError> {
        let now = self.environment.clock().as_millisecond();
        let (account, _) = self.password(name)?.ok_or_else(|| nobody(name))?;
        self.read(|connection| {
            all(
                connection,
                "SELECT id, kind, label, role, created_at, expires_at, used_at FROM keys
                 WHERE account_id = ?1 AND (expires_at IS NULL OR expires_at > ?2) ORDER BY id",
                (account.id.0, now),
                key,
            )
        })
    }

    fn remove_key(&self, name: &str, key: KeyId, who: &str) -> Result<(), StoreError> {
        self.write(|write| {
            let id = known(write, name)?;
            let removed = write.execute(
                "remove a key",
                "DELETE FROM keys WHERE id = ?1 AND account_id = ?2",
                (key.0, id),
            )?;
            if removed == 0 {
                return Err(StoreError::NotFound {
                    what: "token",
                    id: format!("{key} of {name}"),
                });
            }
            event(write, who, id, &format!("token {key} removed"))
        })
    }

    fn holder(&self, sha256: &[u8; 32]) -> Result<Option<Holder>, StoreError> {
        let now = self.environment.clock().as_millisecond();
        let found = self.read(|connection| {
            first(
                connection,
                &format!(
                    "SELECT {ACCOUNT}, k.role, k.id, k.used_at FROM keys k
                     JOIN accounts a ON a.id = k.account_id
                     WHERE k.sha256 = ?1 AND a.removed_at IS NULL
                         AND (k.expires_at IS NULL OR k.expires_at > ?2)"
                ),
                (sha256, now),
                |row| {
                    let account = account(row)?;
                    let role = role(row, 5)?.map_or(account.role, |role| role.min(account.role));
                    let used: Option<i64> = row.get(7)?;
                    Ok((Holder { account, role }, row.get::<_, i64>(6)?, used))
                },
            )
        })?;
        let Some((holder, key, used)) = found else {
            return Ok(None);
        };
        if used.is_none_or(|used| now - used >= USED) {
            let noted = self.write(|write| {
                write.execute(
                    "remember the use of a key",
                    "UPDATE keys SET used_at = ?2 WHERE id = ?1",
                    (key, now),
                )
            });
            // A key is good where the disk is full, too.
            if let Err(error) = noted {
                tracing::warn!(%error, "the use of a key was not written down");
            }
        }
        Ok(Some(holder))
    }

    fn end_session(&self, sha256: &[u8; 32]) -> Result<(), StoreError> {
        self.write(|write| {
            write.execute(
                "end a session",
                "DELETE FROM keys WHERE sha256 = ?1 AND kind = 'session'",
                [sha256],
            )?;
            Ok(())
        })
    }
}
