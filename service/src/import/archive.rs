//! Archives: which kind, and what their members have in common.

use super::budget::Budget;
use super::names;
use super::sources::{Flow, Found, Walk, refused, sentence, too_large};
use super::{pdf, tar, zip};
use crate::register::Sighting;
use std::io::Read;
use std::path::Path;

/// Bytes that tell what a file is; the mark of a tar archive ends at 262.
pub(super) const HEAD: usize = 512;

/// What a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Zip,
    Tar,
    TarGz,
    /// An archive of a kind that is not read.
    Other(&'static str),
}

/// Told by content; only a compressed or old tar needs its name, too.
pub(super) fn kind(head: &[u8], name: &str) -> Option<Kind> {
    let has = |at: usize, mark: &[u8]| head.get(at..at + mark.len()) == Some(mark);
    let name = name.to_lowercase();
    let ends = |suffixes: &[&str]| suffixes.iter().any(|s| name.ends_with(s));
    if has(0, b"PK\x03\x04") || has(0, b"PK\x05\x06") {
        Some(Kind::Zip)
    } else if has(257, b"ustar") {
        Some(Kind::Tar)
    } else if has(0, b"\x1f\x8b") {
        Some(if ends(&[".tar.gz", ".tgz"]) {
            Kind::TarGz
        } else {
            Kind::Other("gzip file")
        })
    } else if has(0, b"7z\xbc\xaf\x27\x1c") {
        Some(Kind::Other("7z archive"))
    } else if has(0, b"Rar!\x1a\x07") {
        Some(Kind::Other("RAR archive"))
    } else if has(0, b"\xfd7zXZ\0") {
        Some(Kind::Other("xz file"))
    } else if has(0, b"\x28\xb5\x2f\xfd") {
        Some(Kind::Other("zstd file"))
    } else if has(0, b"BZh") {
        Some(Kind::Other("bzip2 file"))
    } else if ends(&[".tar"]) {
        Some(Kind::Tar)
    } else if ends(&[".zip"]) {
        Some(Kind::Zip)
    } else {
        None
    }
}

/// Walks the archive at `file`.
pub(super) fn walk(
    walk: &Walk<'_>,
    kind: Kind,
    file: &Path,
    path: &[String],
    length: u64,
    each: &mut dyn FnMut(Found) -> Flow,
) -> Flow {
    let source = names::of_path(file);
    if length == 0 {
        return each(refused(
            source,
            "the archive is empty (0 bytes); copy it again",
        ));
    }
    // The name of the archive without its ending may be that of a location.
    let mut path = path.to_vec();
    if let Some(last) = path.last_mut()
        && let Some((stem, _)) = last.split_once('.')
    {
        *last = stem.to_owned();
    }
    let mut members = Members {
        walk,
        file,
        path,
        budget: Budget::new(walk.limits, length),
    };
    match kind {
        Kind::Zip => zip::walk(&mut members, each),
        Kind::Tar => match std::fs::File::open(file) {
            Ok(opened) => tar::walk(&mut members, std::io::BufReader::new(opened), each),
            Err(error) => each(super::sources::failed(source, sentence(&error))),
        },
        Kind::TarGz => match std::fs::File::open(file) {
            Ok(opened) => {
                let packed = std::io::BufReader::new(opened);
                tar::walk(
                    &mut members,
                    flate2::read::MultiGzDecoder::new(packed),
                    each,
                )
            }
            Err(error) => each(super::sources::failed(source, sentence(&error))),
        },
        Kind::Other(what) => each(refused(
            source,
            &format!("a {what} is not read; unpack it, or pack it as zip or tar"),
        )),
    }
}

/// The members of one archive on their way out.
pub(super) struct Members<'w, 'a> {
    pub(super) walk: &'w Walk<'a>,
    pub(super) file: &'w Path,
    path: Vec<String>,
    pub(super) budget: Budget,
}

impl Members<'_, '_> {
    /// The archive's path as text.
    pub(super) fn archive(&self) -> String {
        names::of_path(self.file)
    }

    /// The sighting of a member.
    pub(super) fn sighting(&self, name: &[u8]) -> Sighting {
        names::member(self.file, name)
    }

    /// Why a member is not even opened, by its name.
    pub(super) fn unwanted(name: &[u8]) -> Option<&'static str> {
        let text = names::readable(name);
        if text.split(['/', '\\']).any(|part| part == "..") {
            return Some("its name leads out of the archive (`..`)");
        }
        if text.starts_with("__MACOSX/") || names::is_clutter(names::last(&text)) {
            return Some("a file of the operating system, no photo");
        }
        None
    }

    /// Reads one member and hands it on. `packed` is its packed size, where that is known.
    ///
    /// Breaks with true where the archive must not be read any further.
    pub(super) fn member(
        &mut self,
        name: &[u8],
        packed: Option<u64>,
        reader: &mut dyn Read,
        each: &mut dyn FnMut(Found) -> Flow,
    ) -> Result<Flow, String> {
        let sighting = self.sighting(name);
        let ratio = packed.map_or(u64::MAX, |packed| self.budget.member(packed));
        let most = self.walk.largest.min(ratio).min(self.budget.left());
        let mut bytes = Vec::new();
        let read = reader.take(most + 1).read_to_end(&mut bytes);
        let length = bytes.len() as u64;
        self.budget.spend(length)?;
        if let Err(error) = read {
            return Ok(each(refused(sighting.source, &damaged(&error))));
        }
        if length > most {
            let reason = if length > self.walk.largest {
                too_large(self.walk.largest)
            } else {
                self.budget.member_exceeded()
            };
            return Ok(each(refused(sighting.source, &reason)));
        }
        let text = names::readable(name);
        if kind(&bytes[..bytes.len().min(HEAD)], names::last(&text)).is_some() {
            return Ok(each(refused(
                sighting.source,
                "an archive within an archive; unpack it first",
            )));
        }
        let mut path = self.path.clone();
        path.extend(
            text.split(['/', '\\'])
                .filter(|part| !part.is_empty() && *part != ".")
                .map(ToOwned::to_owned),
        );
        if pdf::is_pdf(&bytes) {
            let of = |picture: &str| {
                let inner = [name, names::WITHIN.as_bytes(), picture.as_bytes()].concat();
                names::member(self.file, &inner)
            };
            let budget = (&mut self.budget, &of as &dyn Fn(&str) -> Sighting);
            return Ok(pdf::walk(
                self.walk,
                &sighting.source,
                &path,
                bytes,
                budget,
                each,
            ));
        }
        Ok(each(Found::Bytes {
            sighting,
            path,
            bytes,
        }))
    }
}

/// What to say of an archive or member that cannot be unpacked.
pub(super) fn damaged(error: &dyn std::fmt::Display) -> String {
    format!("it is cut short or damaged ({error}); copy it again")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn archives_are_told_by_content() {
        let mut ustar = vec![0; 300];
        ustar[257..262].copy_from_slice(b"ustar");
        for (head, name, expected) in [
            (&b"PK\x03\x04..."[..], "photo.jpg", Some(Kind::Zip)),
            (&ustar, "x", Some(Kind::Tar)),
            (b"\x1f\x8b\x08", "a.TGZ", Some(Kind::TarGz)),
            (b"\x1f\x8b\x08", "a.gz", Some(Kind::Other("gzip file"))),
            (b"\xff\xd8\xff", "a.jpg", None),
            (b"", "a.zip", Some(Kind::Zip)),
        ] {
            assert_eq!(kind(head, name), expected, "{name}");
        }
    }

    #[test]
    fn names_that_lead_out_are_not_wanted() {
        for name in [
            &b"../../etc/x.jpg"[..],
            b"a\\..\\b.jpg",
            b"__MACOSX/._a.jpg",
        ] {
            assert!(Members::unwanted(name).is_some());
        }
        assert_eq!(Members::unwanted(b"/abs/a..b.jpg"), None);
    }
}
