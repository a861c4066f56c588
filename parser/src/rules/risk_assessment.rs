//! Does a risk assessment ask for another level than the zone?

use super::{Case, Rule, Scope};
use crate::message;
use crate::verdict::{Ground, Outcome};

/// The need changes, never what the plate has; the document must stand behind it.
pub(super) struct RiskAssessment;

impl Rule for RiskAssessment {
    fn id(&self) -> &'static str {
        "risk-assessment"
    }
    fn question(&self) -> &'static str {
        "Is the level asked for by a documented risk assessment?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-14 5.3 (memory)"
    }
    fn scope(&self) -> Scope {
        Scope::Plate
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let Some(epl) = case.place.epl else {
            return Vec::new();
        };
        let zone = case.place.zone_of(epl.atmosphere);
        if zone.and_then(crate::place::Zone::least_epl) == Some(epl) {
            return Vec::new();
        }
        let detail = match zone {
            Some(zone) => message!("risk-instead", epl = epl, place = zone.words()),
            None => message!("risk-without-zone", epl = epl),
        };
        vec![
            case.ground(self, Outcome::Conditional, detail)
                .using("epl", epl)
                .next(message!("next-name-assessment")),
        ]
    }
}
