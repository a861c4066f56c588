//! A folder of photos with its register, and imports of it that tests can hear and stop.

use super::{StandIn, environment, settings};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Mutex;
use tempfile::TempDir;
use vetplate::import::{
    ArchiveLimits, Control, Import, Locator, Mapping, Observer, Outcome, Progress, Settings,
};
use vetplate::register::{Accounts, Folder, Originals, PlateQuery, Problem, SqliteRegister, Store};

/// Hears of everything and can stop an import after so many files.
#[derive(Default)]
pub(crate) struct Heard {
    pub(crate) problems: Mutex<Vec<Problem>>,
    pub(crate) stop: Option<(Control, u64)>,
}

impl Observer for Heard {
    fn progress(&self, progress: &Progress) {
        if let Some((control, after)) = &self.stop
            && progress.accounts.seen >= *after
        {
            control.stop();
        }
    }

    fn problem(&self, problem: &Problem) {
        self.problems.lock().unwrap().push(problem.clone());
    }
}

pub(crate) struct Fixture {
    pub(crate) folder: TempDir,
    pub(crate) register: SqliteRegister,
    pub(crate) reader: StandIn,
    pub(crate) heard: Heard,
    pub(crate) control: Control,
    pub(crate) copies: Option<Folder>,
    pub(crate) jobs: usize,
    pub(crate) retry_failed: bool,
    pub(crate) archives: ArchiveLimits,
}

impl Fixture {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir(folder.path().join("photos")).unwrap();
        let path = folder.path().join("register.vetplate");
        let register = SqliteRegister::open(&path, true, environment()).unwrap();
        Self {
            folder,
            register,
            reader: StandIn::default(),
            heard: Heard::default(),
            control: Control::new(),
            copies: None,
            jobs: 2,
            retry_failed: false,
            archives: ArchiveLimits::default(),
        }
    }

    pub(crate) fn photos(&self) -> PathBuf {
        self.folder.path().join("photos")
    }

    pub(crate) fn put(&self, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        let path = self.photos().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, bytes).unwrap();
        path
    }

    pub(crate) fn settings(&self, sources: &[PathBuf]) -> Settings {
        Settings {
            jobs: self.jobs,
            retry_failed: self.retry_failed,
            archives: self.archives,
            ..settings(sources)
        }
    }

    pub(crate) fn import(&self) -> Outcome {
        self.import_from(&[self.photos()])
    }

    pub(crate) fn import_from(&self, sources: &[PathBuf]) -> Outcome {
        let outcome = self.run(sources);
        let record = &outcome.record;
        assert!(record.accounts.balance(), "{record:?}");
        self.is_whole();
        outcome
    }

    pub(crate) fn run(&self, sources: &[PathBuf]) -> Outcome {
        Import {
            store: &self.register,
            photos: &self.register,
            originals: self.copies.as_ref().map(|c| c as &dyn Originals),
            reader: &self.reader,
            locator: &Locator::new([], Mapping::default(), true),
            environment: &environment(),
            control: &self.control,
            observer: &self.heard,
        }
        .run(&self.settings(sources))
        .unwrap()
    }

    #[track_caller]
    pub(crate) fn is_whole(&self) {
        let mut findings = Vec::new();
        self.register.check(&mut |f| findings.push(f)).unwrap();
        assert_eq!(findings, []);
    }

    /// Reasons by the last part of the file's name.
    pub(crate) fn problems(&self) -> BTreeMap<String, String> {
        let problems = self.heard.problems.lock().unwrap();
        problems
            .iter()
            .map(|p| {
                let name = p.source.rsplit('/').next().unwrap().to_owned();
                (name, p.reason.clone())
            })
            .collect()
    }

    pub(crate) fn plates(&self) -> usize {
        let page = self.register.plates(&PlateQuery::default()).unwrap();
        page.plates.len()
    }
}

pub(crate) fn counts(accounts: Accounts) -> [u64; 6] {
    let Accounts {
        seen,
        taken,
        held,
        refused,
        failed,
        left,
    } = accounts;
    [seen, taken, held, refused, failed, left]
}
