//! `vetplate register backup` and `restore`.

use super::Streams;
use super::import::register_failed;
use crate::backup::{BackupError, Verified, make, restore, verify};
use crate::cli::{BackupArgs, RestoreArgs};
use crate::environment::Environment;
use crate::failure::{Ending, Failure};
use crate::register::{Folder, SqliteRegister};
use std::path::Path;

/// Makes a backup, verifies one, or both.
pub(super) fn backup(
    args: &BackupArgs,
    path: &Path,
    environment: &Environment,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let mut ending = Ending::Answered;
    let mut made = None;
    if let Some(to) = &args.to {
        let register =
            SqliteRegister::open(path, false, environment.clone()).map_err(register_failed)?;
        let copies = register.copies().map_err(register_failed)?;
        let originals = copies.map(|path| Folder::new(path, environment.clone()));
        let new = make(&register, originals.as_ref(), to).map_err(failed)?;
        let manifest = &new.manifest;
        writeln!(
            streams.output,
            "{}: {} plates, {} photos.",
            new.folder.display(),
            manifest.rows.get("plates").copied().unwrap_or_default(),
            manifest.photos
        )?;
        if manifest.elsewhere > 0 {
            writeln!(
                streams.output,
                "{} photos lie where they were imported from and are not in it; `vetplate import \
                 --keep` copies them into the register.",
                manifest.elsewhere
            )?;
        }
        for sha256 in &manifest.lost {
            ending = Ending::NotWhole;
            streams.complain(
                &path.display().to_string(),
                &format!("the register's own copy of photo {sha256} is missing or damaged"),
            );
        }
        made = Some(new.folder);
    }
    if let Some(wanted) = &args.verify {
        let Some(folder) = wanted.as_deref().or(made.as_deref()) else {
            return Err(Failure::Usage(
                "--verify takes the folder of the backup, or goes with --to".to_owned(),
            ));
        };
        match verify(folder, environment) {
            Ok(verified) => note(&verified, path, environment, streams)?,
            Err(error @ BackupError::Torn { .. }) => {
                streams.complain("backup", &error.to_string());
                ending = ending.worse(Ending::NotWhole);
            }
            Err(error) => return Err(failed(error)),
        }
    }
    streams.output.flush()?;
    Ok(ending)
}

/// Says that a backup is whole, and lets the register know, where it is at hand.
fn note(
    verified: &Verified,
    path: &Path,
    environment: &Environment,
    streams: &mut Streams<'_>,
) -> Result<(), Failure> {
    writeln!(
        streams.output,
        "{}: whole. Restored to a scratch place; database, rows and the hashes of {} photos are \
         as they were.",
        verified.folder.display(),
        verified.manifest.photos
    )?;
    if path.exists() {
        SqliteRegister::open(path, false, environment.clone())
            .and_then(|register| register.set_verified_backup(verified.manifest.made_at))
            .map_err(register_failed)?;
    }
    Ok(())
}

/// Restores a backup to the place of the register.
pub(super) fn restored(
    args: &RestoreArgs,
    path: &Path,
    environment: &Environment,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let verified = match restore(&args.from, path, environment) {
        Ok(verified) => verified,
        Err(error @ BackupError::Torn { .. }) => {
            streams.complain("backup", &error.to_string());
            return Ok(Ending::NotWhole);
        }
        Err(error) => return Err(failed(error)),
    };
    writeln!(
        streams.output,
        "{} is as {} was on {}, with {} photos. Sessions have ended; accounts and tokens that were \
         removed since are good again: see `vetplate users list`.",
        path.display(),
        verified.folder.display(),
        verified.manifest.made_at,
        verified.manifest.photos
    )?;
    streams.output.flush()?;
    Ok(Ending::Answered)
}

fn failed(error: BackupError) -> Failure {
    match error {
        BackupError::Store(error) => register_failed(error),
        BackupError::NoBackup { .. } | BackupError::Occupied { .. } => {
            Failure::Usage(error.to_string())
        }
        _ => Failure::Internal(error.to_string()),
    }
}
