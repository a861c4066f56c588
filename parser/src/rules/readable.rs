//! Is there a marking to judge?

use super::{Case, Rule, Scope};
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
            let detail = "no marking could be read; an unmarked item may be simple apparatus or \
                          not protected at all"
                .to_owned();
            return vec![
                case.ground(self, Outcome::Undecided, detail)
                    .next("Read the plate by hand, or find the item in the verification dossier."),
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
                        format!("'{}' in the marking could not be read", token.raw),
                    )
                    .at([token.span])
                    .next("Read the marking from the plate by hand.");
                ground.marking = Some(i);
                ground
            })
            .collect()
    }
}
