//! Where the bytes of a photo of the register are.

use crate::import::fetch;
use crate::pipeline::hex;
use crate::register::{Originals, PhotoRecord, Sighting};
use sha2::{Digest, Sha256};

/// The bytes of a photo: the register's own copy, or else the first place where it was seen
/// that still holds the same bytes.
///
/// Only what the register wrote down is ever opened, and only with the right hash is it given.
///
/// # Errors
///
/// A sentence that says why it cannot be had.
pub fn photo_bytes(
    originals: Option<&dyn Originals>,
    photo: &PhotoRecord,
    limit: usize,
) -> Result<Vec<u8>, String> {
    if let Some(originals) = originals.filter(|_| photo.kept)
        && let Ok(bytes) = originals.read(&photo.sha256)
        && hex(&Sha256::digest(&bytes)) == photo.sha256
    {
        return Ok(bytes);
    }
    let sightings: Vec<Sighting> = photo.sources.iter().map(Sighting::new).collect();
    fetch(&sightings, &photo.sha256, limit as u64).map_err(|e| e.to_string())
}
