//! Is the item equipment, or only a component?

use super::{Case, Rule, Scope};
use crate::marking::Suffix;
use crate::message;
use crate::verdict::{Ground, Outcome};

/// `U` behind a certificate number: an Ex component was never assessed on its own.
pub(super) struct Component;

impl Rule for Component {
    fn id(&self) -> &'static str {
        "ex-component"
    }
    fn question(&self) -> &'static str {
        "Is the item certified for use on its own?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-0 clauses 13 and 29 (checked)"
    }
    fn scope(&self) -> Scope {
        Scope::Plate
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        if !case.plate.has_u() {
            return Vec::new();
        }
        let component = case
            .plate
            .certificates
            .iter()
            .find(|c| matches!(c.suffix, Suffix::U | Suffix::XAndU));
        let detail = match component {
            Some(c) => message!("component-certificate", number = &c.number.value),
            None => message!("component-marked"),
        };
        let mut spans: Vec<_> = component.iter().flat_map(|c| &c.spans).copied().collect();
        spans.extend(
            case.plate
                .markings
                .iter()
                .filter(|m| m.u)
                .flat_map(|m| m.spans.clone()),
        );
        vec![
            case.ground(self, Outcome::Unsuitable, detail)
                .at(spans)
                .next(message!("next-equipment-certificate")),
        ]
    }
}
