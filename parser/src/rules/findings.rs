//! Does the plate contradict itself?

use super::{Case, Rule, Scope};
use crate::checks::Severity;
use crate::message;
use crate::verdict::{Ground, Outcome};

/// A critical finding in any string caps the whole plate at undecided; one to review caps its
/// own marking at conditional, or the plate if it is the plate's. The weaker reading of what
/// contradicts itself is judged by the other rules.
pub(super) struct Findings;

impl Rule for Findings {
    fn id(&self) -> &'static str {
        "plate-checks"
    }
    fn question(&self) -> &'static str {
        "Does the plate agree with itself?"
    }
    fn source(&self) -> &'static str {
        "a contradictory plate is judged by its weaker reading (practice)"
    }
    fn scope(&self) -> Scope {
        Scope::Both
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        case.suspicions
            .iter()
            .filter(|s| {
                let of_marking = s.severity == Severity::Review && s.marking.is_some();
                if case.marking.is_some() {
                    of_marking && s.marking == case.marking
                } else {
                    // Where no atmosphere is judged, no marking is asked by itself.
                    !of_marking || case.place.atmospheres().is_empty()
                }
            })
            .filter_map(|s| {
                let outcome = match s.severity {
                    Severity::Note => return None,
                    Severity::Review => Outcome::Conditional,
                    Severity::Critical => Outcome::Undecided,
                };
                let detail = s.said();
                let mut ground = case
                    .ground(self, outcome, detail)
                    .at(s.spans.iter().copied())
                    .using("check", s.check)
                    .next(message!("next-compare-certificate"));
                ground.marking = s.marking;
                ground.source = s.source;
                Some(ground)
            })
            .collect()
    }
}
