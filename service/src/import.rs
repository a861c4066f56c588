//! Taking whole archives of photos into a register.
//!
//! One thread walks the sources and offers each photo to the register, several read what is to
//! be read, and one commits in the order of the walk, so that the register comes out the same
//! however many read. Everything between them is bounded. Every file that was seen is accounted
//! for: taken, already held, refused with the reason, or failed with the reason.

mod archive;
mod budget;
mod commit;
mod control;
mod count;
mod dry;
mod fetch;
mod folder;
mod locate;
mod lock;
mod mapping;
mod names;
mod order;
mod pdf;
mod run;
mod single;
mod sources;
mod tar;
mod walker;
mod work;
mod zip;

pub use budget::ArchiveLimits;
pub use control::Control;
pub use dry::{Tried, dry_run};
pub use fetch::{FetchError, fetch};
pub use locate::Locator;
pub use lock::{ImportLock, LockError};
pub use mapping::{Mapping, MappingError};
pub use run::{Import, ImportError, Observer, Outcome, Progress, Settings};
pub use single::{Intake, NotTaken, SentPhoto};
