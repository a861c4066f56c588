//! Accounts: who may use a service, and with which keys.

use super::{AccountId, KeyId, StoreError};
use jiff::Timestamp;
use serde::Serialize;
use std::fmt;

/// What an account may do. Each role may all that those before it may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// Look at everything, and have photos and markings read without keeping them.
    Reader,
    /// Bring in photos, say where equipment stands, record inspections.
    Inspector,
    /// Decide what a plate says.
    Reviewer,
    /// Say what locations are, and import in bulk.
    Administrator,
}

impl Role {
    /// Every role, the least first.
    pub const ALL: [Self; 4] = [
        Self::Reader,
        Self::Inspector,
        Self::Reviewer,
        Self::Administrator,
    ];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Reader => "reader",
            Self::Inspector => "inspector",
            Self::Reviewer => "reviewer",
            Self::Administrator => "administrator",
        }
    }

    /// The role of that name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.name() == name)
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Somebody who may use a service.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Account {
    /// Its row.
    pub id: AccountId,
    /// The name that stands in the history.
    pub name: String,
    /// What it may do.
    pub role: Role,
    /// Whether a person can sign in with a password; without one, tokens alone work.
    pub password: bool,
    /// Since when.
    pub created_at: Timestamp,
}

/// What a key is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum KeyKind {
    /// Of a browser in which somebody signed in.
    Session,
    /// Of a program.
    Token,
}

impl KeyKind {
    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Session => "session",
            Self::Token => "token",
        }
    }

    /// The kind of that name.
    pub fn from_name(name: &str) -> Option<Self> {
        [Self::Session, Self::Token]
            .into_iter()
            .find(|kind| kind.name() == name)
    }
}

/// A key to be kept.
#[derive(Debug, Clone)]
pub struct NewKey {
    /// Session or token.
    pub kind: KeyKind,
    /// What it is for.
    pub label: String,
    /// Less than the account may; none for as much.
    pub role: Option<Role>,
    /// SHA-256 of the key; the key itself is never kept.
    pub sha256: [u8; 32],
    /// Until when it is good.
    pub expires_at: Option<Timestamp>,
}

/// A key as it is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct KeyRecord {
    /// Its row.
    pub id: KeyId,
    /// Session or token.
    pub kind: KeyKind,
    /// What it is for.
    pub label: String,
    /// Less than the account may; none for as much.
    pub role: Option<Role>,
    /// Since when.
    pub created_at: Timestamp,
    /// Until when.
    pub expires_at: Option<Timestamp>,
    /// When it was last used, to the hour.
    pub used_at: Option<Timestamp>,
}

/// Whose key it is, and what it is good for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holder {
    /// The account.
    pub account: Account,
    /// The lesser of the roles of account and key.
    pub role: Role,
}

/// Keeps accounts. Every call is whole or not at all, and is on disk when it returns. Names are
/// compared without regard to case of ASCII letters. `who` goes into the accounts' history.
pub trait People: Send + Sync {
    /// Whether there is any account.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn has_accounts(&self) -> Result<bool, StoreError>;

    /// Every account, by name.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn accounts(&self) -> Result<Vec<Account>, StoreError>;

    /// Adds an account; `password` is its hash.
    ///
    /// # Errors
    ///
    /// [`StoreError::Taken`] where the name is or was somebody's.
    fn add_account(
        &self,
        name: &str,
        role: Role,
        password: Option<&str>,
        who: &str,
    ) -> Result<Account, StoreError>;

    /// Gives an account another role, at once for all its keys.
    ///
    /// # Errors
    ///
    /// [`StoreError::NotFound`].
    fn set_role(&self, name: &str, role: Role, who: &str) -> Result<(), StoreError>;

    /// Gives an account another password, as hash, and ends its sessions.
    ///
    /// # Errors
    ///
    /// [`StoreError::NotFound`].
    fn set_password(&self, name: &str, password: &str, who: &str) -> Result<(), StoreError>;

    /// Removes an account with all its keys; its name stays taken.
    ///
    /// # Errors
    ///
    /// [`StoreError::NotFound`].
    fn remove_account(&self, name: &str, who: &str) -> Result<(), StoreError>;

    /// The account of that name with the hash of its password.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn password(&self, name: &str) -> Result<Option<(Account, Option<String>)>, StoreError>;

    /// Keeps a key.
    ///
    /// # Errors
    ///
    /// [`StoreError::NotFound`].
    fn add_key(&self, name: &str, key: &NewKey, who: &str) -> Result<KeyId, StoreError>;

    /// The keys of an account that are still good, oldest first.
    ///
    /// # Errors
    ///
    /// [`StoreError::NotFound`].
    fn keys(&self, name: &str) -> Result<Vec<KeyRecord>, StoreError>;

    /// Removes one key of an account.
    ///
    /// # Errors
    ///
    /// [`StoreError::NotFound`].
    fn remove_key(&self, name: &str, key: KeyId, who: &str) -> Result<(), StoreError>;

    /// Whose key has this SHA-256, if it is still good.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn holder(&self, sha256: &[u8; 32]) -> Result<Option<Holder>, StoreError>;

    /// Ends the session whose key has this SHA-256; one that is gone already is no error.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn end_session(&self, sha256: &[u8; 32]) -> Result<(), StoreError>;
}
