//! What plate and verdict say about the items of an inspection.

use super::{Subject, item};
use crate::register::{ItemResult, NewInspection};

/// One ground of a verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlateGround<'a> {
    /// Name of the rule.
    pub rule: &'a str,
    /// `unsuitable`, `undecided`, `conditional` or `suitable`.
    pub outcome: &'a str,
    /// The sentence with the numbers.
    pub detail: &'a str,
    /// The clause.
    pub source: &'a str,
}

/// What a plate and its verdict say.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PlateFacts<'a> {
    /// Every ground of the verdict; none where no place was given.
    pub grounds: Vec<PlateGround<'a>>,
    /// True while a person must look at the reading and has not settled it.
    pub waits_for_review: bool,
    /// Type, serial number and certificates as read, for the comparison with documents.
    pub identity: Vec<&'a str>,
    /// Certificates with an X, and so with specific conditions of use.
    pub conditional_certificates: Vec<&'a str>,
}

/// Answers the items that the plate can answer, with the ground. The others stay unchecked.
///
/// Nothing passes by itself: while the reading waits for a person every item stays unchecked
/// beside what the plate seems to say; only what the rules found suitable passes, and a
/// condition is not a pass.
pub fn prefill(inspection: &mut NewInspection, facts: &PlateFacts<'_>) {
    for recorded in &mut inspection.items {
        let Some(item) = item(&recorded.item) else {
            continue;
        };
        if let Some((result, ground)) = answer(item.plate, facts) {
            recorded.result = result;
            recorded.ground = Some(ground);
        }
    }
}

/// The worst ground of the rules behind an item decides.
fn answer(subjects: &[Subject], facts: &PlateFacts<'_>) -> Option<(ItemResult, String)> {
    let mut result = ItemResult::Pass;
    let mut notes = Vec::new();
    for subject in subjects {
        match subject {
            Subject::Documents => {
                result = ItemResult::NotChecked;
                if !facts.identity.is_empty() {
                    notes.push(format!(
                        "the plate reads: {}; compare with the documents",
                        facts.identity.join("; ")
                    ));
                }
            }
            Subject::Conditions => {
                result = ItemResult::NotChecked;
                for certificate in &facts.conditional_certificates {
                    notes.push(format!("{certificate}: see its specific conditions of use"));
                }
            }
            // A plate bears no tag of the site, and only part of what lamps and barriers need.
            Subject::Tag | Subject::Lamp | Subject::Barrier => result = ItemResult::NotChecked,
            Subject::Level
            | Subject::Group
            | Subject::GasTemperature
            | Subject::DustTemperature
            | Subject::Ip
            | Subject::Ambient => {
                for ground in facts
                    .grounds
                    .iter()
                    .filter(|g| subject.rules().contains(&g.rule))
                {
                    result = worse(result, of(ground.outcome));
                    notes.push(format!(
                        "{}: {} [{}]",
                        ground.outcome, ground.detail, ground.source
                    ));
                }
            }
        }
    }
    if notes.is_empty() {
        return None;
    }
    if facts.waits_for_review && result != ItemResult::NotChecked {
        result = ItemResult::NotChecked;
        notes.insert(0, "the reading waits for a person".to_owned());
    }
    notes.dedup();
    Some((result, notes.join("; ")))
}

/// A condition and a doubt are for the inspector to settle.
fn of(outcome: &str) -> ItemResult {
    match outcome {
        "suitable" => ItemResult::Pass,
        "unsuitable" => ItemResult::Fail,
        _ => ItemResult::NotChecked,
    }
}

fn worse(one: ItemResult, other: ItemResult) -> ItemResult {
    let rank = |result: ItemResult| match result {
        ItemResult::Fail => 0,
        ItemResult::NotChecked => 1,
        ItemResult::NotApplicable => 2,
        ItemResult::Pass => 3,
    };
    if rank(other) < rank(one) { other } else { one }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inspection::{Occasion, Table, counts, draft};
    use crate::register::{Grade, InspectionKind, Item};
    use jiff::civil::date;

    const LEVEL: PlateGround<'_> = PlateGround {
        rule: "level-of-protection",
        outcome: "suitable",
        detail: "Gb suits zone 1",
        source: "IEC 60079-14:2013 5.3-5.4",
    };

    fn prefilled(facts: &PlateFacts<'_>) -> NewInspection {
        let occasion = Occasion {
            grade: Grade::Detailed,
            kind: InspectionKind::Initial,
            date: date(2026, 3, 2),
            inspector: "A",
            competence: "b",
            months: 12,
        };
        let mut inspection = draft(&occasion, &[Table::D, Table::I]).unwrap();
        prefill(&mut inspection, facts);
        inspection
    }

    fn of_item(inspection: &NewInspection, id: &str) -> Item {
        inspection
            .items
            .iter()
            .find(|i| i.item == id)
            .unwrap()
            .clone()
    }

    #[test]
    fn what_the_rules_found_suitable_passes_with_its_ground() {
        let got = prefilled(&PlateFacts {
            grounds: vec![LEVEL],
            ..PlateFacts::default()
        });
        for id in ["eq-level", "is-level"] {
            let level = of_item(&got, id);
            assert_eq!(level.result, ItemResult::Pass);
            assert_eq!(
                level.ground.as_deref(),
                Some("suitable: Gb suits zone 1 [IEC 60079-14:2013 5.3-5.4]")
            );
        }
        // No rule spoke about the group.
        assert_eq!(of_item(&got, "eq-group").result, ItemResult::NotChecked);
    }

    #[test]
    fn the_worst_ground_decides_and_a_condition_is_no_pass() {
        let ground = |outcome| PlateGround { outcome, ..LEVEL };
        for (grounds, wanted) in [
            (
                vec![ground("suitable"), ground("unsuitable")],
                ItemResult::Fail,
            ),
            (
                vec![ground("conditional"), ground("suitable")],
                ItemResult::NotChecked,
            ),
            (vec![ground("undecided")], ItemResult::NotChecked),
        ] {
            let got = prefilled(&PlateFacts {
                grounds,
                ..PlateFacts::default()
            });
            assert_eq!(of_item(&got, "eq-level").result, wanted);
        }
    }

    #[test]
    fn nothing_is_answered_while_the_reading_waits_for_a_person() {
        let got = prefilled(&PlateFacts {
            grounds: vec![LEVEL],
            waits_for_review: true,
            ..PlateFacts::default()
        });
        let level = of_item(&got, "eq-level");
        assert_eq!(level.result, ItemResult::NotChecked);
        assert!(
            level
                .ground
                .unwrap()
                .starts_with("the reading waits for a person")
        );
        assert_eq!(counts(&got)[0], 0);
    }

    #[test]
    fn what_no_plate_can_say_stays_with_the_inspector() {
        let got = prefilled(&PlateFacts {
            identity: vec!["type KX-4", "serial 12"],
            conditional_certificates: vec!["ABC 19 ATEX 1234 X"],
            ..PlateFacts::default()
        });
        let documents = of_item(&got, "is-documents");
        assert_eq!(documents.result, ItemResult::NotChecked);
        assert!(documents.ground.unwrap().contains("type KX-4; serial 12"));
        let conditions = of_item(&got, "in-conditions").ground.unwrap();
        assert!(conditions.contains("ABC 19 ATEX 1234 X"));
        assert_eq!(of_item(&got, "eq-circuit-there").ground, None);
        assert_eq!(counts(&got)[0], 0);
    }
}
