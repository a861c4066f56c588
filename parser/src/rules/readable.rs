//! Is there a marking to judge?

use super::{Case, Rule, Scope};
use crate::message;
use crate::verdict::{Ground, Outcome};

/// A plate without a marking says nothing: simple apparatus, which needs no marking, cannot
/// be told from unprotected equipment.
pub(super) struct Readable;

impl Rule for Readable {
    fn id(&self) -> &'static str {
        "marking-readable"
    }
    fn question(&self) -> &'static str {
        "Is there a marking that can be read?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-0 clause 29, IEC 60079-11 on simple apparatus (memory)"
    }
    fn scope(&self) -> Scope {
        Scope::Both
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        if case.marking.is_none() && case.plate.markings.is_empty() {
            let detail = message!("readable-no-marking");
            return vec![
                case.ground(self, Outcome::Undecided, detail)
                    .next(message!("next-read-plate")),
            ];
        }
        case.plate
            .markings
            .iter()
            .enumerate()
            .filter(|(i, _)| case.marking == Some(*i))
            .flat_map(|(i, m)| m.illegible.iter().map(move |token| (i, token)))
            .map(|(i, token)| {
                let mut ground = case
                    .ground(
                        self,
                        Outcome::Undecided,
                        message!("readable-token", text = &token.raw),
                    )
                    .at([token.span])
                    .next(message!("next-read-marking"));
                ground.marking = Some(i);
                ground
            })
            .collect()
    }
}
