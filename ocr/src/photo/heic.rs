//! HEIC, which phones write: HEVC pictures in a box of ISO files.

use heifer::{Error, Options};
use image::{ImageFormat, RgbImage};

use super::{Limits, Photo, PhotoError, exif};

const KIND: &str = "HEIC";

/// The first picture of the file. The decoder turns and mirrors it as the file says, so that the
/// orientation of the EXIF data, which says the same once more, is not looked at.
pub(super) fn decode(bytes: &[u8], limits: &Limits) -> Result<Photo, PhotoError> {
    let options = Options {
        // As many photos are read at a time as there are cores.
        max_threads: 1,
        // A pixel takes eight bytes here: red, green, blue and opacity, and the planes they come from.
        max_pixels: limits.pixels.min(limits.decoder_bytes / 8),
    };
    let picture = heifer::decode_rgba8(bytes, &options).map_err(fault)?;
    let mut notes = Vec::new();
    if picture.has_alpha {
        notes.push("Transparent parts are taken as they are coloured.".to_owned());
    }
    let (width, height) = (picture.width, picture.height);
    let image = RgbImage::from_raw(width, height, picture.into_rgb8());
    let image = image.ok_or_else(|| PhotoError::Damaged {
        kind: KIND,
        reason: "it has fewer pixels than it says".to_owned(),
    })?;
    let chunk = heifer::read_metadata(bytes).ok().and_then(|meta| meta.exif);
    let meta = match &chunk {
        Some(chunk) => exif::read(bytes, Some(chunk), ImageFormat::Jpeg, &mut notes),
        None => exif::Meta::default(),
    };
    Ok(Photo {
        image,
        taken_at: meta.taken_at,
        gps: meta.gps,
        notes,
    })
}

fn fault(error: Error) -> PhotoError {
    match error {
        Error::Unsupported(reason) => PhotoError::UnsupportedForm { kind: KIND, reason },
        Error::Invalid(reason) if reason.contains("size") => PhotoError::UnsupportedForm {
            kind: KIND,
            reason: reason.to_owned(),
        },
        other => {
            let reason = other.to_string();
            // The decoder tells what it does not do, and what passes its limits, in words alone.
            if reason.contains("not implemented") {
                PhotoError::UnsupportedForm { kind: KIND, reason }
            } else {
                PhotoError::Damaged { kind: KIND, reason }
            }
        }
    }
}
