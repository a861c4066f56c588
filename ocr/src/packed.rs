//! The files of the models as the program holds them: packed by `build.rs`, unpacked and checked
//! each time one is loaded.

use std::io::Read as _;

use flate2::read::DeflateDecoder;
use sha2::{Digest, Sha256};

use crate::error::OcrError;

/// A model's file.
#[derive(Debug, Clone)]
pub(crate) struct Packed {
    /// Of the model, in the manifest.
    pub(crate) name: &'static str,
    /// Its even bytes, then its odd ones, deflated.
    pub(crate) bytes: &'static [u8],
    /// Bytes of the file itself.
    pub(crate) size: usize,
    /// SHA-256 of the file itself, lower-case hexadecimal.
    pub(crate) sha256: String,
}

impl Packed {
    /// The file itself.
    ///
    /// # Errors
    ///
    /// [`OcrError::Damaged`] where it is not the one that the manifest names.
    pub(crate) fn unpacked(&self) -> Result<Vec<u8>, OcrError> {
        let mut halves = Vec::with_capacity(self.size);
        // One byte more than there should be is a damaged file already.
        let mut bytes = DeflateDecoder::new(self.bytes).take(self.size as u64 + 1);
        // What stops short has another hash.
        let _ = bytes.read_to_end(&mut halves);
        let (even, odd) = halves.split_at(halves.len().div_ceil(2));
        let file = (0..halves.len())
            .map(|k| if k % 2 == 0 { even[k / 2] } else { odd[k / 2] })
            .collect::<Vec<u8>>();
        self.verify(&file)?;
        Ok(file)
    }

    fn verify(&self, file: &[u8]) -> Result<(), OcrError> {
        let actual = Sha256::digest(file)
            .iter()
            .fold(String::new(), |mut text, byte| {
                use std::fmt::Write as _;
                // Writing to a String cannot fail.
                let _ = write!(text, "{byte:02x}");
                text
            });
        if actual == self.sha256 {
            return Ok(());
        }
        Err(OcrError::Damaged {
            name: self.name.to_owned(),
            expected: self.sha256.clone(),
            actual,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // "abc" as even bytes "ac" and odd "b", in one stored block of RFC 1951.
    const ABC: &[u8] = &[1, 3, 0, 0xfc, 0xff, b'a', b'c', b'b'];
    // FIPS 180-4, example of one block.
    const SHA256: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    fn packed(bytes: &'static [u8], sha256: &str) -> Packed {
        Packed {
            name: "detector",
            bytes,
            size: 3,
            sha256: sha256.to_owned(),
        }
    }

    #[test]
    fn bytes_come_back_in_their_order() {
        assert_eq!(packed(ABC, SHA256).unpacked().unwrap(), b"abc");
    }

    #[test]
    fn a_changed_model_is_refused() {
        let fault = packed(ABC, &"0".repeat(64)).unpacked().unwrap_err();
        assert_eq!(
            fault.to_string(),
            "model detector has SHA-256 ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad, \
             the manifest says 0000000000000000000000000000000000000000000000000000000000000000; \
             run models/prepare.py and rebuild"
        );
    }

    #[test]
    fn a_model_that_stops_short_is_refused() {
        for short in [&ABC[..0], &ABC[..3], &ABC[..7]] {
            assert!(matches!(
                packed(short, SHA256).unpacked(),
                Err(OcrError::Damaged { .. })
            ));
        }
    }
}
