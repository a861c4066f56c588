//! Why photos cannot be taken or read.

/// Why a photo could not be read: always our fault or the model's, never the
/// photo's (a photo without text gives no lines).
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum OcrError {
    /// The bundled manifest does not fit the program.
    #[error("the model manifest cannot be used: {0}; rebuild from a clean checkout")]
    Manifest(String),
    /// A model file is not the one that the manifest names.
    #[error(
        "model {name} has SHA-256 {actual}, the manifest says {expected}; run models/prepare.py and rebuild"
    )]
    Damaged {
        /// Name in the manifest.
        name: String,
        /// What the manifest says.
        expected: String,
        /// What was computed.
        actual: String,
    },
    /// The inference engine refused a model or an input.
    #[error("model {name} failed: {reason}; please report this with the photo")]
    Model {
        /// Name in the manifest.
        name: String,
        /// The engine's words.
        reason: String,
    },
}

impl OcrError {
    pub(crate) fn model(name: &str, reason: &dyn std::fmt::Display) -> Self {
        Self::Model {
            name: name.to_owned(),
            reason: format!("{reason:#}"),
        }
    }
}
