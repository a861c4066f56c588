//! Backups: made while the register is written, verified, restored; torn ones are refused.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

mod support;

use jiff::{SignedDuration, Timestamp};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use support::{assert_whole, import_with, picture};
use tempfile::TempDir;
use vetplate::Environment;
use vetplate::backup::{BackupError, make, restore, verify};
use vetplate::register::{Folder, LocationFacts, Originals, SqliteRegister, Store};

/// Photos of the register, one plate each.
const PHOTOS: u32 = 6;
/// Rounds of the drill. `VETPLATE_TEST_DRILLS=20` runs that many.
const ROUNDS: u32 = 4;

/// The clock stands a year ahead, so that files of now are at rest.
fn environment() -> Environment {
    let year = SignedDuration::from_hours(365 * 24);
    Environment::system().with_clock(move || Timestamp::now() + year)
}

/// A register with plates and its own copies of their photos.
struct Place {
    folder: TempDir,
    register: SqliteRegister,
    copies: Folder,
}

fn place() -> Place {
    let folder = tempfile::tempdir().unwrap();
    for n in 0..PHOTOS {
        fs::write(folder.path().join(format!("{n}.png")), picture(n * 100)).unwrap();
    }
    let path = folder.path().join("register.vetplate");
    import_with(folder.path(), &path, &environment()).unwrap();
    let register = SqliteRegister::open(&path, false, environment()).unwrap();
    register.set_copies("register.photos").unwrap();
    let copies = Folder::new(register.copies().unwrap().unwrap(), environment());
    Place {
        folder,
        register,
        copies,
    }
}

impl Place {
    fn backups(&self) -> PathBuf {
        self.folder.path().join("backups")
    }

    fn back_up(&self) -> PathBuf {
        let made = make(&self.register, Some(&self.copies), &self.backups()).unwrap();
        assert_eq!(made.manifest.photos, u64::from(PHOTOS));
        assert_eq!(made.manifest.lost, Vec::<String>::new());
        made.folder
    }

    /// Restores the newest backup to a new place.
    fn restored(&self, name: &str) -> Result<PathBuf, BackupError> {
        let folder = self.folder.path().join(name);
        fs::create_dir(&folder).unwrap();
        let path = folder.join("register.vetplate");
        restore(&self.backups(), &path, &environment())?;
        // `assert_whole` looks for copies beside the register under this name.
        fs::rename(
            folder.join("register.vetplate.photos"),
            folder.join("register.photos"),
        )
        .unwrap();
        Ok(path)
    }
}

/// Lets the writer end, also where something is not as it should be.
struct StopAtTheEnd<'a>(&'a AtomicBool);

impl Drop for StopAtTheEnd<'_> {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

fn rounds() -> u32 {
    std::env::var("VETPLATE_TEST_DRILLS")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(ROUNDS)
}

#[test]
fn a_restored_register_is_whole_and_shows_one_moment_whatever_is_written_meanwhile() {
    let place = place();
    let stop = AtomicBool::new(false);
    let written = AtomicU32::new(0);
    std::thread::scope(|scope| {
        let _stop = StopAtTheEnd(&stop);
        scope.spawn(|| {
            while !stop.load(Ordering::Relaxed) {
                // Two locations in two changes: the second never without the first.
                let n = written.load(Ordering::Relaxed);
                for name in ["first", "second"] {
                    let facts = LocationFacts {
                        tag: format!("{name}-{n}"),
                        ..LocationFacts::default()
                    };
                    place.register.put_location(&facts, "writer").unwrap();
                }
                written.store(n + 1, Ordering::Relaxed);
            }
        });
        for round in 0..rounds() {
            let before = written.load(Ordering::Relaxed);
            while written.load(Ordering::Relaxed) < before + 3 {
                std::thread::yield_now();
            }
            let folder = place.back_up();
            let verified = verify(&folder, &environment()).unwrap();
            let path = place.restored(&format!("round-{round}")).unwrap();
            assert_whole(&path, PHOTOS as usize);
            let register = SqliteRegister::open(&path, false, environment()).unwrap();
            let tags: Vec<String> = register
                .locations()
                .unwrap()
                .into_iter()
                .map(|l| l.facts.tag)
                .collect();
            assert_eq!(verified.manifest.rows["locations"], tags.len() as u64);
            let count = |name: &str| tags.iter().filter(|t| t.starts_with(name)).count();
            let (first, second) = (count("first-"), count("second-"));
            assert!(first >= before as usize, "what was written before is there");
            assert!(first - second <= 1, "{first} {second}");
        }
    });
    // Every backup shares its photos with the others.
    let pool = walkdir::WalkDir::new(place.backups().join("photos"));
    let files = pool
        .into_iter()
        .filter(|e| e.as_ref().unwrap().file_type().is_file());
    assert_eq!(files.count(), PHOTOS as usize);
}

/// Changes the file at `path` by `change`.
fn damage(path: &Path, change: impl FnOnce(&mut Vec<u8>)) {
    let mut bytes = fs::read(path).unwrap();
    change(&mut bytes);
    fs::write(path, bytes).unwrap();
}

fn a_photo(backup: &Path) -> PathBuf {
    walkdir::WalkDir::new(backup.parent().unwrap().join("photos"))
        .sort_by_file_name()
        .into_iter()
        .map(|entry| entry.unwrap())
        .find(|entry| entry.file_type().is_file())
        .unwrap()
        .into_path()
}

#[test]
fn torn_backups_are_refused_and_say_why() {
    type Tear = fn(&Path);
    let tears: [(&str, Tear, &str); 8] = [
        (
            "cut register",
            |backup| {
                damage(&backup.join("register.vetplate"), |b| {
                    b.truncate(b.len() / 2);
                });
            },
            "has the hash",
        ),
        (
            "changed byte of the register",
            |backup| {
                damage(&backup.join("register.vetplate"), |b| {
                    let middle = b.len() / 2;
                    b[middle] ^= 1;
                });
            },
            "has the hash",
        ),
        (
            "no register",
            |backup| fs::remove_file(backup.join("register.vetplate")).unwrap(),
            "register.vetplate",
        ),
        (
            "cut manifest",
            |backup| damage(&backup.join("manifest.json"), |b| b.truncate(40)),
            "manifest.json cannot be read",
        ),
        (
            "another form",
            |backup| {
                damage(&backup.join("manifest.json"), |b| {
                    let text = String::from_utf8(b.clone()).unwrap();
                    *b = text.replace("\"form\": 1", "\"form\": 2").into_bytes();
                });
            },
            "form 2",
        ),
        (
            "missing photo",
            |backup| fs::remove_file(a_photo(backup)).unwrap(),
            "is missing",
        ),
        (
            "changed byte of a photo",
            |backup| damage(&a_photo(backup), |b| b[60] ^= 1),
            "make another backup",
        ),
        (
            "fewer rows than there were",
            |backup| {
                damage(&backup.join("manifest.json"), |b| {
                    let text = String::from_utf8(b.clone()).unwrap();
                    *b = text.replace("\"plates\": 6", "\"plates\": 7").into_bytes();
                });
            },
            "plates has 6 rows, the manifest says 7",
        ),
    ];
    for (index, (name, tear, part)) in tears.into_iter().enumerate() {
        let place = place();
        let backup = place.back_up();
        verify(&backup, &environment()).unwrap();
        tear(&backup);
        let error = verify(&backup, &environment()).unwrap_err().to_string();
        assert!(error.contains(part), "{name}: {error}");
        let folder = format!("restored-{index}");
        let error = place.restored(&folder).unwrap_err().to_string();
        assert!(error.contains(part), "{name}: {error}");
        let left = fs::read_dir(place.folder.path().join(folder)).unwrap();
        assert_eq!(left.count(), 0, "{name}");
    }
}

#[test]
fn nothing_is_overwritten_and_nothing_half_is_left() {
    let place = place();
    place.back_up();
    let path = place.register.path().to_owned();
    let error = restore(&place.backups(), &path, &environment()).unwrap_err();
    assert!(matches!(error, BackupError::Occupied { .. }), "{error}");
    assert_whole(&path, PHOTOS as usize);
    let error = verify(&place.folder.path().join("none"), &environment()).unwrap_err();
    assert!(error.to_string().contains("there is no backup here"));
    let names: Vec<String> = fs::read_dir(place.backups())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    assert!(names.iter().all(|name| !name.contains("part")), "{names:?}");
    assert_eq!(names.len(), 2, "{names:?}");
}

#[test]
fn photos_that_were_lost_before_are_named_and_the_rest_is_saved() {
    let place = place();
    let sha256 = place.register.photos(None, 1).unwrap()[0].sha256.clone();
    damage(&place.copies.path(&sha256), |bytes| bytes[60] ^= 1);
    let made = make(&place.register, Some(&place.copies), &place.backups()).unwrap();
    assert_eq!(made.manifest.lost, [sha256]);
    assert_eq!(made.manifest.photos, u64::from(PHOTOS) - 1);
    verify(&made.folder, &environment()).unwrap();
    assert!(place.copies.read(&made.manifest.lost[0]).is_ok());
}

#[test]
fn the_register_remembers_the_newest_backup_that_was_verified() {
    let place = place();
    assert_eq!(place.register.verified_backup().unwrap(), None);
    let older = verify(&place.back_up(), &environment()).unwrap();
    let newer = verify(&place.back_up(), &environment()).unwrap();
    for verified in [&newer, &older] {
        place
            .register
            .set_verified_backup(verified.manifest.made_at)
            .unwrap();
    }
    let kept = place.register.verified_backup().unwrap();
    assert_eq!(kept, Some(newer.manifest.made_at));
}
