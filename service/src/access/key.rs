//! Keys of sessions and programs: 256 random bits, kept as SHA-256 alone.
//!
//! A password is short and needs a slow hash; a key of 256 random bits cannot be guessed, so a
//! fast one suffices, and the database can look it up.

use crate::pipeline::hex;
use sha2::{Digest, Sha256};

/// By this a key is known among other secrets, for people and for programs that look for
/// secrets where none should lie.
const PREFIX: &str = "vetplate_";

/// A new key, told once, and what is kept of it.
#[derive(Debug)]
pub struct Key {
    /// What the client sends.
    pub secret: String,
    /// What the register keeps.
    pub sha256: [u8; 32],
}

/// Makes a key.
///
/// # Errors
///
/// Where the system has no random numbers.
pub fn new_key() -> Result<Key, getrandom::Error> {
    let mut bits = [0_u8; 32];
    getrandom::fill(&mut bits)?;
    let secret = format!("{PREFIX}{}", hex(&bits));
    let sha256 = digest(&secret);
    Ok(Key { secret, sha256 })
}

/// What the register keeps of a key.
pub(crate) fn digest(secret: &str) -> [u8; 32] {
    Sha256::digest(secret.as_bytes()).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_differ_and_have_256_bits() {
        let (one, other) = (new_key().unwrap(), new_key().unwrap());
        assert_ne!(one.secret, other.secret);
        assert_eq!(one.secret.len(), PREFIX.len() + 64);
        assert_eq!(digest(&one.secret), one.sha256);
    }
}
