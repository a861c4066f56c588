//! How many files there will be, counted beside the import.

use super::archive::{self, HEAD, Kind};
use super::control::Control;
use std::fs::File;
use std::io::{BufReader, Read};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use walkdir::WalkDir;

/// The count so far.
#[derive(Debug, Default)]
pub(super) struct Count {
    files: AtomicU64,
    whole: AtomicBool,
    uncountable: AtomicBool,
}

impl Count {
    /// How many there are; none while they are being counted, or where that takes as long as
    /// the import itself (the members of a tar archive).
    pub(super) fn total(&self) -> Option<u64> {
        let known = self.whole.load(Ordering::Acquire) && !self.uncountable.load(Ordering::Relaxed);
        known.then(|| self.files.load(Ordering::Relaxed))
    }

    /// Counts every source; stops with the import.
    pub(super) fn run(&self, sources: &[PathBuf], control: &Control) {
        for source in sources {
            if source.is_dir() {
                for entry in WalkDir::new(source).into_iter().flatten() {
                    if control.is_stopped() {
                        return;
                    }
                    if !entry.file_type().is_dir() {
                        self.file(entry.path(), entry.file_type().is_file());
                    }
                }
            } else {
                self.file(source, source.is_file());
            }
        }
        self.whole.store(true, Ordering::Release);
    }

    fn file(&self, path: &Path, regular: bool) {
        let count = match regular.then(|| kind(path)).flatten() {
            // How many pictures are in it is known when it is walked.
            None if is_pdf(path) => {
                self.uncountable.store(true, Ordering::Relaxed);
                0
            }
            None | Some(Kind::Other(_)) => 1,
            Some(Kind::Zip) => File::open(path)
                .ok()
                .and_then(|file| zip::ZipArchive::new(BufReader::new(file)).ok())
                .map_or(1, |zip| {
                    let folders = |name: &&[u8]| !name.ends_with(b"/");
                    zip.file_names_raw().filter(folders).count() as u64
                }),
            Some(Kind::Tar | Kind::TarGz) => {
                self.uncountable.store(true, Ordering::Relaxed);
                0
            }
        };
        self.files.fetch_add(count, Ordering::Relaxed);
    }
}

fn is_pdf(path: &Path) -> bool {
    path.extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("pdf"))
}

/// Only files whose name says so are opened: opening every photo would cost a second walk.
fn kind(path: &Path) -> Option<Kind> {
    let name = path.file_name()?.to_str()?.to_lowercase();
    let archive = [".zip", ".tar", ".tgz", ".gz"]
        .iter()
        .any(|suffix| name.ends_with(suffix));
    if !archive {
        return None;
    }
    let mut head = Vec::new();
    File::open(path)
        .ok()?
        .take(HEAD as u64)
        .read_to_end(&mut head)
        .ok()?;
    archive::kind(&head, &name)
}
