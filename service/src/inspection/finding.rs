//! What follows from an inspection.

use super::PlateGround;
use crate::register::Finding;
use jiff::{ToSpan, civil::Date};

/// What a priority means. Sites may define a scale of their own.
///
/// **Source:** trade practice (practice).
pub const fn meaning(priority: u8) -> &'static str {
    match priority {
        1 => "immediate: protection lost or the wrong item; isolate",
        2 => "soon: protection doubtful; put right within days to weeks",
        3 => "planned: does not impair the protection now",
        4 => "record: paperwork",
        _ => "of a scale of the site",
    }
}

/// By when a finding must be put right, where the site has no rule of its own: at once, within
/// days to weeks (taken as 14 days), or by the next inspection.
///
/// **Source:** trade practice (practice).
pub fn due(priority: u8, found: Date, next: Option<Date>) -> Option<Date> {
    let in_two_weeks = || found.checked_add(14.days()).ok();
    match priority {
        1 => Some(found),
        2 => match (in_two_weeks(), next) {
            (Some(soon), Some(next)) => Some(soon.min(next)),
            (soon, next) => soon.or(next),
        },
        _ => next,
    }
}

/// Findings that follow from the grounds of a verdict, most urgent first. They are proposals:
/// the inspector keeps, changes or drops them.
pub fn proposed_findings(
    grounds: &[PlateGround<'_>],
    found: Date,
    next: Option<Date>,
) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for ground in grounds {
        let Some(priority) = priority(ground) else {
            continue;
        };
        let finding = Finding {
            text: format!("{} [{}]", ground.detail, ground.source),
            priority,
            due: due(priority, found, next),
        };
        if !findings.contains(&finding) {
            findings.push(finding);
        }
    }
    findings.sort_by_key(|f| f.priority);
    findings
}

/// Unsuitable is the wrong item; undecided and conditional are doubt about the protection.
/// What makes a finding planned or paperwork, no verdict knows.
fn priority(ground: &PlateGround<'_>) -> Option<u8> {
    match ground.outcome {
        "unsuitable" => Some(1),
        "undecided" | "conditional" => Some(2),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn ground(outcome: &'static str, detail: &'static str) -> PlateGround<'static> {
        PlateGround {
            rule: "level-of-protection",
            outcome,
            detail,
            source: "IEC 60079-14:2013 5.3-5.4",
        }
    }

    #[test]
    fn the_wrong_item_comes_first_and_is_due_at_once() {
        let found = date(2026, 3, 2);
        let next = Some(date(2029, 3, 2));
        let got = proposed_findings(
            &[
                ground("suitable", "fits"),
                ground("conditional", "X"),
                ground("conditional", "X"),
                ground("unsuitable", "zone 0 needs Ga"),
            ],
            found,
            next,
        );
        assert_eq!(got.len(), 2);
        assert_eq!((got[0].priority, got[0].due), (1, Some(found)));
        assert_eq!(got[1].due, Some(date(2026, 3, 16)));
        assert!(got[0].text.ends_with("[IEC 60079-14:2013 5.3-5.4]"));
        assert_eq!(due(3, found, next), next);
        // What is due after the next inspection would never be looked at in time.
        assert_eq!(
            due(2, found, Some(date(2026, 3, 5))),
            Some(date(2026, 3, 5))
        );
    }
}
