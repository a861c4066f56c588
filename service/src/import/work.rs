//! Reading one photo: the only part of an import that takes time.

use crate::pipeline::{GivenPlace, PhotoReader, PipelineError, hex, read_photo};
use crate::register::{Evidence, KEPT_IN, NewReading, Sorted, look};
use sha2::{Digest, Sha256};
use std::panic::{AssertUnwindSafe, catch_unwind};
use vetplate_ocr::{Limits, Photo};

/// What is read in which way.
pub(super) struct Reading<'a> {
    pub(super) reader: &'a dyn PhotoReader,
    pub(super) limits: &'a Limits,
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
    /// Reads and judges a photo. What goes wrong goes into the accounts: the photo's own faults
    /// as refused, ours as failed; a panic is ours.
    pub(super) fn read(
        &self,
        bytes: &[u8],
        source: &str,
        place: Option<&GivenPlace>,
    ) -> Result<NewReading, Sorted> {
        let read = catch_unwind(AssertUnwindSafe(|| {
            let found = read_photo(
                self.reader,
                bytes,
                self.limits,
                Some(source),
                place,
                KEPT_IN,
            )?;
            let image = found.photo.image();
            let look = look(image.as_raw(), image.width(), image.height());
            Ok((Evidence::of(&found), found.answer, look))
        }));
        match read {
            Err(_) => Err(Sorted::Failed(
                "the reader stopped in the midst of it, which is a fault of this program"
                    .to_owned(),
            )),
            Ok(Err(PipelineError::Photo(error))) => Err(Sorted::Refused(error.to_string())),
            Ok(Err(PipelineError::Reader(error))) => Err(Sorted::Failed(error.to_string())),
            Ok(Ok((None, ..))) => Err(Sorted::Failed("the answer names no photo".to_owned())),
            Ok(Ok((Some(evidence), answer, look))) => {
                NewReading::new(&evidence, &answer, look).map_err(Sorted::Failed)
            }
        }
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
