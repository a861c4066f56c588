//! Paths as text that people can read and programs can turn back.

use crate::register::Sighting;
use std::ffi::OsStr;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Between an archive and the name of a member.
pub(super) const WITHIN: &str = "!/";

/// Bytes as text: what is no UTF-8 is written `\xff`.
pub(super) fn readable(bytes: &[u8]) -> String {
    let mut text = String::new();
    for chunk in bytes.utf8_chunks() {
        text.push_str(chunk.valid());
        for byte in chunk.invalid() {
            // Writing into a string cannot fail.
            let _ = write!(text, "\\x{byte:02x}");
        }
    }
    text
}

#[cfg(unix)]
fn os_bytes(text: &OsStr) -> std::borrow::Cow<'_, [u8]> {
    use std::os::unix::ffi::OsStrExt;
    text.as_bytes().into()
}

#[cfg(not(unix))]
fn os_bytes(text: &OsStr) -> std::borrow::Cow<'_, [u8]> {
    text.to_string_lossy().into_owned().into_bytes().into()
}

#[cfg(unix)]
fn os_path(bytes: &[u8]) -> PathBuf {
    use std::os::unix::ffi::OsStrExt;
    PathBuf::from(OsStr::from_bytes(bytes))
}

#[cfg(not(unix))]
fn os_path(bytes: &[u8]) -> PathBuf {
    PathBuf::from(String::from_utf8_lossy(bytes).into_owned())
}

/// A path as text.
pub(super) fn of_path(path: &Path) -> String {
    readable(&os_bytes(path.as_os_str()))
}

/// The sighting of a file.
pub(super) fn file(path: &Path) -> Sighting {
    of_bytes(os_bytes(path.as_os_str()).into_owned())
}

/// The sighting of a member of an archive.
pub(super) fn member(archive: &Path, name: &[u8]) -> Sighting {
    let mut bytes = os_bytes(archive.as_os_str()).into_owned();
    bytes.extend(WITHIN.as_bytes());
    bytes.extend(name);
    of_bytes(bytes)
}

fn of_bytes(bytes: Vec<u8>) -> Sighting {
    match String::from_utf8(bytes) {
        Ok(source) => Sighting { source, raw: None },
        Err(error) => Sighting {
            source: readable(error.as_bytes()),
            raw: Some(error.into_bytes()),
        },
    }
}

/// The path of a sighting, and the name of the member where it lies in an archive.
///
/// A path may hold the mark of a member by itself; the file that exists decides.
pub(super) fn parts(sighting: &Sighting) -> (PathBuf, Option<Vec<u8>>) {
    let bytes = sighting
        .raw
        .as_deref()
        .unwrap_or(sighting.source.as_bytes());
    let whole = os_path(bytes);
    if whole.exists() {
        return (whole, None);
    }
    let mark = WITHIN.as_bytes();
    let ends = bytes
        .windows(mark.len())
        .enumerate()
        .filter(|(_, window)| *window == mark)
        .map(|(at, _)| at);
    for at in ends {
        let archive = os_path(&bytes[..at]);
        if archive.is_file() {
            return (archive, Some(bytes[at + mark.len()..].to_vec()));
        }
    }
    (whole, None)
}

/// The last part of a name within an archive.
pub(super) fn last(name: &str) -> &str {
    name.rsplit(['/', '\\']).next().unwrap_or(name)
}

/// Files that systems and programs leave in folders by themselves.
pub(super) fn is_clutter(name: &str) -> bool {
    let lower = name.to_lowercase();
    matches!(
        lower.as_str(),
        ".ds_store" | "thumbs.db" | "desktop.ini" | "ehthumbs.db" | ".nomedia" | ".directory"
    ) || name.starts_with("._")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_are_no_text_come_back() {
        let dir = tempfile::tempdir().unwrap();
        let archive = dir.path().join("a.zip");
        std::fs::write(&archive, b"x").unwrap();
        let sighting = member(&archive, b"caf\xe9/1.jpg");
        assert!(sighting.source.ends_with("a.zip!/caf\\xe9/1.jpg"));
        assert_eq!(
            parts(&sighting),
            (archive.clone(), Some(b"caf\xe9/1.jpg".to_vec()))
        );
        let plain = file(&archive);
        assert_eq!(plain.raw, None);
        assert_eq!(parts(&plain), (archive, None));
    }

    #[test]
    fn clutter_is_known_by_name() {
        for name in ["Thumbs.db", ".DS_Store", "._IMG_1.jpg"] {
            assert!(is_clutter(name), "{name}");
        }
        assert!(!is_clutter("IMG_1.jpg"));
    }
}
