//! Members of a zip archive.

use super::archive::{Members, damaged};
use super::sources::{Flow, Found, failed, refused, sentence};
use ::zip::ZipArchive;
use ::zip::result::ZipError;
use std::io::BufReader;

/// What Unix calls a link, in the upper bits of a mode.
const LINK: u32 = 0o120_000;
const KIND: u32 = 0o170_000;

pub(super) fn walk(members: &mut Members<'_, '_>, each: &mut dyn FnMut(Found) -> Flow) -> Flow {
    let archive = members.archive();
    let file = match std::fs::File::open(members.file) {
        Ok(file) => file,
        Err(error) => return each(failed(archive, sentence(&error))),
    };
    let mut zip = match ZipArchive::new(BufReader::new(file)) {
        Ok(zip) => zip,
        Err(ZipError::Io(error)) if error.kind() == std::io::ErrorKind::PermissionDenied => {
            return each(failed(archive, sentence(&error)));
        }
        Err(error) => return each(refused(archive, &damaged(&error))),
    };
    if zip.index_for_name("[Content_Types].xml").is_some() {
        return each(refused(
            archive,
            "an office document; save its pictures as files first",
        ));
    }
    for index in 0..zip.len() {
        if !members.walk.control.goes_on() {
            return Flow::Break(());
        }
        let (name, facts) = match zip.by_index_raw(index) {
            Ok(entry) => {
                let facts = Facts {
                    folder: entry.is_dir(),
                    link: entry.unix_mode().is_some_and(|mode| mode & KIND == LINK),
                    encrypted: entry.encrypted(),
                    packed: entry.compressed_size(),
                    size: entry.size(),
                };
                (entry.name_raw().to_vec(), facts)
            }
            Err(error) => {
                each(refused(
                    format!("{archive}!/(member {})", index + 1),
                    &damaged(&error),
                ))?;
                continue;
            }
        };
        if facts.folder {
            continue;
        }
        let reason = facts
            .unwanted(members)
            .or_else(|| Members::unwanted(&name).map(ToOwned::to_owned));
        if let Some(reason) = reason {
            if let Err(over) = members.budget.spend(0) {
                return each(refused(archive, &over));
            }
            each(refused(members.sighting(&name).source, &reason))?;
            continue;
        }
        let done = match zip.by_index(index) {
            Ok(mut entry) => members.member(&name, Some(facts.packed), &mut entry, each),
            Err(error) => {
                each(refused(members.sighting(&name).source, &unreadable(&error)))?;
                continue;
            }
        };
        match done {
            Ok(flow) => flow?,
            Err(over) => return each(refused(archive, &over)),
        }
    }
    Flow::Continue(())
}

/// What the archive says of a member before it is unpacked.
struct Facts {
    folder: bool,
    link: bool,
    encrypted: bool,
    packed: u64,
    size: u64,
}

impl Facts {
    fn unwanted(&self, members: &Members<'_, '_>) -> Option<String> {
        if self.encrypted {
            Some("it is encrypted; unpack it with its password first".to_owned())
        } else if self.link {
            Some("a link; what it points to is taken where it lies".to_owned())
        } else if self.size > members.walk.largest {
            Some(super::sources::too_large(members.walk.largest))
        } else if self.size > members.budget.member(self.packed) {
            Some(members.budget.member_exceeded())
        } else {
            None
        }
    }
}

fn unreadable(error: &ZipError) -> String {
    match error {
        ZipError::CompressionMethodNotSupported(method) => {
            format!("it is packed in a way that is not read (method {method}); pack it as deflate")
        }
        other => damaged(other),
    }
}
