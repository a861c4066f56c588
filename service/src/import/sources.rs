//! What a walk finds, and how it begins.

use super::budget::{ArchiveLimits, Budget};
use super::control::Control;
use super::names;
use super::{archive, folder, pdf};
use crate::environment::Environment;
use crate::register::{Sighting, Sorted};
use jiff::Timestamp;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// A file that changed less than this ago may still be being written.
const QUIET: Duration = Duration::from_secs(2);

/// One thing that a walk found.
pub(super) enum Found {
    /// A file that may be a photo.
    Bytes {
        sighting: Sighting,
        /// Names from the source down to the file.
        path: Vec<String>,
        bytes: Vec<u8>,
    },
    /// A file that goes into the accounts as it is.
    Sorted { source: String, sorted: Sorted },
}

/// The walk goes on, or was stopped.
pub(super) type Flow = std::ops::ControlFlow<()>;

/// What every walk knows.
pub(super) struct Walk<'a> {
    pub(super) control: &'a Control,
    pub(super) limits: ArchiveLimits,
    /// Largest photo, bytes.
    pub(super) largest: u64,
    /// Most pixels of a photo.
    pub(super) pixels: u64,
    /// Files and folders that belong to the register itself.
    pub(super) own: &'a [PathBuf],
    /// Date and time.
    pub(super) environment: &'a Environment,
}

impl Walk<'_> {
    /// Walks one source: a folder, an archive or a photo.
    pub(super) fn source(&self, source: &Path, each: &mut dyn FnMut(Found) -> Flow) -> Flow {
        match std::fs::metadata(source) {
            Ok(meta) if meta.is_dir() => folder::walk(self, source, each),
            Ok(_) => {
                let name = source.file_name().unwrap_or_default().to_string_lossy();
                self.file(source, &[name.into_owned()], each)
            }
            // Nothing that is held is touched because a disk is not there today.
            Err(error) => each(failed(
                names::of_path(source),
                format!("{error}; nothing in the register was changed"),
            )),
        }
    }

    /// One regular file: a photo, or an archive of them.
    pub(super) fn file(
        &self,
        file: &Path,
        path: &[String],
        each: &mut dyn FnMut(Found) -> Flow,
    ) -> Flow {
        let source = names::of_path(file);
        let name = path.last().map_or("", String::as_str);
        if names::is_clutter(name) {
            return each(refused(source, "a file of the operating system, no photo"));
        }
        let step = |name| self.environment.step(name);
        let before = match step("look at a file").and_then(|()| self.settled(file)) {
            Ok(Some(stamp)) => stamp,
            Ok(None) => return each(left(source)),
            Err(error) => return each(failed(source, sentence(&error))),
        };
        let mut head = [0; archive::HEAD];
        let opened = step("open a file").and_then(|()| {
            let mut opened = std::fs::File::open(file)?;
            let length = fill(&mut opened, &mut head)?;
            Ok((opened, length))
        });
        let (opened, length) = match opened {
            Ok(opened) => opened,
            Err(error) => return each(failed(source, sentence(&error))),
        };
        if let Some(kind) = archive::kind(&head[..length], name) {
            drop(opened);
            return archive::walk(self, kind, file, path, before.length, each);
        }
        let is_pdf = pdf::is_pdf(&head[..length]);
        let largest = if is_pdf {
            self.limits.pdf_bytes
        } else {
            self.largest
        };
        if before.length > largest {
            return each(refused(
                source,
                &if is_pdf {
                    too_large_pdf(largest)
                } else {
                    too_large(largest)
                },
            ));
        }
        let mut bytes = head[..length].to_vec();
        // A file that grows while it is read must not grow in memory without end.
        let rest =
            step("read a file").and_then(|()| opened.take(largest + 1).read_to_end(&mut bytes));
        if let Err(error) = rest {
            return each(failed(source, sentence(&error)));
        }
        match Stamp::of(file) {
            Ok(after) if after == before && bytes.len() as u64 == after.length => {}
            Ok(_) => return each(left(source)),
            Err(error) => return each(failed(source, sentence(&error))),
        }
        if is_pdf {
            let mut budget = Budget::new(self.limits, before.length);
            let sighting = |name: &str| names::member(file, name.as_bytes());
            return pdf::walk(self, &source, path, bytes, (&mut budget, &sighting), each);
        }
        each(Found::Bytes {
            sighting: names::file(file),
            path: path.to_vec(),
            bytes,
        })
    }

    /// What the pictures of a PDF may cost.
    pub(super) fn pdf_limits(&self) -> pdf::Limits {
        pdf::Limits {
            bytes: self.largest,
            pixels: self.pixels,
        }
    }

    /// Size and time of a file that is at rest; none while it is still being written.
    fn settled(&self, file: &Path) -> std::io::Result<Option<Stamp>> {
        let first = Stamp::of(file)?;
        let age = first.changed.and_then(|changed| {
            self.environment
                .clock()
                .duration_since(changed)
                .try_into()
                .ok()
        });
        // No age: the time lies ahead, as it does on cameras and foreign disks.
        let Some(wait) = age.and_then(|age| QUIET.checked_sub(age)) else {
            return Ok(Some(first));
        };
        std::thread::sleep(wait);
        let second = Stamp::of(file)?;
        Ok((first == second).then_some(second))
    }
}

/// By what a file is told to be at rest.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Stamp {
    length: u64,
    changed: Option<Timestamp>,
}

impl Stamp {
    fn of(file: &Path) -> std::io::Result<Self> {
        let meta = std::fs::metadata(file)?;
        let changed = meta
            .modified()
            .ok()
            .and_then(|time| Timestamp::try_from(time).ok());
        Ok(Self {
            length: meta.len(),
            changed,
        })
    }
}

/// Reads until the buffer is full or the file ends; answers how much there was.
fn fill(file: &mut impl Read, buffer: &mut [u8]) -> std::io::Result<usize> {
    let mut length = 0;
    while length < buffer.len() {
        match file.read(&mut buffer[length..])? {
            0 => break,
            more => length += more,
        }
    }
    Ok(length)
}

pub(super) fn refused(source: String, reason: &str) -> Found {
    Found::Sorted {
        source,
        sorted: Sorted::Refused(reason.to_owned()),
    }
}

pub(super) fn failed(source: String, reason: String) -> Found {
    Found::Sorted {
        source,
        sorted: Sorted::Failed(reason),
    }
}

fn left(source: String) -> Found {
    Found::Sorted {
        source,
        sorted: Sorted::Left,
    }
}

/// What to say of a file that is too large for a photo.
pub(super) fn too_large(limit: u64) -> String {
    format!(
        "it has more than the {} MiB that a photo may have",
        limit >> 20
    )
}

/// What to say of a PDF that is too large: it is held in memory as a whole.
fn too_large_pdf(limit: u64) -> String {
    format!(
        "it has more than the {} MiB that a PDF may have; split it",
        limit >> 20
    )
}

/// What the system says, and what to do.
pub(super) fn sentence(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::PermissionDenied => {
            "it may not be read; check its permissions".to_owned()
        }
        std::io::ErrorKind::NotFound => "it is not there any more".to_owned(),
        _ => format!("it cannot be read ({error})"),
    }
}
