//! Imports that run behind the service: one at a time, in sight, and held by a hand.

use crate::desk::Desk;
use crate::environment::Environment;
use crate::import::{
    ArchiveLimits, Control, Import, ImportLock, Locator, LockError, Mapping, Observer, Progress,
    Settings,
};
use crate::pipeline::PhotoReader;
use crate::problem::{Code, Problem};
use crate::register::{
    Asked, ImportId, ImportRecord, ImportState, Origin, Problem as FileProblem, StoreError,
};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use vetplate_ocr::Limits;
use vetplate_parser::place::PlaceFields;

/// Where imports are started, seen and stopped.
pub(crate) struct Bulk {
    register: PathBuf,
    spool: PathBuf,
    allowed: Option<PathBuf>,
    running: Mutex<Option<Running>>,
}

/// An import that runs here.
#[derive(Clone)]
struct Running {
    id: ImportId,
    control: Control,
    progress: Arc<Mutex<Option<Progress>>>,
}

/// What an import works with.
pub(crate) struct Tools {
    pub(crate) desk: Arc<Desk>,
    pub(crate) reader: Arc<dyn PhotoReader>,
    /// Photos read at the same time.
    pub(crate) jobs: usize,
    pub(crate) limits: Limits,
    pub(crate) environment: Environment,
}

/// What is to be imported.
pub(crate) struct Order {
    pub(crate) sources: Vec<PathBuf>,
    pub(crate) asked: Asked,
    pub(crate) who: String,
    pub(crate) retry_failed: bool,
}

/// How an import stands right now.
pub(crate) struct Standing {
    pub(crate) record: ImportRecord,
    /// Of one that runs here.
    pub(crate) live: Option<Live>,
}

/// How an import stands that runs here.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Live {
    pub(crate) paused: bool,
    pub(crate) stopping: bool,
    pub(crate) total: Option<u64>,
    pub(crate) elapsed: Duration,
}

/// What a person asks of an import.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Wish {
    Pause,
    Resume,
    Cancel,
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Bulk {
    /// Imports into the register at `register`; `allowed` is the one folder that may be named.
    pub(crate) fn new(register: &Path, allowed: Option<PathBuf>) -> Self {
        let mut name = register.file_name().unwrap_or_default().to_owned();
        name.push(".uploads");
        Self {
            register: register.to_owned(),
            spool: register.with_file_name(name),
            allowed,
            running: Mutex::default(),
        }
    }

    /// Where what was sent lies until it is imported.
    pub(crate) fn spool(&self) -> &Path {
        &self.spool
    }

    /// The path of `folder` below the one that may be imported from.
    ///
    /// # Errors
    ///
    /// [`Code::InvalidRequest`] where there is none, or where it leads out.
    pub(crate) fn below(&self, folder: &str) -> Result<PathBuf, Problem> {
        let Some(allowed) = &self.allowed else {
            return Err(Problem::new(
                Code::InvalidRequest,
                "this service imports from no folder; it is started with --import-from DIR",
            ));
        };
        let wrong = || {
            Problem::new(
                Code::InvalidRequest,
                format!("`folder`: there is no {folder:?} below the folder of imports"),
            )
        };
        // Links are followed before the comparison, so that none leads out.
        let root = allowed.canonicalize().map_err(|_| wrong())?;
        let path = root.join(folder).canonicalize().map_err(|_| wrong())?;
        if path.starts_with(&root) {
            Ok(path)
        } else {
            Err(wrong())
        }
    }

    /// True for what was sent, and for what lies below the folder that may be imported from.
    pub(crate) fn may_open(&self, source: &Path) -> bool {
        let Ok(source) = source.canonicalize() else {
            return false;
        };
        let roots = [Some(&self.spool), self.allowed.as_ref()];
        roots
            .into_iter()
            .flatten()
            .filter_map(|root| root.canonicalize().ok())
            .any(|root| source.starts_with(root))
    }

    /// A source as people know it: not where this machine keeps it.
    pub(crate) fn shown(&self, source: &str, of: &Asked) -> String {
        let root = match of.origin {
            Origin::Upload => Some(self.spool.clone()),
            Origin::Folder => self.allowed.as_ref().and_then(|a| a.canonicalize().ok()),
            Origin::Command => None,
        };
        let inner = root.and_then(|root| source.strip_prefix(root.to_str()?));
        let inner = inner.map(|inner| inner.trim_start_matches('/'));
        match (of.origin, inner) {
            // Behind the number of the upload stands its file, and behind that its member.
            (Origin::Upload, Some(inner)) => {
                let file = inner.split_once('/').map_or(inner, |(_, file)| file);
                match file.strip_prefix(SENT_PHOTOS) {
                    Some("") => "photos".to_owned(),
                    Some(member) => member.trim_start_matches("!/").to_owned(),
                    None => file.to_owned(),
                }
            }
            (_, Some(inner)) => inner.to_owned(),
            (Origin::Command, None) => source.to_owned(),
            (_, None) => source.rsplit('/').next().unwrap_or_default().to_owned(),
        }
    }

    /// Refuses where an import runs, before a body is read for nothing.
    ///
    /// # Errors
    ///
    /// [`Code::WrongState`].
    pub(crate) fn is_free(&self) -> Result<(), Problem> {
        drop(self.lock()?);
        Ok(())
    }

    fn lock(&self) -> Result<ImportLock, Problem> {
        ImportLock::take(&self.register).map_err(|error| match error {
            LockError::Taken(_) => Problem::new(
                Code::WrongState,
                "an import is at work on this register; wait for it, or cancel it",
            ),
            refused @ LockError::Refused { .. } => Problem::internal(&refused),
        })
    }

    /// Marks what an ended program left as interrupted. While another import is at work there
    /// is nothing to mark: it has done so when it began.
    pub(crate) fn tidy(&self, desk: &Desk) -> Result<(), StoreError> {
        match ImportLock::take(&self.register) {
            Ok(_held) => desk.photos().interrupt_imports(),
            Err(_) => Ok(()),
        }
    }

    /// Removes what was sent and never answered: the program ended in the midst of it. What an
    /// import may still need stays. To be called before the first request.
    pub(crate) fn sweep(&self, desk: &Desk) -> Result<(), StoreError> {
        let Ok(folders) = std::fs::read_dir(&self.spool) else {
            return Ok(());
        };
        let Ok(_held) = ImportLock::take(&self.register) else {
            return Ok(());
        };
        let needed: Vec<PathBuf> = desk
            .photos()
            .imports(usize::MAX)?
            .into_iter()
            .filter(|i| i.state != ImportState::Done || i.accounts.failed > 0)
            .flat_map(|import| import.sources)
            .map(PathBuf::from)
            .collect();
        for folder in folders.flatten().map(|entry| entry.path()) {
            if !needed.iter().any(|sent| sent.starts_with(&folder)) {
                self.forget(&folder.join(SENT_PHOTOS));
            }
        }
        Ok(())
    }

    /// Starts an import on a thread of its own.
    ///
    /// # Errors
    ///
    /// [`Code::WrongState`] where another one is at work.
    pub(crate) fn start(self: &Arc<Self>, tools: Tools, order: Order) -> Result<ImportId, Problem> {
        let lock = self.lock()?;
        let locator = locator(&tools.desk, order.asked.location.clone())?;
        let control = Control::new();
        let progress = Arc::new(Mutex::new(None));
        let hidden = order.sources.first().and_then(|sent| {
            let is_photos = sent.file_name().is_some_and(|name| name == SENT_PHOTOS);
            match order.asked.origin {
                Origin::Upload if is_photos => Some(format!("{}!/", sent.to_str()?)),
                Origin::Upload => Some(format!("{}/", sent.parent()?.to_str()?)),
                Origin::Folder | Origin::Command => None,
            }
        });
        let settings = Settings {
            sources: order.sources,
            jobs: tools.jobs,
            retry_failed: order.retry_failed,
            limits: tools.limits,
            archives: ArchiveLimits::default(),
            own: Vec::new(),
            who: order.who,
            hidden,
            asked: order.asked,
        };
        let (told, begun) = std::sync::mpsc::channel();
        let here = Arc::clone(self);
        std::thread::spawn(move || {
            let desk = Arc::clone(&tools.desk);
            let import = Import {
                store: desk.store(),
                photos: desk.photos(),
                originals: desk.originals().filter(|_| settings.asked.kept),
                reader: tools.reader.as_ref(),
                locator: &locator,
                environment: &tools.environment,
                control: &control,
                observer: &Watched(Arc::clone(&progress)),
            };
            let id = match import.begin(&settings) {
                Ok(id) => id,
                Err(error) => {
                    // Nobody waits any more where the request was given up.
                    let _ = told.send(Err(error));
                    return;
                }
            };
            *locked(&here.running) = Some(Running {
                id,
                control: control.clone(),
                progress,
            });
            let _ = told.send(Ok(id));
            match import.go_on(id, &settings) {
                Err(error) => tracing::error!(import = id.0, %error, "an import broke off"),
                Ok(outcome) => {
                    let ended = outcome.record.state == ImportState::Done;
                    if settings.asked.origin == Origin::Upload
                        && ended
                        && outcome.record.accounts.failed == 0
                    {
                        // Everything that was taken lies in the folder of copies.
                        settings.sources.iter().for_each(|path| here.forget(path));
                    }
                }
            }
            // In this order: whoever sees that it has ended can begin the next one.
            drop(lock);
            let mut running = locked(&here.running);
            if running.as_ref().is_some_and(|r| r.id == id) {
                *running = None;
            }
        });
        match begun.recv() {
            Ok(result) => Ok(result?),
            Err(error) => Err(Problem::internal(&error)),
        }
    }

    /// Removes what was sent, with its folder, and nothing else.
    pub(crate) fn forget(&self, sent: &Path) {
        let Some(folder) = sent.parent().filter(|f| f.parent() == Some(&self.spool)) else {
            return;
        };
        if let Err(error) = std::fs::remove_dir_all(folder) {
            tracing::warn!(%error, "what was sent could not be removed after its import");
        }
    }

    fn here(&self, id: ImportId) -> Option<Running> {
        locked(&self.running).clone().filter(|r| r.id == id)
    }

    /// How an import stands.
    pub(crate) fn standing(&self, desk: &Desk, id: ImportId) -> Result<Option<Standing>, Problem> {
        // In this order: one that ends between the two looks is not taken for a dead one.
        let running = self.here(id);
        let Some(mut record) = desk.photos().import(id)? else {
            return Ok(None);
        };
        if running.is_none() && record.state == ImportState::Running {
            self.tidy(desk)?;
            record = desk.photos().import(id)?.unwrap_or(record);
        }
        Ok(Some(Standing {
            live: running.map(|running| running.live()),
            record,
        }))
    }

    /// The latest imports, newest first.
    pub(crate) fn latest(&self, desk: &Desk, limit: usize) -> Result<Vec<Standing>, Problem> {
        let running = locked(&self.running).clone();
        let mut records = desk.photos().imports(limit)?;
        let is_here = |record: &ImportRecord| running.as_ref().is_some_and(|r| r.id == record.id);
        if records
            .iter()
            .any(|r| r.state == ImportState::Running && !is_here(r))
        {
            self.tidy(desk)?;
            records = desk.photos().imports(limit)?;
        }
        Ok(records
            .into_iter()
            .map(|record| Standing {
                live: running
                    .as_ref()
                    .filter(|r| r.id == record.id)
                    .map(Running::live),
                record,
            })
            .collect())
    }

    /// Does what a person asks of an import that runs here.
    ///
    /// # Errors
    ///
    /// [`Code::WrongState`] where it does not run here.
    pub(crate) fn wish(&self, id: ImportId, wish: Wish) -> Result<(), Problem> {
        let running = self.here(id).ok_or_else(|| {
            Problem::new(
                Code::WrongState,
                format!("import {id} is not at work in this service; GET /v1/imports/{id} says how it stands"),
            )
        })?;
        match wish {
            Wish::Pause => running.control.pause(),
            Wish::Resume => running.control.resume(),
            Wish::Cancel => running.control.stop(),
        }
        Ok(())
    }

    /// True while the import runs here.
    pub(crate) fn is_here(&self, id: ImportId) -> bool {
        self.here(id).is_some()
    }

    /// Asks what runs here to end because the program ends.
    pub(crate) fn interrupt(&self) {
        if let Some(running) = locked(&self.running).as_ref() {
            running.control.interrupt();
        }
    }

    /// True while an import runs here.
    pub(crate) fn is_at_work(&self) -> bool {
        locked(&self.running).is_some()
    }
}

/// Name of the archive into which single photos go that were sent.
pub(crate) const SENT_PHOTOS: &str = "photos.zip";

impl Running {
    fn live(&self) -> Live {
        let progress = *locked(&self.progress);
        Live {
            paused: self.control.is_paused(),
            stopping: self.control.is_stopped(),
            total: progress.and_then(|p| p.total),
            elapsed: progress.map_or(Duration::ZERO, |p| p.elapsed),
        }
    }
}

/// Writes down how far an import is, for whoever looks.
struct Watched(Arc<Mutex<Option<Progress>>>);

impl Observer for Watched {
    fn progress(&self, progress: &Progress) {
        *locked(&self.0) = Some(*progress);
    }

    fn problem(&self, _: &FileProblem) {
        // The register keeps it; there is nobody else to tell.
    }
}

/// Folders and files that are named like a location belong there; where no place of any
/// location is known, every folder is one, as on the command line.
fn locator(desk: &Desk, otherwise: Option<String>) -> Result<Locator, Problem> {
    let known = desk.store().locations()?;
    let by_folder = known
        .iter()
        .all(|l| l.facts.place == PlaceFields::default());
    let tags = known.into_iter().map(|l| l.facts.tag);
    Ok(Locator::new(tags, Mapping::default(), by_folder).otherwise(otherwise))
}
