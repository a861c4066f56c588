//! Imports from end to end, with a reader that takes no time: what is read stands in the first
//! pixels of a picture.

mod support;

use std::io::Write;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use support::folder::{Fixture, Heard, counts};
use support::{StandIn, environment, picture};
use vetplate::import::{Control, Import, Locator, dry_run};
use vetplate::register::{Folder, ImportState, Originals, Photos, PlateQuery, Store};

#[test]
fn the_register_is_the_same_however_many_read() {
    let rows = |jobs: usize| {
        let mut f = Fixture::new();
        f.jobs = jobs;
        for n in 0..40 {
            f.put(&format!("{n:02}.png"), picture(n * 7 % 23));
        }
        f.import();
        let page = f.register.plates(&PlateQuery::default()).unwrap();
        let rows: Vec<_> = page
            .plates
            .into_iter()
            .map(|p| (p.id, p.serial, p.photos))
            .collect();
        assert_eq!(rows.len(), 23);
        rows
    };
    assert_eq!(rows(1), rows(4));
}

#[test]
fn what_fails_is_named_kept_as_failed_and_tried_again_on_demand() {
    let mut f = Fixture::new();
    for n in 0..4 {
        f.put(&format!("{n}.png"), picture(n));
    }
    f.reader.fails_on = Some(2);
    f.reader.panics_on = Some(3);
    let first = f.import();
    assert_eq!(counts(first.record.accounts), [4, 2, 0, 0, 2, 0]);
    let problems = f.problems();
    assert!(
        problems["3.png"].contains("fault of this program"),
        "{problems:?}"
    );
    f.reader = StandIn::default();
    // Not by itself …
    assert_eq!(counts(f.import().record.accounts), [4, 0, 2, 0, 2, 0]);
    // … but on demand, with the folder or without.
    f.retry_failed = true;
    let again = f.import_from(&[f.photos().join("2.png")]);
    assert_eq!(counts(again.record.accounts), [1, 1, 0, 0, 0, 0]);
    assert_eq!(
        counts(f.import_from(&[]).record.accounts),
        [1, 1, 0, 0, 0, 0]
    );
    assert_eq!(f.plates(), 4);
}

#[test]
fn a_copy_that_fails_like_its_twin_is_no_photo_that_is_held() {
    let mut f = Fixture::new();
    f.put("a.png", picture(1));
    f.put("b.png", picture(1));
    f.reader.fails_on = Some(1);
    assert_eq!(counts(f.import().record.accounts), [2, 0, 0, 0, 2, 0]);
}

#[test]
fn a_disk_that_is_not_there_changes_nothing() {
    let f = Fixture::new();
    f.put("a.png", picture(1));
    f.import();
    let gone = f.folder.path().join("gone");
    std::fs::rename(f.photos(), &gone).unwrap();
    assert_eq!(counts(f.import().record.accounts), [1, 0, 0, 0, 1, 0]);
    assert_eq!(f.plates(), 1);
    // The same bytes elsewhere are the same photo.
    let moved = f.import_from(&[gone]);
    assert_eq!(counts(moved.record.accounts), [1, 0, 1, 0, 0, 0]);
    let plate = f.register.plate(vetplate::register::PlateId(1)).unwrap();
    assert_eq!(plate.unwrap().photos[0].sources.len(), 2);
}

#[test]
fn copies_are_kept_under_their_hash_and_originals_stay_as_they_are() {
    let mut f = Fixture::new();
    let source = f.put("a.png", picture(1));
    f.put("broken.jpg", [0xff, 0xd8, 0xff, 0xe0, 0, 1]);
    let before = std::fs::metadata(&source).unwrap().modified().unwrap();
    // By reference first, then with copies: what is held is copied, too.
    f.import();
    let folder = Folder::new(f.folder.path().join("copies"), environment());
    f.copies = Some(folder.clone());
    f.put("b.png", picture(2));
    f.import();
    let photos = Store::photos(&f.register, None, 10).unwrap();
    let kept: Vec<_> = photos.iter().filter(|p| p.kept).collect();
    assert_eq!(kept.len(), 2);
    for photo in kept {
        folder.read(&photo.sha256).unwrap();
    }
    assert_eq!(std::fs::read(&source).unwrap(), picture(1));
    assert_eq!(
        std::fs::metadata(&source).unwrap().modified().unwrap(),
        before
    );
}

#[test]
fn stopped_in_the_midst_it_goes_on_where_it_was() {
    let mut f = Fixture::new();
    for n in 0..30 {
        f.put(&format!("{n:02}.png"), picture(n));
    }
    f.heard.stop = Some((f.control.clone(), 7));
    let first = f.import();
    assert_eq!(first.record.state, ImportState::Stopped);
    assert!((7..30).contains(&first.record.accounts.taken));
    f.control = Control::new();
    f.heard.stop = None;
    let second = f.import();
    let held = first.record.accounts.taken;
    assert_eq!(
        counts(second.record.accounts),
        [30, 30 - held, held, 0, 0, 0]
    );
    assert_eq!(f.plates(), 30);
}

/// Each import is checked, and each adds a piece to the full-text index until they are merged.
#[test]
fn a_check_is_not_misled_by_what_was_written_since_the_last() {
    let f = Fixture::new();
    for n in 0..36 {
        f.put(&format!("{n:02}.png"), picture(n));
        f.import();
    }
    assert_eq!(f.plates(), 36);
}

#[test]
fn a_dry_run_says_what_the_import_does() {
    let f = Fixture::new();
    for (name, n) in [("a.png", 1), ("b.png", 2), ("c.png", 2)] {
        f.put(name, picture(n));
    }
    f.put("notes.txt", "no photo");
    let heard = Heard::default();
    let tried = dry_run(
        &f.settings(&[f.photos()]),
        Some(&f.register),
        &environment(),
        &f.control,
        &heard,
    )
    .unwrap();
    assert_eq!(f.plates(), 0);
    assert_eq!(f.register.imports(10).unwrap(), []);
    assert_eq!(tried.accounts, f.import().record.accounts);
}

#[test]
fn a_file_that_grows_is_left_for_the_next_run() {
    let f = Fixture::new();
    f.put("a.png", picture(1));
    let growing = f.put("b.png", &picture(2)[..20]);
    // The clock of the test stands in the future; files of now would be at rest.
    let writing = std::sync::atomic::AtomicBool::new(true);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            let mut file = std::fs::OpenOptions::new()
                .append(true)
                .open(&growing)
                .unwrap();
            while writing.load(Ordering::Relaxed) {
                file.write_all(b"x").unwrap();
                std::thread::sleep(std::time::Duration::from_millis(20));
            }
        });
        let outcome = Import {
            store: &f.register,
            photos: &f.register,
            originals: None,
            reader: &f.reader,
            locator: &Locator::default(),
            environment: &vetplate::Environment::system(),
            control: &f.control,
            observer: &f.heard,
        }
        .run(&f.settings(&[f.photos()]));
        writing.store(false, Ordering::Relaxed);
        assert_eq!(counts(outcome.unwrap().record.accounts), [1, 1, 0, 0, 0, 1]);
    });
    std::fs::write(&growing, picture(2)).unwrap();
    assert_eq!(counts(f.import().record.accounts), [2, 1, 1, 0, 0, 0]);
}

/// Every call that can fail does, in each way that it can, once or from there on: a clear error, the
/// register whole, and the next run completes.
#[test]
fn whatever_step_fails_the_register_is_whole_and_the_next_run_completes() {
    let kinds = [
        std::io::ErrorKind::StorageFull,
        std::io::ErrorKind::PermissionDenied,
        // A write that is cut short, as the system says it.
        std::io::ErrorKind::WriteZero,
        std::io::ErrorKind::Other,
    ];
    for (kind, forever) in kinds
        .iter()
        .flat_map(|kind| [(*kind, false), (*kind, true)])
    {
        let mut failing = 0;
        loop {
            let folder = tempfile::tempdir().unwrap();
            for n in 0..5 {
                std::fs::write(folder.path().join(format!("{n}.png")), picture(n % 4)).unwrap();
            }
            let path = folder.path().join("register.vetplate");
            let count = std::sync::Arc::new(AtomicUsize::new(0));
            let counted = std::sync::Arc::clone(&count);
            let broken = environment().with_steps(move |name| {
                let now = counted.fetch_add(1, Ordering::SeqCst);
                if now == failing || forever && now > failing {
                    return Err(std::io::Error::new(kind, format!("no {name}")));
                }
                Ok(())
            });
            let ended = support::import_with(folder.path(), &path, &broken);
            let steps = count.load(Ordering::SeqCst);
            if steps <= failing {
                ended.unwrap();
                break;
            }
            match &ended {
                // A file that could not be read is named; what comes after the last commit may
                // fail without harm.
                Ok(outcome) => {
                    let accounts = outcome.record.accounts;
                    assert!(accounts.balance(), "step {failing}: {accounts:?}");
                    let all = accounts.taken == 4 || accounts.failed > 0;
                    assert!(all, "step {failing}: {accounts:?}");
                }
                Err(error) => {
                    let text = error.to_string();
                    let clear = text.contains("no ") || text.contains("disk is full");
                    assert!(clear, "step {failing}: {text}");
                }
            }
            let whole = support::import_with(folder.path(), &path, &environment()).unwrap();
            assert!(whole.record.accounts.balance());
            assert_eq!(
                whole.record.accounts.taken + whole.record.accounts.held,
                5,
                "step {failing}: {whole:?}"
            );
            support::assert_whole(&path, 4);
            failing += 1;
        }
        assert!(failing > 40, "only {failing} steps");
    }
}

#[test]
fn own_files_beside_the_photos_are_no_photos() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("a.png"), picture(1)).unwrap();
    let path = folder.path().join("register.vetplate");
    for taken in [1, 0] {
        let outcome = support::import_with(folder.path(), &path, &environment()).unwrap();
        assert_eq!(outcome.record.accounts.seen, 1);
        assert_eq!(outcome.record.accounts.taken, taken);
    }
    assert!(Path::new(&path).exists());
}
