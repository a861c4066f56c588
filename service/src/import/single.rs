//! One photo that a person sends: the way of an import, without its walk.

use super::run::ImportError;
use super::walker::keep_held;
use super::work::{Reading, Unread, sha256};
use crate::pipeline::{GivenPlace, PhotoReader};
use crate::register::{
    NewPhoto, Offered, Originals, Photos, Received, Sighting, Sorted, StoreError,
};
use vetplate_ocr::{Limits, PhotoError};

/// How long a photo is in hand, seconds: long enough to read it, and no long wait for whoever
/// sends it again after the program ended in the midst of it.
const LEASE_S: u32 = 60;

/// A photo that a person sends.
#[derive(Debug, Clone, Copy)]
pub struct SentPhoto<'a> {
    /// Its bytes.
    pub bytes: &'a [u8],
    /// Name of the file; it is only ever shown.
    pub file: Option<&'a str>,
    /// Tag of its location.
    pub location: Option<&'a str>,
    /// The place of that location.
    pub place: Option<&'a GivenPlace>,
    /// Tag of the equipment.
    pub tag: Option<&'a str>,
    /// Who sends it.
    pub who: &'a str,
}

/// Why a photo that was sent was not taken.
#[derive(Debug, thiserror::Error)]
pub enum NotTaken {
    /// For a reason that lies in the photo.
    #[error(transparent)]
    Photo(#[from] PhotoError),
    /// The same bytes are being read for somebody else.
    #[error("the same photo is being read right now; send it again in a moment")]
    UnderWay,
    /// For a reason that lies with us.
    #[error("{0}")]
    Ours(String),
    /// The register or the folder of copies failed.
    #[error(transparent)]
    Failed(#[from] ImportError),
}

/// Takes single photos into a register.
pub struct Intake<'a> {
    /// The queue.
    pub photos: &'a dyn Photos,
    /// Where copies are kept: what was sent lies nowhere else.
    pub originals: &'a dyn Originals,
    /// Reads photos.
    pub reader: &'a dyn PhotoReader,
    /// What a photo may cost.
    pub limits: &'a Limits,
    /// Names this try among others.
    pub worker: &'a str,
}

impl Intake<'_> {
    /// Reads and judges a photo, keeps its bytes, and adds it to the register. When this
    /// returns, bytes and row are on disk.
    ///
    /// # Errors
    ///
    /// [`NotTaken`]; the same photo may be sent again in every case.
    pub fn take(&self, sent: &SentPhoto<'_>) -> Result<Received, NotTaken> {
        let photo = NewPhoto {
            sha256: sha256(sent.bytes),
            bytes: sent.bytes.len() as u64,
            // No path: what is sent lies nowhere but in the folder of copies.
            sighting: Sighting::new(format!(
                "sent by {}: {}",
                sent.who,
                sent.file.unwrap_or("-")
            )),
            kept: false,
            location: sent.location.map(ToOwned::to_owned),
            tag: sent.tag.map(ToOwned::to_owned),
        };
        let offered = self.photos.offer(&photo, self.worker, LEASE_S, true);
        let lease = match offered.map_err(ImportError::from)? {
            Offered::ToRead(lease) => lease,
            Offered::Held {
                plate: Some(plate), ..
            } => {
                keep_held(self.photos, self.originals, &photo, sent.bytes, self.worker)?;
                return Ok(Received::Held(plate));
            }
            Offered::Held { plate: None, .. } => return Err(NotTaken::UnderWay),
            Offered::FailedBefore { reason } => return Err(NotTaken::Ours(reason)),
        };
        let reading = Reading {
            reader: self.reader,
            limits: self.limits,
            originals: Some(self.originals),
        };
        let read = reading.read(&lease.sha256, sent.bytes, sent.file, sent.place);
        let (sorted, error) = match read {
            Ok(readings) => {
                let joined = self.photos.finish(&lease, &readings, true, None, sent.who);
                return match joined.map(|joined| joined.first().copied()) {
                    Ok(Some(first)) => Ok(Received::Taken(first)),
                    Ok(None) => Err(NotTaken::Ours("the photo joined no plate".to_owned())),
                    Err(StoreError::LeaseLost { .. }) => Err(NotTaken::UnderWay),
                    Err(error) => {
                        // So that the next try need not wait until the lease has run out; where
                        // this fails, too, it has to.
                        let source = &photo.sighting.source;
                        let _ = self.photos.give_up(&lease, source, &Sorted::Left, None);
                        Err(ImportError::from(error).into())
                    }
                };
            }
            Err(Unread::Photo(error)) => {
                (Sorted::Refused(error.to_string()), NotTaken::Photo(error))
            }
            Err(Unread::Ours(reason)) => (Sorted::Failed(reason.clone()), NotTaken::Ours(reason)),
            Err(Unread::Copy(error)) => (
                Sorted::Failed(error.to_string()),
                ImportError::from(error).into(),
            ),
        };
        match self
            .photos
            .give_up(&lease, &photo.sighting.source, &sorted, None)
        {
            // Somebody else has it in hand: what they find counts.
            Ok(()) | Err(StoreError::LeaseLost { .. }) => Err(error),
            Err(error) => Err(ImportError::from(error).into()),
        }
    }
}
