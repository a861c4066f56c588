//! Imports from end to end, with a reader that takes no time: what is read stands in the first
//! pixels of a picture.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

mod support;

use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use support::{StandIn, environment, picture, settings};
use tempfile::TempDir;
use vetplate::import::{
    ArchiveLimits, Control, Import, Locator, Mapping, Observer, Outcome, Progress, Settings,
    dry_run,
};
use vetplate::register::{
    Accounts, Folder, ImportState, Originals, Photos, PlateQuery, Problem, SqliteRegister, Store,
};

/// Hears of everything and can stop an import after so many files.
#[derive(Default)]
struct Heard {
    problems: Mutex<Vec<Problem>>,
    stop: Option<(Control, u64)>,
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

struct Fixture {
    folder: TempDir,
    register: SqliteRegister,
    reader: StandIn,
    heard: Heard,
    control: Control,
    copies: Option<Folder>,
    jobs: usize,
    retry_failed: bool,
    archives: ArchiveLimits,
}

impl Fixture {
    fn new() -> Self {
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

    fn photos(&self) -> PathBuf {
        self.folder.path().join("photos")
    }

    fn put(&self, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        let path = self.photos().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, bytes).unwrap();
        path
    }

    fn settings(&self, sources: &[PathBuf]) -> Settings {
        Settings {
            jobs: self.jobs,
            retry_failed: self.retry_failed,
            archives: self.archives,
            ..settings(sources)
        }
    }

    fn import(&self) -> Outcome {
        self.import_from(&[self.photos()])
    }

    fn import_from(&self, sources: &[PathBuf]) -> Outcome {
        let outcome = self.run(sources);
        let record = &outcome.record;
        assert!(record.accounts.balance(), "{record:?}");
        self.is_whole();
        outcome
    }

    fn run(&self, sources: &[PathBuf]) -> Outcome {
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
    fn is_whole(&self) {
        let mut findings = Vec::new();
        self.register.check(&mut |f| findings.push(f)).unwrap();
        assert_eq!(findings, []);
    }

    /// Reasons by the last part of the file's name.
    fn problems(&self) -> BTreeMap<String, String> {
        let problems = self.heard.problems.lock().unwrap();
        problems
            .iter()
            .map(|p| {
                let name = p.source.rsplit('/').next().unwrap().to_owned();
                (name, p.reason.clone())
            })
            .collect()
    }

    fn plates(&self) -> usize {
        let page = self.register.plates(&PlateQuery::default()).unwrap();
        page.plates.len()
    }
}

fn counts(accounts: Accounts) -> [u64; 6] {
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

fn zip_of(members: &[(&str, &[u8])]) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let mut zip = zip::ZipWriter::new(&mut bytes);
    for (name, content) in members {
        zip.start_file(*name, zip::write::SimpleFileOptions::default())
            .unwrap();
        zip.write_all(content).unwrap();
    }
    zip.finish().unwrap();
    bytes.into_inner()
}

fn tar_of(members: &[(&str, &[u8])]) -> Vec<u8> {
    let mut tar = tar::Builder::new(Vec::new());
    for (name, content) in members {
        let mut header = tar::Header::new_ustar();
        // Written by hand, so that names that lead out can be written, too.
        header.as_old_mut().name[..name.len()].copy_from_slice(name.as_bytes());
        header.set_size(content.len() as u64);
        header.set_mode(0o644);
        header.set_cksum();
        tar.append(&header, *content).unwrap();
    }
    tar.into_inner().unwrap()
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    gzip.write_all(bytes).unwrap();
    gzip.finish().unwrap()
}

#[test]
fn folders_and_archives_are_taken_once_and_everything_is_accounted_for() {
    let f = Fixture::new();
    f.put("still house/a.png", picture(1));
    f.put("still house/copy of a.png", picture(1));
    f.put("mill/b.png", picture(2));
    f.put("notes.txt", "no photo");
    f.put("Thumbs.db", "x");
    f.put("empty.jpg", "");
    f.put(
        "reports.zip",
        zip_of(&[("boiler/c.png", &picture(3)), ("boiler/a.png", &picture(1))]),
    );
    f.put("old.tar", tar_of(&[("x/d.png", &picture(4))]));
    f.put(
        "older.tgz",
        gzip(&tar_of(&[
            ("x/e.png", &picture(5)),
            ("x/d.png", &picture(4)),
        ])),
    );
    let first = f.import();
    assert_eq!(counts(first.record.accounts), [11, 5, 3, 3, 0, 0]);
    assert_eq!(first.record.state, ImportState::Done);
    assert_eq!(f.plates(), 5);
    let problems = f.problems();
    assert!(
        problems["notes.txt"].contains("not a picture"),
        "{problems:?}"
    );
    assert!(problems["empty.jpg"].contains("empty"), "{problems:?}");
    let locations: Vec<String> = f
        .register
        .locations()
        .unwrap()
        .into_iter()
        .map(|l| l.facts.tag)
        .collect();
    // The copies in "still house" are held by then: where bytes are seen first counts.
    assert_eq!(locations, ["boiler", "mill", "x"]);
    // Once more: nothing new, nothing twice.
    let second = f.import();
    assert_eq!(counts(second.record.accounts), [11, 0, 8, 3, 0, 0]);
    assert_eq!(f.plates(), 5);
}

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

/// Every bad archive: what is good in it is taken, everything else named.
#[test]
fn bad_archives_are_refused_or_handled_each_with_a_line() {
    let mut f = Fixture::new();
    f.archives = ArchiveLimits {
        member_floor: 100_000,
        total_floor: 2_000_000,
        ..ArchiveLimits::default()
    };
    let good = picture(1);
    let zeros = vec![0u8; 3_000_000];
    let big = vec![7u8; 90_000];
    f.put("empty.zip", "");
    f.put("text.zip", "PK\x03\x04 and then nothing that makes sense");
    let mut cut = zip_of(&[("a.png", &picture(2))]);
    cut.truncate(cut.len() - 30);
    f.put("cut.zip", cut);
    f.put(
        "ratio.zip",
        zip_of(&[("bomb.png", &zeros), ("ok.png", &picture(3))]),
    );
    let names: Vec<String> = (0..40).map(|n| format!("{n}.png")).collect();
    let many: Vec<(&str, &[u8])> = names.iter().map(|n| (n.as_str(), &big[..])).collect();
    f.put("total.zip", zip_of(&many));
    f.put("total.tgz", gzip(&tar_of(&many)));
    f.put("outside.zip", zip_of(&[("../../outside.png", &good)]));
    f.put(
        "outside.tar",
        tar_of(&[("../up.png", &good), ("in.png", &picture(4))]),
    );
    let inner = zip_of(&[("deep.png", &picture(5))]);
    f.put(
        "nested.zip",
        zip_of(&[("inner.zip", &inner), ("flat.png", &picture(6))]),
    );
    f.put("cut.tgz", &gzip(&tar_of(&[("x.png", &picture(7))]))[..40]);
    f.put("a.rar", b"Rar!\x1a\x07\x00rest");
    f.put(
        "office.docx",
        zip_of(&[("[Content_Types].xml", b"<x/>"), ("media/1.png", &good)]),
    );
    let outcome = f.import();
    let taken = outcome.record.accounts.taken;
    assert_eq!(taken, 3, "{:?}", f.problems());
    assert_eq!(outcome.record.accounts.failed, 0);
    let problems = f.problems();
    for (name, part) in [
        ("empty.zip", "0 bytes"),
        ("text.zip", "damaged"),
        ("cut.zip", "damaged"),
        ("bomb.png", "times its packed size"),
        ("total.zip", "out of all proportion"),
        ("total.tgz", "out of all proportion"),
        ("outside.png", "leads out"),
        ("up.png", "leads out"),
        ("inner.zip", "archive within an archive"),
        ("cut.tgz", "damaged"),
        ("a.rar", "RAR"),
        ("office.docx", "office document"),
    ] {
        let reason = problems
            .get(name)
            .unwrap_or_else(|| panic!("{name}: {problems:?}"));
        assert!(reason.contains(part), "{name}: {reason}");
    }
    // Nothing was written beside the photos.
    assert!(!f.folder.path().join("outside.png").exists());
    assert!(!f.folder.path().join("up.png").exists());
}

#[test]
fn an_encrypted_member_is_named() {
    let f = Fixture::new();
    // The flag that says "encrypted" is all that is looked at.
    let mut bytes = zip_of(&[("secret.png", &picture(1)), ("open.png", &picture(2))]);
    for mark in [&b"PK\x03\x04"[..], b"PK\x01\x02"] {
        let at = bytes.windows(4).position(|w| w == mark).unwrap();
        bytes[at + if mark[2] == 3 { 6 } else { 8 }] |= 1;
    }
    f.put("a.zip", bytes);
    assert_eq!(counts(f.import().record.accounts), [2, 1, 0, 1, 0, 0]);
    assert!(f.problems()["secret.png"].contains("encrypted"));
}

#[cfg(unix)]
#[test]
fn links_loops_strange_names_and_pipes_are_named() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    let f = Fixture::new();
    f.put("a.png", picture(1));
    std::os::unix::fs::symlink(f.photos(), f.photos().join("loop")).unwrap();
    std::os::unix::fs::symlink("a.png", f.photos().join("link.png")).unwrap();
    let strange = f.photos().join(OsStr::from_bytes(b"caf\xe9.png"));
    std::fs::write(&strange, picture(2)).unwrap();
    let outcome = f.import();
    assert_eq!(counts(outcome.record.accounts), [4, 2, 0, 2, 0, 0]);
    let problems = f.problems();
    assert!(problems["loop"].contains("a link"), "{problems:?}");
    let photos = Store::photos(&f.register, None, 10).unwrap();
    let source = photos
        .iter()
        .flat_map(|p| &p.sources)
        .find(|s| s.contains("caf"))
        .unwrap();
    assert!(source.ends_with("caf\\xe9.png"), "{source}");
    // The bytes are found again under the strange name.
    let id = photos.iter().find(|p| p.sources.contains(source)).unwrap();
    let sightings = f.register.sightings(id.id).unwrap();
    let bytes = vetplate::import::fetch(&sightings, &id.sha256, 1 << 20).unwrap();
    assert_eq!(bytes, picture(2));
}

#[test]
fn many_files_in_one_folder() {
    let f = Fixture::new();
    for n in 0..2000 {
        f.put(&format!("{n}.png"), picture(n % 50));
    }
    assert_eq!(
        counts(f.import().record.accounts),
        [2000, 50, 1950, 0, 0, 0]
    );
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

/// Every step that writes fails, once or from there on: a clear error, the register whole, and
/// the next run completes.
#[test]
fn whatever_step_fails_the_register_is_whole_and_the_next_run_completes() {
    for forever in [false, true] {
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
                    let kinds = [
                        std::io::ErrorKind::StorageFull,
                        std::io::ErrorKind::PermissionDenied,
                        std::io::ErrorKind::Other,
                    ];
                    return Err(std::io::Error::new(kinds[now % 3], format!("no {name}")));
                }
                Ok(())
            });
            let ended = support::import_with(folder.path(), &path, &broken);
            let steps = count.load(Ordering::SeqCst);
            if steps <= failing {
                ended.unwrap();
                break;
            }
            if let Ok(outcome) = &ended {
                // Only what comes after the last commit may fail without harm.
                assert_eq!(outcome.record.accounts.taken, 4, "step {failing}");
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
