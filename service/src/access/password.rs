//! Passwords, kept as argon2id (RFC 9106).

use argon2::password_hash::phc::PasswordHash;
use argon2::{Argon2, PasswordHasher, PasswordVerifier};
use std::sync::OnceLock;

/// Shortest password, characters.
const MIN_CHARS: usize = 12;
/// Longest, bytes: hashing is slow by design and must not be made slower by the client.
const MAX_BYTES: usize = 1024;

/// Why a password is not taken.
#[derive(Debug, thiserror::Error)]
pub enum PasswordError {
    /// Too short to last.
    #[error("a password has at least {MIN_CHARS} characters; a few words make a good one")]
    Short,
    /// Too long.
    #[error("a password has at most {MAX_BYTES} bytes")]
    Long,
    /// Like the name.
    #[error("a password is not the name itself")]
    IsName,
    /// Could not be hashed.
    #[error("the password cannot be hashed: {0}")]
    Failed(String),
}

/// What is kept of a password: argon2id with 19 MiB, two passes, one lane, which is the first
/// choice that OWASP's cheat sheet on password storage names (from memory), and a salt of its
/// own.
///
/// # Errors
///
/// [`PasswordError`].
pub fn hash_password(name: &str, password: &str) -> Result<String, PasswordError> {
    if password.chars().count() < MIN_CHARS {
        return Err(PasswordError::Short);
    }
    if password.len() > MAX_BYTES {
        return Err(PasswordError::Long);
    }
    if password.eq_ignore_ascii_case(name) {
        return Err(PasswordError::IsName);
    }
    let hash: PasswordHash = Argon2::default()
        .hash_password(password.as_bytes())
        .map_err(|e| PasswordError::Failed(e.to_string()))?;
    Ok(hash.to_string())
}

/// Whether `password` is the one that was kept. Takes its time: some twenty milliseconds.
pub(crate) fn verify_password(password: &str, kept: &str) -> bool {
    if password.len() > MAX_BYTES {
        return false;
    }
    PasswordHash::new(kept).is_ok_and(|hash| {
        Argon2::default()
            .verify_password(password.as_bytes(), &hash)
            .is_ok()
    })
}

/// Takes as long as [`verify_password`] and is never true, so that the time of an answer does
/// not tell which names there are.
pub(crate) fn verify_nobody(password: &str) -> bool {
    static DUMMY: OnceLock<Option<String>> = OnceLock::new();
    let dummy = DUMMY.get_or_init(|| hash_password("nobody", "no password of anybody").ok());
    if let Some(dummy) = dummy {
        std::hint::black_box(verify_password(password, dummy));
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_password_is_kept_as_argon2id_with_a_salt_of_its_own() {
        let hash = hash_password("Ailsa", "barley, peat and water").unwrap();
        assert!(
            hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
            "{hash}"
        );
        assert_ne!(
            hash,
            hash_password("Ailsa", "barley, peat and water").unwrap()
        );
        assert!(verify_password("barley, peat and water", &hash));
        assert!(!verify_password("barley, peat and Water", &hash));
        assert!(!verify_password("barley, peat and water", "no hash"));
        assert!(!verify_nobody("no password of anybody"));
    }

    /// RFC 9106, 5.3: the test vector of Argon2id.
    #[test]
    fn the_hash_is_that_of_the_standard() {
        let params = argon2::ParamsBuilder::new()
            .m_cost(32)
            .t_cost(3)
            .p_cost(4)
            .data(argon2::AssociatedData::new(&[0x04; 12]).unwrap())
            .build()
            .unwrap();
        let argon = Argon2::new_with_secret(
            &[0x03; 8],
            argon2::Algorithm::Argon2id,
            argon2::Version::V0x13,
            params,
        )
        .unwrap();
        let mut tag = [0; 32];
        argon
            .hash_password_into(&[0x01; 32], &[0x02; 16], &mut tag)
            .unwrap();
        assert_eq!(
            crate::pipeline::hex(&tag),
            "0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659"
        );
    }

    #[test]
    fn weak_and_endless_passwords_are_refused() {
        for (password, wanted) in [("short", "12"), ("Ailsa MacDonald", "name itself")] {
            let error = hash_password("ailsa macdonald", password).unwrap_err();
            assert!(error.to_string().contains(wanted), "{error}");
        }
        assert!(hash_password("a", &"x".repeat(MAX_BYTES + 1)).is_err());
    }
}
