//! Must conditions be met that stand in the certificate?

use super::{Case, Rule, Scope};
use crate::marking::Suffix;
use crate::message;
use crate::verdict::{Ground, Outcome};

/// `X`: specific conditions of use, to be read in the certificate or the instructions.
pub(super) struct ConditionsOfUse;

impl Rule for ConditionsOfUse {
    fn id(&self) -> &'static str {
        "conditions-of-use"
    }
    fn question(&self) -> &'static str {
        "Do specific conditions of use (X) stand in the certificate?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-0 clause 29 (checked)"
    }
    fn scope(&self) -> Scope {
        Scope::Plate
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let mut grounds: Vec<Ground> = case
            .plate
            .certificates
            .iter()
            .filter(|c| matches!(c.suffix, Suffix::X | Suffix::XAndU))
            .map(|c| {
                let number = &c.number.value;
                let detail = message!("conditions-of-certificate", number = number);
                case.ground(self, Outcome::Conditional, detail)
                    .at(c.spans.iter().copied())
                    .using("certificate", format!("{number} X"))
                    .next(message!("next-meet-conditions-of", number = number))
            })
            .collect();
        if grounds.is_empty() && case.plate.has_x() {
            let spans = case
                .plate
                .markings
                .iter()
                .filter(|m| m.x)
                .flat_map(|m| m.spans.clone());
            grounds.push(
                case.ground(self, Outcome::Conditional, message!("conditions-marked"))
                    .at(spans)
                    .next(message!("next-meet-conditions")),
            );
        }
        grounds
    }
}
