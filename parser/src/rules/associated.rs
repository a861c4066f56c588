//! Does the item itself belong in the hazardous area?

use super::{Case, Rule};
use crate::message;
use crate::verdict::{Ground, Outcome};

/// Everything in square brackets: only the circuit that leaves the item is protected.
pub(super) struct Associated;

impl Rule for Associated {
    fn id(&self) -> &'static str {
        "associated-apparatus"
    }
    fn question(&self) -> &'static str {
        "Does the item have protection of its own?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-11, IEC 60079-14 clause 16 (checked)"
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let Some(marking) = case.marking() else {
            return Vec::new();
        };
        let inside = case.atmosphere.is_some();
        if !marking.associated_only() {
            return Vec::new();
        }
        let (outcome, detail) = if inside {
            (
                Outcome::Unsuitable,
                message!("associated-inside", marking = &marking.text),
            )
        } else {
            (
                Outcome::Suitable,
                message!("associated-outside", marking = &marking.text),
            )
        };
        vec![case.ground(self, outcome, detail).at(marking.spans.clone())]
    }
}
