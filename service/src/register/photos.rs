//! The queue of photos to read, and the accounts of an import.

use super::{ImportId, NewPhoto, NewReading, PhotoId, PhotoState, PlateId, Sighting, StoreError};
use jiff::Timestamp;
use serde::Serialize;

/// The right to read one photo for a while.
///
/// The fence rises each time a photo is handed out. Whoever comes with an older one is turned
/// away, however late it comes and whatever its clock says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lease {
    /// The photo.
    pub photo: PhotoId,
    /// Its hash.
    pub sha256: String,
    /// Who has it.
    pub worker: String,
    /// Number of this handing-out.
    pub fence: i64,
    /// Until when.
    pub until: Timestamp,
}

/// What became of a photo that was offered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Offered {
    /// It is to be read; the worker has the lease.
    ToRead(Lease),
    /// The register holds it already, as the photo of this plate.
    Held {
        /// The photo.
        photo: PhotoId,
        /// Its plate; none while another worker is reading it.
        plate: Option<PlateId>,
        /// Where it was first seen.
        first_seen: String,
    },
    /// Reading it failed before, and this is no call to try again.
    FailedBefore {
        /// Why.
        reason: String,
    },
}

/// A photo that was handed out, and where its bytes were seen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Claimed {
    /// The lease.
    pub lease: Lease,
    /// True where the register keeps a copy of its own.
    pub kept: bool,
    /// Where its bytes were seen, first one first.
    pub sightings: Vec<Sighting>,
    /// Tag of its location.
    pub location: Option<String>,
}

/// How a reading found its plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Joined {
    /// It is a plate that the register did not hold.
    New(PlateId),
    /// Serial number and certificate are those of this plate.
    ByIdentity(PlateId),
    /// The picture looks the same as one of this plate, and nothing read contradicts.
    ByLook(PlateId),
}

impl Joined {
    /// The plate.
    pub fn plate(self) -> PlateId {
        match self {
            Self::New(id) | Self::ByIdentity(id) | Self::ByLook(id) => id,
        }
    }
}

/// What became of a photo that a person sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Received {
    /// It was taken.
    Taken(Joined),
    /// The register held the same bytes already, as a photo of this plate.
    Held(PlateId),
}

impl Received {
    /// The plate.
    pub fn plate(self) -> PlateId {
        match self {
            Self::Taken(joined) => joined.plate(),
            Self::Held(plate) => plate,
        }
    }

    /// The stable name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Taken(Joined::New(_)) => "new",
            Self::Taken(Joined::ByIdentity(_)) => "by_identity",
            Self::Taken(Joined::ByLook(_)) => "by_look",
            Self::Held(_) => "held",
        }
    }

    /// What has this name, of that plate.
    pub fn from_name(name: &str, plate: PlateId) -> Option<Self> {
        [
            Self::Taken(Joined::New(plate)),
            Self::Taken(Joined::ByIdentity(plate)),
            Self::Taken(Joined::ByLook(plate)),
            Self::Held(plate),
        ]
        .into_iter()
        .find(|one| one.name() == name)
    }
}

/// What the register knows of the key under which a photo is sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keyed {
    /// Nothing has come of it yet: it is new, or an earlier try was broken off.
    Open,
    /// The same was sent before, and this came of it.
    Ended(Received),
    /// Something else was sent under it.
    Other,
}

/// What an import counts. `seen = taken + held + refused + failed`, always.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Accounts {
    /// Files that were looked at.
    pub seen: u64,
    /// Read and now in the register.
    pub taken: u64,
    /// Already held: the same bytes are in the register.
    pub held: u64,
    /// Not taken for a reason that lies in the file.
    pub refused: u64,
    /// Not taken for a reason that may pass; tried again on demand.
    pub failed: u64,
    /// Left for the next run, since they are still being written; not part of `seen`.
    pub left: u64,
}

impl Accounts {
    /// True where every file that was seen is accounted for.
    pub fn balance(&self) -> bool {
        self.seen == self.taken + self.held + self.refused + self.failed
    }
}

/// Where an import stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ImportState {
    /// At work, or ended without a word: see [`Photos::begin_import`].
    Running,
    /// Every source was looked at.
    Done,
    /// Someone stopped it; the same command goes on.
    Stopped,
    /// The program ended in the midst of it; the same command goes on.
    Interrupted,
}

impl ImportState {
    /// The stable name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Running => "running",
            Self::Done => "done",
            Self::Stopped => "stopped",
            Self::Interrupted => "interrupted",
        }
    }

    /// The state that has this name.
    pub fn from_name(name: &str) -> Option<Self> {
        [Self::Running, Self::Done, Self::Stopped, Self::Interrupted]
            .into_iter()
            .find(|state| state.name() == name)
    }
}

/// Where an import came from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// The command line; its sources are paths of whoever called it.
    #[default]
    Command,
    /// An archive or photos that were sent to the service.
    Upload,
    /// A folder that the service may import from.
    Folder,
}

impl Origin {
    /// The stable name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Command => "command",
            Self::Upload => "upload",
            Self::Folder => "folder",
        }
    }

    /// The origin that has this name.
    pub fn from_name(name: &str) -> Option<Self> {
        [Self::Command, Self::Upload, Self::Folder]
            .into_iter()
            .find(|origin| origin.name() == name)
    }
}

/// How an import was asked for, so that it can be gone on with.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Asked {
    /// Where it came from.
    pub origin: Origin,
    /// True where copies are kept.
    pub kept: bool,
    /// Tag of the location of photos that tell no other.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub location: Option<String>,
    /// The import that this one goes on with.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub resumes: Option<ImportId>,
}

/// One run of an import.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ImportRecord {
    /// Its row.
    pub id: ImportId,
    /// How it was asked for.
    #[serde(flatten)]
    pub asked: Asked,
    /// The import that goes on with this one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub resumed_by: Option<ImportId>,
    /// Who started it.
    pub who: String,
    /// What was to be imported.
    pub sources: Vec<String>,
    /// Where it stands.
    pub state: ImportState,
    /// When it began.
    pub started_at: Timestamp,
    /// When it ended.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ended_at: Option<Timestamp>,
    /// What it counted.
    #[serde(flatten)]
    pub accounts: Accounts,
}

/// A file that an import could not take.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// The file.
    pub source: String,
    /// True where it failed, false where it was refused.
    pub failed: bool,
    /// Why, a sentence.
    pub reason: String,
}

/// Where a file that was not read goes in the accounts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Sorted {
    /// The same bytes are in the register.
    Held,
    /// For a reason that lies in the file.
    Refused(String),
    /// For a reason that may pass.
    Failed(String),
    /// Still being written; it is not counted as seen.
    Left,
}

/// The queue of photos to read, and the accounts of imports.
///
/// Every call is whole or not at all, and is on disk when it returns.
pub trait Photos: Send + Sync {
    /// Offers a photo that was seen, and hands it out to the worker for `seconds` unless the
    /// register holds it. Its sighting is kept in any case.
    ///
    /// With `retry`, a photo that failed before is handed out again.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn offer(
        &self,
        photo: &NewPhoto,
        worker: &str,
        seconds: u32,
        retry: bool,
    ) -> Result<Offered, StoreError>;

    /// Where a photo stands, and why it was refused or failed; none where it was never offered.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn state(&self, sha256: &str) -> Result<Option<(PhotoState, Option<String>)>, StoreError>;

    /// The plate of each plate that a photo shows, in the order of its readings; empty where none is
    /// held. A piece of equipment with two labels on one photo stands there twice.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn plates_on(&self, sha256: &str) -> Result<Vec<PlateId>, StoreError>;

    /// Where the bytes of a photo were seen, first one first.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn sightings(&self, photo: PhotoId) -> Result<Vec<Sighting>, StoreError>;

    /// Hands out the photo that has waited longest, unless it is in another's hands.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn claim(&self, worker: &str, seconds: u32) -> Result<Option<Claimed>, StoreError>;

    /// Photos that failed, behind `after` by row, at most `limit`.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn failed(
        &self,
        after: Option<PhotoId>,
        limit: usize,
    ) -> Result<Vec<(PhotoId, Claimed)>, StoreError>;

    /// Keeps a lease for another `seconds` from now.
    ///
    /// # Errors
    ///
    /// [`StoreError::LeaseLost`] where it has passed to another worker.
    fn renew(&self, lease: &Lease, seconds: u32) -> Result<Lease, StoreError>;

    /// Keeps the readings of a photo, one for each plate on it, joins each to its plate, and counts
    /// the photo as taken; all at once. Answers how each found its plate, in the same order. `kept`
    /// says that a copy of the photo is on disk already.
    ///
    /// # Errors
    ///
    /// [`StoreError::LeaseLost`] where the lease has passed to another worker: nothing is kept.
    fn finish(
        &self,
        lease: &Lease,
        readings: &[NewReading],
        kept: bool,
        import: Option<ImportId>,
        who: &str,
    ) -> Result<Vec<Joined>, StoreError>;

    /// Ends a lease without a reading, and counts the file; all at once.
    ///
    /// [`Sorted::Refused`] and [`Sorted::Failed`] are kept with the photo; the others put it
    /// back as it was.
    ///
    /// # Errors
    ///
    /// [`StoreError::LeaseLost`] as above.
    fn give_up(
        &self,
        lease: &Lease,
        source: &str,
        sorted: &Sorted,
        import: Option<ImportId>,
    ) -> Result<(), StoreError>;

    /// Notes the key under which a photo is sent; `content` tells what comes with it.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn begin_upload(&self, key: &str, content: &str) -> Result<Keyed, StoreError>;

    /// Notes what became of a photo that was sent, and what the person wrote beside it, in the
    /// history of its plate; all at once.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn end_upload(
        &self,
        key: Option<&str>,
        received: Received,
        note: Option<&str>,
        who: &str,
    ) -> Result<(), StoreError>;

    /// Begins an import. Only one process imports into a register at a time (its caller sees to
    /// that), so earlier ones that never ended are marked as interrupted, and what their
    /// workers had in hand is free again.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn begin_import(
        &self,
        sources: &[String],
        asked: &Asked,
        who: &str,
    ) -> Result<ImportId, StoreError>;

    /// Marks imports that never ended as interrupted, and frees what their workers had in hand.
    /// Only whoever may begin an import may say so.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn interrupt_imports(&self) -> Result<(), StoreError>;

    /// How many plates that an import brought wait for a person.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn waiting_of(&self, import: ImportId) -> Result<u64, StoreError>;

    /// Counts a file that never came to a lease.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn count(&self, import: ImportId, source: &str, sorted: &Sorted) -> Result<(), StoreError>;

    /// Ends an import.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn end_import(&self, import: ImportId, state: ImportState) -> Result<ImportRecord, StoreError>;

    /// One import.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn import(&self, import: ImportId) -> Result<Option<ImportRecord>, StoreError>;

    /// The latest imports, newest first.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn imports(&self, limit: usize) -> Result<Vec<ImportRecord>, StoreError>;

    /// What an import could not take, in the order it was met.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    fn problems(
        &self,
        import: ImportId,
        skip: usize,
        limit: usize,
    ) -> Result<Vec<Problem>, StoreError>;
}
