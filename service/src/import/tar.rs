//! Members of a tar archive, plain or gzipped, in one pass.

use super::archive::{Members, damaged};
use super::sources::{Flow, Found, refused};
use ::tar::{Archive, EntryType};
use std::io::{self, Read};

/// Counts what is unpacked beneath the archive's own structure, and ends it where that is out of
/// all proportion: members that are skipped cost time, too.
struct Bounded<R> {
    inner: R,
    left: u64,
}

impl<R: Read> Read for Bounded<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let length = self.inner.read(buffer)?;
        match self.left.checked_sub(length as u64) {
            Some(left) => {
                self.left = left;
                Ok(length)
            }
            None => Err(io::Error::other(TooMuch)),
        }
    }
}

#[derive(Debug, thiserror::Error)]
#[error("too much")]
struct TooMuch;

fn is_too_much(error: &io::Error) -> bool {
    let mut source: Option<&(dyn std::error::Error + 'static)> = error
        .get_ref()
        .map(|e| e as &(dyn std::error::Error + 'static));
    while let Some(inner) = source {
        if inner.is::<TooMuch>() {
            return true;
        }
        source = inner
            .downcast_ref::<io::Error>()
            .and_then(|e| e.get_ref().map(|e| e as &(dyn std::error::Error + 'static)))
            .or_else(|| inner.source());
    }
    false
}

pub(super) fn walk(
    members: &mut Members<'_, '_>,
    reader: impl Read,
    each: &mut dyn FnMut(Found) -> Flow,
) -> Flow {
    let archive = members.archive();
    let bounded = Bounded {
        inner: reader,
        left: members.budget.left(),
    };
    let mut tar = Archive::new(bounded);
    let entries = match tar.entries() {
        Ok(entries) => entries,
        Err(error) => return each(refused(archive, &damaged(&error))),
    };
    let mut seen_any = false;
    for entry in entries {
        if !members.walk.control.goes_on() {
            return Flow::Break(());
        }
        let mut entry = match entry {
            Ok(entry) => entry,
            Err(error) if is_too_much(&error) => {
                return each(refused(archive, &members.budget.exceeded()));
            }
            // What follows a damaged header cannot be found any more.
            Err(error) => {
                let rest = if seen_any {
                    "; the rest is not read"
                } else {
                    ""
                };
                return each(refused(archive, &format!("{}{rest}", damaged(&error))));
            }
        };
        seen_any = true;
        let name = entry.path_bytes().into_owned();
        let reason = match entry.header().entry_type() {
            EntryType::Directory | EntryType::XGlobalHeader => continue,
            EntryType::Regular | EntryType::Continuous | EntryType::GNUSparse => None,
            EntryType::Symlink | EntryType::Link => {
                Some("a link; what it points to is taken where it lies")
            }
            _ => Some("no regular file"),
        }
        .or_else(|| Members::unwanted(&name));
        if let Some(reason) = reason {
            if let Err(over) = members.budget.spend(0) {
                return each(refused(archive, &over));
            }
            each(refused(members.sighting(&name).source, reason))?;
            continue;
        }
        match members.member(&name, None, &mut entry, each) {
            Ok(flow) => flow?,
            Err(over) => return each(refused(archive, &over)),
        }
    }
    Flow::Continue(())
}
