//! The register: photos, what was read on them, the plates they show, where these stand, the
//! verdicts, and what people settled and inspected.
//!
//! Two traits are its doors. [`Store`] keeps and finds; [`Photos`] is the queue of photos to
//! read, with leases and fencing numbers, so that a stale worker can never overwrite. Both are
//! implemented by [`SqliteRegister`] in one file; another store takes their place without
//! touching the rest.
//!
//! Nothing is overwritten: readings, verdicts, settlements, inspections and the history are
//! only added to, and a plate carries a version, so that two people who change the same plate
//! hear of each other.

mod error;
mod evidence;
mod ids;
mod inspection;
mod join;
mod judge;
mod location;
mod look;
mod originals;
mod people;
mod photo;
mod photos;
mod plate;
mod query;
mod reading;
mod settle;
mod sqlite;
mod store;
mod urgency;

pub use error::StoreError;
pub use evidence::{Evidence, ReadLine};
pub use ids::{
    AccountId, ImportId, InspectionId, KeyId, LocationId, PhotoId, PlateId, ReadingId,
    SettlementId, VerdictId,
};
pub use inspection::{
    Finding, Grade, InspectionKind, InspectionRecord, Item, ItemResult, NewInspection,
};
pub use judge::{Fresh, Rejudged, accept, judge_afresh, judge_again};
pub use location::{LocationFacts, LocationRecord};
pub use look::{LOOK_DISTANCE, look, look_distance};
pub use originals::{Folder, OriginalError, Originals};
pub(crate) use originals::{file_sha256, sync_folder};
pub use people::{Account, Holder, KeyKind, KeyRecord, NewKey, People, Role};
pub use photo::{NewPhoto, PhotoRecord, PhotoState, Sighting};
pub use photos::{
    Accounts, Asked, Claimed, ImportRecord, ImportState, Joined, Keyed, Lease, Offered, Origin,
    Photos, Problem, Received, Sorted,
};
pub use plate::{FieldSource, Hold, PlateRecord, PlateRow, ReviewState};
pub use query::{Cursor, Filter, Order, OutcomeFilter, PlatePage, PlateQuery, ReviewFilter, Tally};
pub use reading::{Identity, NewReading, ReadingFacts, ReadingRecord};
pub(crate) use settle::place_of;
pub use settle::{NewSettlement, SettlementKind, SettlementRecord, settle};
pub use sqlite::{CheckFinding, SqliteRegister};
pub use store::{CertificateListRecord, Event, Store, Subject, VerdictRecord};
pub use urgency::urgency;

use vetplate_parser::Language;

/// The language in which answers are kept: the same for everyone who opens the register.
pub(crate) const KEPT_IN: Language = Language::English;
