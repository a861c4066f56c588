//! The way back.

use super::find::pool_of;
use super::verify::{Verified, verify};
use super::{BackupError, REGISTER, of_file};
use crate::environment::Environment;
use crate::register::{Folder, Originals, SqliteRegister, Store, sync_folder};
use std::fs::{self, File};
use std::path::{Path, PathBuf};

/// Photos that are asked for at a time.
const PAGE: usize = 500;

/// Restores the backup at `from`, or the newest in it, to a register at `to`, with its photos
/// beside it. It is verified first; sessions do not come back.
///
/// The register gets its name last: one that is there was restored whole. Where an earlier try was
/// broken off, the same command completes it.
///
/// # Errors
///
/// [`BackupError::Torn`] for a backup that is not whole, [`BackupError::Occupied`] where there
/// is something at `to` or beside it.
pub fn restore(from: &Path, to: &Path, environment: &Environment) -> Result<Verified, BackupError> {
    let name = to.file_name().unwrap_or_default().to_owned();
    let suffixed = |suffix: &str| -> PathBuf {
        let mut name = name.clone();
        name.push(suffix);
        to.with_file_name(name)
    };
    let (part, photos) = (suffixed(".part"), suffixed(".photos"));
    // Whoever left a part had found the place empty before.
    let is_broken_off = part.exists();
    for path in [to, &photos, &suffixed("-wal"), &suffixed("-journal")] {
        if path.exists() && !(is_broken_off && path == photos) {
            return Err(BackupError::Occupied {
                path: path.to_owned(),
            });
        }
    }
    let verified = verify(from, environment)?;
    let result = bring_back(&verified, (&part, to), &photos, environment);
    if result.is_err() {
        // Both were not there before; without them the same command can be given again.
        let _ = fs::remove_file(&part);
        let _ = fs::remove_dir_all(&photos);
    }
    result.map(|()| verified)
}

fn bring_back(
    verified: &Verified,
    (part, to): (&Path, &Path),
    photos: &Path,
    environment: &Environment,
) -> Result<(), BackupError> {
    let source = verified.folder.join(REGISTER);
    let step = |name| environment.step(name);
    step("copy the register of a backup").map_err(of_file(part))?;
    // What an earlier try wrote beside its part belongs to no other copy.
    for suffix in ["-wal", "-shm", "-journal"] {
        let mut beside = part.as_os_str().to_owned();
        beside.push(suffix);
        match fs::remove_file(&beside) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                return Err(of_file(Path::new(&beside))(error));
            }
            _ => {}
        }
    }
    fs::copy(&source, part).map_err(of_file(part))?;
    let register = SqliteRegister::open(part, false, environment.clone())?;
    register.end_all_sessions()?;
    if verified.manifest.photos > 0 {
        let pool = Folder::new(pool_of(&verified.folder), environment.clone());
        let copies = Folder::new(photos, environment.clone());
        copy_photos(&register, &pool, &copies)?;
    }
    if register.copies()?.is_some() {
        register.set_copies(&photos.file_name().unwrap_or_default().to_string_lossy())?;
    }
    register.close_whole()?;
    step("sync a restored register")
        .and_then(|()| File::open(part))
        .and_then(|file| file.sync_all())
        .and_then(|()| step("name a restored register"))
        .and_then(|()| fs::rename(part, to))
        .and_then(|()| step("sync the folder of a restored register"))
        .and_then(|()| to.parent().map_or(Ok(()), sync_folder))
        .map_err(of_file(to))
}

fn copy_photos(
    register: &SqliteRegister,
    pool: &Folder,
    copies: &Folder,
) -> Result<(), BackupError> {
    let of_photo = |e: crate::register::OriginalError| BackupError::File {
        path: e.path,
        source: e.source,
    };
    let mut after = None;
    loop {
        let page = Store::photos(register, after, PAGE)?;
        let Some(last) = page.last() else {
            return Ok(());
        };
        after = Some(last.id);
        for photo in page.iter().filter(|photo| photo.kept) {
            // Verified a moment ago; what the manifest names as lost is not there.
            if let Ok(bytes) = pool.read(&photo.sha256) {
                copies.keep(&photo.sha256, &bytes).map_err(of_photo)?;
            }
        }
    }
}
