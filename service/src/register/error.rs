//! Why the register could not do what was asked.

use super::{PlateId, ReviewState};
use jiff::Timestamp;
use std::path::PathBuf;

/// Why the register could not do what was asked. Nothing of the change was kept.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The file cannot be opened.
    #[error("{}: the register cannot be opened: {reason}", path.display())]
    Unopenable {
        /// The file.
        path: PathBuf,
        /// What the system says.
        reason: String,
    },
    /// There is no register at the path.
    #[error("{}: there is no register; `vetplate import FOLDER --register {}` makes one", path.display(), path.display())]
    Missing {
        /// The file.
        path: PathBuf,
    },
    /// The file is something else.
    #[error("{}: this is no register of vetplate; give another path", path.display())]
    NotARegister {
        /// The file.
        path: PathBuf,
    },
    /// A later version of the program wrote it.
    #[error(
        "{}: the register has schema {found}, this program knows schemas up to {known}; use the \
         version of vetplate that wrote it, or a newer one",
        path.display()
    )]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its schema.
        found: u32,
        /// The newest that is known.
        known: u32,
    },
    /// Someone else changed the plate first.
    #[error(
        "plate {plate} was changed by {who} at {at} ({what}): it has version {current}, not \
         {expected}; look at it again and decide anew"
    )]
    Conflict {
        /// The plate.
        plate: PlateId,
        /// The version that the caller saw.
        expected: i64,
        /// The version that it has.
        current: i64,
        /// Who made the last change.
        who: String,
        /// When.
        at: Timestamp,
        /// What they did.
        what: String,
    },
    /// Someone else is deciding on the plate.
    #[error("plate {plate} is held by {who} until {until}; take another, or wait")]
    Held {
        /// The plate.
        plate: PlateId,
        /// Who holds it.
        who: String,
        /// Until when.
        until: Timestamp,
    },
    /// The lease on a photo has passed to another worker; the result was not kept.
    #[error("the lease on photo {sha256} has passed to another worker; its result counts")]
    LeaseLost {
        /// The photo.
        sha256: String,
    },
    /// No such row.
    #[error("there is no {what} {id}")]
    NotFound {
        /// What was looked for.
        what: &'static str,
        /// By what.
        id: String,
    },
    /// The name is or was somebody's.
    #[error(
        "{name:?} is or was the name of an account, and the history may speak of it; choose \
         another name"
    )]
    Taken {
        /// The name.
        name: String,
    },
    /// The plate is not in a state in which this can be done.
    #[error("plate {plate} is {}; {hint}", state.words())]
    WrongState {
        /// The plate.
        plate: PlateId,
        /// Its state.
        state: ReviewState,
        /// What to do instead.
        hint: &'static str,
    },
    /// Another program is writing for longer than we wait.
    #[error("the register is being written by another program; try again in a moment")]
    Busy,
    /// No room on the disk.
    #[error("the disk is full; make room and run the same command again: nothing was lost")]
    Full,
    /// The database failed.
    #[error("the register failed at {step}: {reason}")]
    Failed {
        /// What was being done.
        step: &'static str,
        /// What the database says.
        reason: String,
    },
    /// What is stored is not what was written.
    #[error("the register is damaged: {0}; run `vetplate register check`")]
    Damaged(String),
}

impl StoreError {
    /// True where the same call may work later without anyone changing anything in it.
    pub fn is_passing(&self) -> bool {
        matches!(self, Self::Busy | Self::Full | Self::Failed { .. })
    }
}
