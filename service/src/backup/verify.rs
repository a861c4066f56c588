//! Is a backup whole? It is restored to a scratch place and looked at there.

use super::find::{backup_at, pool_of};
use super::manifest::Manifest;
use super::scratch::Scratch;
use super::{BackupError, REGISTER, of_file};
use crate::environment::Environment;
use crate::pipeline::hex;
use crate::register::{Folder, Originals, SqliteRegister, Store, file_sha256};
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};

/// Photos that are asked for at a time.
const PAGE: usize = 500;
/// Findings that are named; a pool that is gone would name every photo.
const NAMED: usize = 20;

/// A backup that is whole.
#[derive(Debug)]
pub struct Verified {
    /// Its folder.
    pub folder: PathBuf,
    /// What is in it.
    pub manifest: Manifest,
}

/// Restores the backup at `path`, or the newest in it, to a scratch place; checks the file's
/// hash, the database, what every register holds to, the rows of each table, and the hash of
/// every photo.
///
/// # Errors
///
/// [`BackupError::Torn`] with what is wrong; [`BackupError`] where it cannot be read.
pub fn verify(path: &Path, environment: &Environment) -> Result<Verified, BackupError> {
    let folder = backup_at(path)?;
    let manifest = Manifest::read(&folder)?;
    let file = folder.join(REGISTER);
    let torn = |findings: Vec<String>| BackupError::Torn {
        path: folder.clone(),
        findings,
    };
    let sha256 = file_sha256(&file).map_err(of_file(&file))?;
    if sha256 != manifest.register_sha256 {
        return Err(torn(vec![format!(
            "{REGISTER} has the hash {sha256}, the manifest says {}",
            manifest.register_sha256
        )]));
    }
    let scratch = Scratch::new()?;
    let restored = scratch.path().join(REGISTER);
    fs::copy(&file, &restored).map_err(of_file(&restored))?;
    let mut findings = Vec::new();
    let register = SqliteRegister::open(&restored, false, environment.clone())?;
    register.check(&mut |finding| findings.push(finding.detail))?;
    let rows = register.row_counts()?;
    for (table, wanted) in &manifest.rows {
        let found = rows.get(table).copied().unwrap_or_default();
        if found != *wanted {
            findings.push(format!(
                "{table} has {found} rows, the manifest says {wanted}"
            ));
        }
    }
    check_photos(&register, &folder, &manifest, environment, &mut findings)?;
    if findings.is_empty() {
        return Ok(Verified { folder, manifest });
    }
    let more = findings.len().saturating_sub(NAMED);
    findings.truncate(NAMED);
    if more > 0 {
        findings.push(format!("and {more} more"));
    }
    Err(torn(findings))
}

fn check_photos(
    register: &SqliteRegister,
    folder: &Path,
    manifest: &Manifest,
    environment: &Environment,
    findings: &mut Vec<String>,
) -> Result<(), BackupError> {
    let pool = Folder::new(pool_of(folder), environment.clone());
    let mut whole = 0;
    let mut after = None;
    loop {
        let page = Store::photos(register, after, PAGE)?;
        let Some(last) = page.last() else {
            break;
        };
        after = Some(last.id);
        let kept = page.iter().filter(|photo| photo.kept);
        for photo in kept.filter(|photo| !manifest.lost.contains(&photo.sha256)) {
            match pool.read(&photo.sha256) {
                Err(error) => findings.push(format!("photo {} is missing: {error}", photo.sha256)),
                Ok(bytes) => {
                    let actual = hex(&Sha256::digest(&bytes));
                    if actual == photo.sha256 {
                        whole += 1;
                    } else {
                        findings.push(format!(
                            "photo {} has the hash {actual}; remove {} and make another backup",
                            photo.sha256,
                            pool.path(&photo.sha256).display()
                        ));
                    }
                }
            }
        }
    }
    if whole != manifest.photos && findings.is_empty() {
        findings.push(format!(
            "{whole} photos are whole, the manifest says {}",
            manifest.photos
        ));
    }
    Ok(())
}
