//! Making a backup.

use super::find::pool_of;
use super::manifest::{FORM, Manifest};
use super::{BackupError, PHOTOS, REGISTER, of_file};
use crate::pipeline::hex;
use crate::register::{Folder, Originals, SqliteRegister, Store, file_sha256, sync_folder};
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};

/// Photos that are asked for at a time.
const PAGE: usize = 500;

/// A backup that was made.
#[derive(Debug)]
pub struct Made {
    /// Its folder.
    pub folder: PathBuf,
    /// What is in it.
    pub manifest: Manifest,
}

/// Makes a backup of `register`, which may be in use, in a new folder in `to`.
///
/// Photos are copied after the register, and are never removed from it, so that every photo
/// which the copy knows is there. One whose bytes are wrong already is named in the manifest.
///
/// # Errors
///
/// [`BackupError`]; then no new backup is there.
pub fn make(
    register: &SqliteRegister,
    originals: Option<&Folder>,
    to: &Path,
) -> Result<Made, BackupError> {
    let environment = register.environment();
    let made_at = environment.clock();
    let name = made_at.strftime("%Y-%m-%dT%H%M%S%.3fZ").to_string();
    let folder = to.join(&name);
    let part = to.join(format!("{name}.part"));
    fs::create_dir_all(to).map_err(of_file(to))?;
    if folder.exists() {
        let taken = std::io::ErrorKind::AlreadyExists;
        return Err(of_file(&folder)(taken.into()));
    }
    fs::create_dir(&part).map_err(of_file(&part))?;
    let result = fill(register, originals, &part).and_then(|manifest| {
        let manifest = Manifest {
            made_at,
            ..manifest
        };
        manifest.write(&part)?;
        fs::rename(&part, &folder)
            .and_then(|()| sync_folder(to))
            .map_err(of_file(&folder))?;
        Ok(Made {
            folder: folder.clone(),
            manifest,
        })
    });
    if result.is_err() {
        // What is left has no name that anybody takes for a backup.
        let _ = fs::remove_dir_all(&part);
    }
    result
}

fn fill(
    register: &SqliteRegister,
    originals: Option<&Folder>,
    part: &Path,
) -> Result<Manifest, BackupError> {
    let file = part.join(REGISTER);
    register.copy_to(&file)?;
    let copy = SqliteRegister::open(&file, false, register.environment().clone())?;
    let pool = Folder::new(pool_of(part), register.environment().clone());
    let rows = copy.row_counts()?;
    let (mut photos, mut elsewhere, mut lost) = (0, 0, Vec::new());
    let mut after = None;
    loop {
        let page = Store::photos(&copy, after, PAGE)?;
        let Some(end) = page.last() else {
            break;
        };
        after = Some(end.id);
        for photo in &page {
            if !photo.kept {
                elsewhere += 1;
                continue;
            }
            let bytes = originals.and_then(|originals| originals.read(&photo.sha256).ok());
            match bytes.filter(|bytes| hex(&Sha256::digest(bytes)) == photo.sha256) {
                None => lost.push(photo.sha256.clone()),
                Some(bytes) => {
                    photos += 1;
                    pool.keep(&photo.sha256, &bytes)
                        .map_err(|e| BackupError::File {
                            path: part.join(PHOTOS),
                            source: e.source,
                        })?;
                }
            }
        }
    }
    // In one file: what is beside it in use belongs to nobody's copy.
    copy.close_whole()?;
    Ok(Manifest {
        form: FORM,
        program: env!("CARGO_PKG_VERSION").to_owned(),
        made_at: register.environment().clock(),
        register_sha256: file_sha256(&file).map_err(of_file(&file))?,
        rows,
        photos,
        elsewhere,
        lost,
    })
}
