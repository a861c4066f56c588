//! One run of an import from its first file to its accounts.

use super::budget::ArchiveLimits;
use super::commit::Committer;
use super::control::Control;
use super::count::Count;
use super::locate::Locator;
use super::order::Window;
use super::sources::Walk;
use super::walker::Walker;
use super::work::{Reading, Unread};
use crate::environment::Environment;
use crate::pipeline::{GivenPlace, PhotoReader};
use crate::register::{
    Accounts, Asked, ImportId, ImportRecord, ImportState, Lease, NewReading, OriginalError,
    Originals, Photos, Problem, Sorted, Store, StoreError,
};
use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use vetplate_ocr::Limits;

/// What is imported and how.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Folders, archives, photos.
    pub sources: Vec<PathBuf>,
    /// Photos read at the same time, at least one.
    pub jobs: usize,
    /// Photos that failed before are tried again; without sources, those alone.
    pub retry_failed: bool,
    /// What a photo may cost.
    pub limits: Limits,
    /// What an archive may cost.
    pub archives: ArchiveLimits,
    /// Files and folders that belong to the register itself and are no sources.
    pub own: Vec<PathBuf>,
    /// Who imports.
    pub who: String,
    /// With what the name of every file begins that the answers leave out: where this machine
    /// keeps what was sent.
    pub hidden: Option<String>,
    /// How it was asked for; whether copies are kept is said by [`Import::originals`].
    pub asked: Asked,
}

/// How far an import is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// What was counted so far.
    pub accounts: Accounts,
    /// How many files there are; none while they are being counted, or where they cannot be.
    pub total: Option<u64>,
    /// Since it began.
    pub elapsed: Duration,
}

/// Hears of an import while it runs.
pub trait Observer: Sync {
    /// After every file.
    fn progress(&self, progress: &Progress);

    /// A file that could not be taken.
    fn problem(&self, problem: &Problem);
}

/// What an import came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The run as the register keeps it.
    pub record: ImportRecord,
    /// Plates that are new.
    pub new_plates: u64,
    /// Plates on photos that were held already, by serial number and certificate.
    pub by_identity: u64,
    /// Plates on photos that were held already, by the photo's look.
    pub by_look: u64,
    /// How long it took.
    pub elapsed: Duration,
}

/// Why an import ended before its end. What was taken is taken; the same command goes on.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// The register failed.
    #[error("{0}\nwhat was taken until then is safe; the same command goes on from there")]
    Register(#[from] StoreError),
    /// A copy could not be kept.
    #[error(
        "a copy could not be kept: {0}\nwhat was taken until then is safe; the same command goes \
         on from there"
    )]
    Copy(#[from] OriginalError),
}

/// Everything that an import works with.
pub struct Import<'a> {
    /// Where plates are found and locations are known.
    pub store: &'a dyn Store,
    /// The queue.
    pub photos: &'a dyn Photos,
    /// Where copies are kept; none where photos stay by reference.
    pub originals: Option<&'a dyn Originals>,
    /// Reads photos.
    pub reader: &'a dyn PhotoReader,
    /// Tells where photos belong.
    pub locator: &'a Locator,
    /// Clock.
    pub environment: &'a Environment,
    /// Pause, go on, stop.
    pub control: &'a Control,
    /// Hears of it.
    pub observer: &'a dyn Observer,
}

/// A photo on its way to a reader.
pub(super) struct Job {
    pub(super) number: u64,
    pub(super) lease: Lease,
    pub(super) source: String,
    pub(super) bytes: Vec<u8>,
    pub(super) place: Option<Arc<GivenPlace>>,
}

/// What became of one file, on its way to the accounts.
pub(super) enum Done {
    Read {
        lease: Lease,
        source: String,
        readings: Vec<NewReading>,
        kept: bool,
    },
    NotRead {
        lease: Lease,
        source: String,
        sorted: Sorted,
    },
    Counted {
        source: String,
        sorted: Sorted,
    },
    /// The same bytes are under way; what became of them decides.
    Twin {
        source: String,
        sha256: String,
    },
    Broken(ImportError),
}

/// What the thread that commits has counted beside the accounts.
#[derive(Default)]
pub(super) struct Joins {
    pub(super) new: u64,
    pub(super) by_identity: u64,
    pub(super) by_look: u64,
}

impl Import<'_> {
    /// Imports.
    ///
    /// # Errors
    ///
    /// [`ImportError`] where the register or the folder of copies fails. Faults of single files
    /// go into the accounts.
    pub fn run(&self, settings: &Settings) -> Result<Outcome, ImportError> {
        self.go_on(self.begin(settings)?, settings)
    }

    /// Notes an import in the register; [`Self::go_on`] does the work.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub fn begin(&self, settings: &Settings) -> Result<ImportId, StoreError> {
        let names: Vec<String> = settings
            .sources
            .iter()
            .map(|s| super::names::of_path(s))
            .collect();
        let asked = Asked {
            kept: self.originals.is_some(),
            ..settings.asked.clone()
        };
        self.photos.begin_import(&names, &asked, &settings.who)
    }

    /// Does the work of an import that was begun.
    ///
    /// # Errors
    ///
    /// As [`Self::run`].
    pub fn go_on(&self, import: ImportId, settings: &Settings) -> Result<Outcome, ImportError> {
        let begun = self.environment.now();
        let jobs = settings.jobs.max(1);
        let count = Count::default();
        // Raw bytes wait only in the short queue before the readers; results are small.
        let window = Window::new(4 * jobs + 4);
        let (to_read, work) = sync_channel::<Job>(1);
        let (done, results) = channel::<(u64, Done)>();
        let work = Mutex::new(work);
        let mut joins = Joins::default();
        let committed = std::thread::scope(|scope| {
            scope.spawn(|| count.run(&settings.sources, self.control));
            for _ in 0..jobs {
                let done = done.clone();
                let work = &work;
                scope.spawn(move || self.read_all(settings, work, &done));
            }
            let walker = Walker {
                import: self,
                settings,
                window: &window,
                to_read,
                done,
            };
            scope.spawn(move || walker.run());
            let mut committer = Committer {
                import: self,
                settings,
                id: import,
                window: &window,
                count: &count,
                begun,
                accounts: Accounts::default(),
                joins: &mut joins,
                recent: VecDeque::new(),
            };
            committer.run(&results)
        });
        let state = match &committed {
            Ok(()) if self.control.is_interrupted() => ImportState::Interrupted,
            Ok(()) if self.control.is_stopped() => ImportState::Stopped,
            Ok(()) => ImportState::Done,
            Err(_) => ImportState::Interrupted,
        };
        let ended = self.photos.end_import(import, state);
        committed?;
        Ok(Outcome {
            record: ended?,
            new_plates: joins.new,
            by_identity: joins.by_identity,
            by_look: joins.by_look,
            elapsed: self.environment.now().saturating_sub(begun),
        })
    }

    /// A reader: takes one photo after the other.
    fn read_all(
        &self,
        settings: &Settings,
        work: &Mutex<Receiver<Job>>,
        done: &Sender<(u64, Done)>,
    ) {
        let reading = Reading {
            reader: self.reader,
            limits: &settings.limits,
            originals: self.originals,
        };
        loop {
            let next = work.lock().unwrap_or_else(PoisonError::into_inner).recv();
            let Ok(job) = next else { return };
            let Job {
                number,
                lease,
                source,
                bytes,
                place,
            } = job;
            let hidden = settings.hidden.as_deref();
            let file = hidden.and_then(|hidden| source.strip_prefix(hidden));
            let file = Some(file.unwrap_or(&source));
            let read = reading.read(&lease.sha256, &bytes, file, place.as_deref());
            let result = match read {
                Ok(readings) => Done::Read {
                    lease,
                    source,
                    readings,
                    kept: self.originals.is_some(),
                },
                Err(Unread::Copy(error)) => Done::Broken(error.into()),
                Err(Unread::Photo(error)) => Done::NotRead {
                    lease,
                    source,
                    sorted: Sorted::Refused(error.to_string()),
                },
                Err(Unread::Ours(reason)) => Done::NotRead {
                    lease,
                    source,
                    sorted: Sorted::Failed(reason),
                },
            };
            if done.send((number, result)).is_err() {
                return;
            }
        }
    }

    pub(super) fn walk<'s>(&'s self, settings: &'s Settings) -> Walk<'s> {
        Walk {
            control: self.control,
            limits: settings.archives,
            largest: settings.limits.bytes as u64,
            pixels: settings.limits.pixels,
            own: &settings.own,
            environment: self.environment,
        }
    }
}
