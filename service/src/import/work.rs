//! Reading one photo: the only part of an import that takes time.

use crate::pipeline::{GivenPlace, PhotoReader, PipelineError, hex, read_photo};
use crate::register::{Evidence, KEPT_IN, NewReading, OriginalError, Originals, Sorted, look};
use sha2::{Digest, Sha256};
use std::panic::{AssertUnwindSafe, catch_unwind};
use vetplate_ocr::{Limits, Photo, PhotoError};

/// What is read in which way, and where the bytes are kept.
pub(super) struct Reading<'a> {
    pub(super) reader: &'a dyn PhotoReader,
    pub(super) limits: &'a Limits,
    /// None where photos stay by reference.
    pub(super) originals: Option<&'a dyn Originals>,
}

/// Why a photo was not read.
pub(super) enum Unread {
    /// For a reason that lies in the photo.
    Photo(PhotoError),
    /// For a reason that lies with us.
    Ours(String),
    /// It was read, and its copy could not be kept.
    Copy(OriginalError),
}

/// SHA-256 of the bytes, hexadecimal.
pub(super) fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// What to say of a photo that failed in an earlier run.
pub(super) fn failed_before(reason: &str) -> String {
    format!("it failed before: {reason}; --retry-failed tries it again")
}

impl Reading<'_> {
    /// Reads and judges every plate on a photo and keeps its bytes, which are on disk when this
    /// returns. A panic is a fault of ours.
    pub(super) fn read(
        &self,
        sha256: &str,
        bytes: &[u8],
        file: Option<&str>,
        place: Option<&GivenPlace>,
    ) -> Result<Vec<NewReading>, Unread> {
        let read = catch_unwind(AssertUnwindSafe(|| {
            let found = read_photo(self.reader, bytes, self.limits, file, place, KEPT_IN)?;
            let image = found.photo.image();
            let look = look(image.as_raw(), image.width(), image.height());
            Ok((Evidence::of(&found), found.answer, look))
        }));
        let (evidence, answer, look) = match read {
            Err(_) => {
                return Err(Unread::Ours(
                    "the reader stopped in the midst of it, which is a fault of this program"
                        .to_owned(),
                ));
            }
            Ok(Err(PipelineError::Photo(error))) => return Err(Unread::Photo(error)),
            Ok(Err(PipelineError::Reader(error))) => return Err(Unread::Ours(error.to_string())),
            Ok(Ok(read)) => read,
        };
        let evidence =
            evidence.ok_or_else(|| Unread::Ours("the answer names no photo".to_owned()))?;
        let readings = NewReading::all(evidence, &answer, place, look).map_err(Unread::Ours)?;
        if let Some(originals) = self.originals {
            originals.keep(sha256, bytes).map_err(Unread::Copy)?;
        }
        Ok(readings)
    }
}

/// Whether a photo could be read at all, without reading it.
pub(super) fn try_out(bytes: &[u8], limits: &Limits) -> Result<(), Sorted> {
    match catch_unwind(AssertUnwindSafe(|| Photo::decode(bytes, limits))) {
        Err(_) => Err(Sorted::Failed(
            "the decoder stopped in the midst of it, which is a fault of this program".to_owned(),
        )),
        Ok(Err(error)) => Err(Sorted::Refused(error.to_string())),
        Ok(Ok(_)) => Ok(()),
    }
}
