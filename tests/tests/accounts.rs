//! Whatever lies in a folder, in whatever order, and wherever an import is stopped: its accounts
//! balance, and nothing is lost or there twice.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

#[path = "support/desk.rs"]
mod desk;

use desk::{StandIn, environment, picture};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::path::Path;
use std::time::Duration;
use vetplate::import::{
    ArchiveLimits, Control, Import, Locator, Observer, Outcome, Progress, Settings,
};
use vetplate::register::{Asked, Folder, PlateQuery, Problem, SqliteRegister, Store};
use vetplate_ocr::Limits;

/// One file of a folder.
#[derive(Debug, Clone)]
enum Item {
    Photo(u32),
    Text,
    Empty,
    Cut(u32),
    /// An archive with photos, and with something that is none.
    Archive(Vec<u32>),
}

fn item() -> impl Strategy<Value = Item> {
    prop_oneof![
        5 => (0u32..6).prop_map(Item::Photo),
        1 => Just(Item::Text),
        1 => Just(Item::Empty),
        1 => (0u32..6).prop_map(Item::Cut),
        1 => proptest::collection::vec(0u32..8, 0..4).prop_map(Item::Archive),
    ]
}

/// Writes the file; answers how many are seen in it.
fn put(item: &Item, folder: &Path, index: usize) -> u64 {
    let write = |ending: &str, bytes: Vec<u8>| {
        std::fs::write(folder.join(format!("{index:02}.{ending}")), bytes).unwrap();
    };
    match item {
        Item::Photo(n) => write("png", picture(*n)),
        Item::Text => write("txt", b"notes".to_vec()),
        Item::Empty => write("png", Vec::new()),
        Item::Cut(n) => {
            let mut bytes = picture(*n);
            bytes.truncate(bytes.len() / 2);
            write("png", bytes);
        }
        Item::Archive(photos) => {
            let mut tar = tar::Builder::new(Vec::new());
            let members = photos.iter().map(|n| picture(*n)).chain([b"none".to_vec()]);
            for (at, bytes) in members.enumerate() {
                let mut header = tar::Header::new_gnu();
                header.set_size(bytes.len() as u64);
                header.set_mode(0o644);
                header.set_cksum();
                tar.append_data(&mut header, format!("{at}.png"), &bytes[..])
                    .unwrap();
            }
            write("tar", tar.into_inner().unwrap());
            return photos.len() as u64 + 1;
        }
    }
    1
}

/// Stops an import after so many files.
struct Stop(Control, u64);

impl Observer for Stop {
    fn progress(&self, progress: &Progress) {
        if progress.accounts.seen >= self.1 {
            self.0.stop();
        }
    }

    fn problem(&self, _: &Problem) {}
}

fn import(folder: &Path, register: &SqliteRegister, copies: &Folder, stop_after: u64) -> Outcome {
    let control = Control::new();
    let outcome = Import {
        store: register,
        photos: register,
        originals: Some(copies),
        reader: &StandIn {
            takes: Duration::ZERO,
        },
        locator: &Locator::default(),
        environment: &environment(),
        control: &control,
        observer: &Stop(control.clone(), stop_after),
    }
    .run(&Settings {
        sources: vec![folder.to_owned()],
        jobs: 3,
        retry_failed: false,
        limits: Limits::default(),
        archives: ArchiveLimits::default(),
        own: Vec::new(),
        who: "test".to_owned(),
        hidden: None,
        asked: Asked::default(),
    })
    .unwrap();
    assert!(outcome.record.accounts.balance(), "{outcome:?}");
    outcome
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn accounts_balance_whatever_comes_in_whatever_order(
        items in proptest::collection::vec(item(), 1..12),
        stops in proptest::collection::vec(0u64..10, 0..3),
    ) {
        let folder = tempfile::tempdir().unwrap();
        let photos = folder.path().join("photos");
        std::fs::create_dir(&photos).unwrap();
        let files: u64 = items.iter().enumerate().map(|(at, item)| put(item, &photos, at)).sum();
        let different: BTreeSet<u32> = items
            .iter()
            .flat_map(|item| match item {
                Item::Photo(n) => vec![*n],
                Item::Archive(photos) => photos.clone(),
                Item::Text | Item::Empty | Item::Cut(_) => Vec::new(),
            })
            .collect();
        let path = folder.path().join("register.vetplate");
        let register = SqliteRegister::open(&path, true, environment()).unwrap();
        let copies = Folder::new(folder.path().join("copies"), environment());
        let mut taken = 0;
        for stop in stops {
            taken += import(&photos, &register, &copies, stop).record.accounts.taken;
        }
        let last = import(&photos, &register, &copies, u64::MAX).record.accounts;
        prop_assert_eq!(last.seen, files);
        prop_assert_eq!(taken + last.taken, different.len() as u64);
        prop_assert_eq!(last.failed, 0);
        let mut findings = Vec::new();
        register.check(&mut |f| findings.push(f)).unwrap();
        register.check_copies(&copies, &mut || {}, &mut |f| findings.push(f)).unwrap();
        prop_assert_eq!(findings, vec![]);
        let page = register.plates(&PlateQuery::default()).unwrap();
        prop_assert_eq!(page.plates.len(), different.len());
    }
}
