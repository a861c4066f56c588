//! The bytes of a photo that the register knows, from where they were seen.

use super::archive::{HEAD, Kind, kind};
use super::budget::ArchiveLimits;
use super::{names, pdf};
use crate::pipeline::hex;
use crate::register::Sighting;
use sha2::{Digest, Sha256};
use std::fs::File;
use std::io::{self, BufReader, Read};
use std::path::Path;
use vetplate_ocr::Limits;

/// Why the bytes cannot be had.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FetchError {
    /// The source is not there: a disk that is not connected, a file that was moved.
    #[error("it is not there now: {0}")]
    Missing(String),
    /// Other bytes are there now.
    #[error("the file was changed since it was taken: {0}")]
    Changed(String),
}

/// The bytes with this hash from the first place that still has them.
///
/// # Errors
///
/// [`FetchError::Changed`] where every place that is there has other bytes,
/// [`FetchError::Missing`] where none is there.
pub fn fetch(sightings: &[Sighting], sha256: &str, largest: u64) -> Result<Vec<u8>, FetchError> {
    let mut changed = None;
    let mut missing = None;
    for sighting in sightings {
        let mut found_other = false;
        let mut keep = |reader: &mut dyn Read| -> io::Result<Option<Vec<u8>>> {
            let mut bytes = Vec::new();
            reader.take(largest + 1).read_to_end(&mut bytes)?;
            if hex(&Sha256::digest(&bytes)) == sha256 {
                return Ok(Some(bytes));
            }
            found_other = true;
            Ok(None)
        };
        match one(sighting, largest, &mut keep) {
            Ok(Some(bytes)) => return Ok(bytes),
            Ok(None) if found_other => changed = Some(sighting.source.clone()),
            Ok(None) => missing = Some(sighting.source.clone()),
            Err(error) => missing = Some(format!("{} ({error})", sighting.source)),
        }
    }
    match (changed, missing) {
        (Some(source), _) => Err(FetchError::Changed(source)),
        (None, missing) => Err(FetchError::Missing(missing.unwrap_or_default())),
    }
}

/// Takes the bytes of a file, or leaves them where they are others.
type Keep<'a> = dyn FnMut(&mut dyn Read) -> io::Result<Option<Vec<u8>>> + 'a;

/// Asks `keep` for every file that may be meant; the first that it takes ends the search.
fn one(sighting: &Sighting, largest: u64, keep: &mut Keep<'_>) -> io::Result<Option<Vec<u8>>> {
    let (path, member) = names::parts(sighting);
    let mut file = File::open(&path)?;
    let Some(member) = member else {
        return keep(&mut file);
    };
    let mut head = Vec::new();
    (&mut file).take(HEAD as u64).read_to_end(&mut head)?;
    if pdf::is_pdf(&head) {
        return in_pdf(&mut File::open(&path)?, &member, largest, keep);
    }
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let Some(kind) = kind(&head, &name) else {
        return Ok(None);
    };
    if let Some(bytes) = in_archive(kind, &path, &member, keep)? {
        return Ok(Some(bytes));
    }
    // A picture of a PDF in the archive.
    let mark = names::WITHIN.as_bytes();
    let Some(at) = member
        .windows(mark.len())
        .rposition(|window| window == mark)
    else {
        return Ok(None);
    };
    let (outer, picture) = (&member[..at], &member[at + mark.len()..]);
    in_archive(kind, &path, outer, &mut |reader| {
        in_pdf(reader, picture, largest, keep)
    })
}

fn in_archive(
    kind: Kind,
    path: &Path,
    member: &[u8],
    keep: &mut Keep<'_>,
) -> io::Result<Option<Vec<u8>>> {
    match kind {
        Kind::Zip => in_zip(path, member, keep),
        Kind::Tar => in_tar(BufReader::new(File::open(path)?), member, keep),
        Kind::TarGz => {
            let packed = BufReader::new(File::open(path)?);
            in_tar(flate2::read::MultiGzDecoder::new(packed), member, keep)
        }
        Kind::Other(_) => Ok(None),
    }
}

/// A picture on a page of a PDF.
fn in_pdf(
    reader: &mut dyn Read,
    picture: &[u8],
    largest: u64,
    keep: &mut Keep<'_>,
) -> io::Result<Option<Vec<u8>>> {
    let mut bytes = Vec::new();
    let most = ArchiveLimits::default().pdf_bytes;
    reader.take(most).read_to_end(&mut bytes)?;
    let limits = pdf::Limits {
        bytes: largest,
        pixels: Limits::default().pixels,
    };
    match pdf::picture(bytes, &String::from_utf8_lossy(picture), &limits) {
        Some(picture) => keep(&mut picture.as_slice()),
        None => Ok(None),
    }
}

fn in_zip(path: &Path, member: &[u8], keep: &mut Keep<'_>) -> io::Result<Option<Vec<u8>>> {
    let mut zip = zip::ZipArchive::new(BufReader::new(File::open(path)?))?;
    match zip.index_for_name_raw(member) {
        Some(index) => keep(&mut zip.by_index(index)?),
        None => Ok(None),
    }
}

fn in_tar(reader: impl Read, member: &[u8], keep: &mut Keep<'_>) -> io::Result<Option<Vec<u8>>> {
    for entry in tar::Archive::new(reader).entries()? {
        let mut entry = entry?;
        if *entry.path_bytes() == *member
            && let Some(bytes) = keep(&mut entry)?
        {
            return Ok(Some(bytes));
        }
    }
    Ok(None)
}
