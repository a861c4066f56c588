//! A photo in the register: its bytes' hash is its identity, paths are places where it was seen.

use super::{LocationId, PhotoId, PlateId, ReadingId};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// Where a photo stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PhotoState {
    /// Known, not read yet.
    Waiting,
    /// Read; a plate holds it.
    Read,
    /// Cannot be used as it is, such as a file that is cut short.
    Refused,
    /// Reading it failed; it is tried again on demand.
    Failed,
}

impl PhotoState {
    /// The stable name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Read => "read",
            Self::Refused => "refused",
            Self::Failed => "failed",
        }
    }

    /// The state that has this name.
    pub fn from_name(name: &str) -> Option<Self> {
        [Self::Waiting, Self::Read, Self::Refused, Self::Failed]
            .into_iter()
            .find(|state| state.name() == name)
    }
}

/// A place where the bytes of a photo were seen.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Sighting {
    /// Path for people; a member of an archive stands behind `!/`. Bytes that are no UTF-8 are
    /// written `\xff`.
    pub source: String,
    /// The path's own bytes, where `source` cannot give them back.
    pub raw: Option<Vec<u8>>,
}

impl Sighting {
    /// A place whose path is plain text.
    pub fn new(source: impl Into<String>) -> Self {
        Self {
            source: source.into(),
            raw: None,
        }
    }
}

/// A photo that is offered to the register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewPhoto {
    /// SHA-256 of the bytes, hexadecimal.
    pub sha256: String,
    /// Number of bytes.
    pub bytes: u64,
    /// Where it was seen.
    pub sighting: Sighting,
    /// True where the register keeps a copy of its own, already on disk.
    pub kept: bool,
    /// Tag of the location that folder, name or list give it.
    pub location: Option<String>,
    /// Tag of the equipment, where a list gives it.
    pub tag: Option<String>,
}

/// A photo as the register holds it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhotoRecord {
    /// Its row.
    pub id: PhotoId,
    /// SHA-256 of the bytes, hexadecimal.
    pub sha256: String,
    /// Number of bytes.
    pub bytes: u64,
    /// Where it stands.
    pub state: PhotoState,
    /// Why it was refused or failed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// True where the register keeps a copy of its own.
    pub kept: bool,
    /// Width upright, pixels.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<u32>,
    /// Height upright, pixels.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height: Option<u32>,
    /// When it was taken, local time as the camera wrote it; no zone is guessed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub taken_at: Option<String>,
    /// Degrees north and east.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gps: Option<[f64; 2]>,
    /// Its location.
    #[serde(skip)]
    pub location: Option<LocationId>,
    /// The plate that it shows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plate: Option<PlateId>,
    /// Its reading that counts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reading: Option<ReadingId>,
    /// When the register first heard of it.
    pub added_at: Timestamp,
    /// Where its bytes were seen, first one first.
    pub sources: Vec<String>,
}
