//! What several photos of one plate say together.
//!
//! The answer that counts is that of one photo, the best one: pieces of different photos are
//! never glued into a marking that stands on none of them. For lists and reports the best
//! reading of each field is kept with its source. Where photos contradict each other in what
//! the verdict rests on, a person must look, and the worst outcome counts.

use super::{FieldSource, PhotoId, ReadingFacts, ReadingId};
use crate::answer::OutcomeDto;
use std::collections::BTreeMap;

/// A reading less sure than this contradicts nobody: its own verdict is undecided anyway.
const COUNTS: f64 = 0.5;
/// Urgency of photos that contradict each other where one of them would permit.
const CONTRADICTION: i64 = 5500;

/// One reading of the plate that counts for its photo.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Brief {
    pub(super) reading: ReadingId,
    pub(super) photo: PhotoId,
    pub(super) facts: ReadingFacts,
    /// Tag of the location of its photo.
    pub(super) location: Option<String>,
    /// The equipment's tag that a list gives the photo, where several plates are on it and it may be
    /// another one's.
    pub(super) tag_of_one: Option<String>,
}

/// What the readings say together.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Combined {
    /// The reading whose answer counts.
    pub(super) best: ReadingId,
    pub(super) fields: BTreeMap<String, FieldSource>,
    pub(super) differences: Vec<String>,
    pub(super) outcome: Option<OutcomeDto>,
    pub(super) review: bool,
    pub(super) urgency: i64,
}

/// Puts the readings of one plate together; none where there is no reading.
pub(super) fn combine(briefs: &[Brief]) -> Option<Combined> {
    let best = briefs.iter().reduce(|best, brief| {
        // Later readings win only where they are better, so that the order does not matter
        // beyond ties.
        if rank(brief).total_cmp(&rank(best)).is_gt() {
            brief
        } else {
            best
        }
    })?;
    let mut fields: BTreeMap<String, FieldSource> = BTreeMap::new();
    for brief in briefs {
        for (name, (value, confidence)) in &brief.facts.fields {
            let better = fields.get(name).is_none_or(|f| f.confidence < *confidence);
            if better {
                fields.insert(
                    name.clone(),
                    FieldSource {
                        value: value.clone(),
                        confidence: *confidence,
                        photo: brief.photo,
                        reading: brief.reading,
                    },
                );
            }
        }
    }
    let mut differences = Vec::new();
    let mut outcome = best.facts.outcome;
    for brief in briefs.iter().filter(|b| b.reading != best.reading) {
        let before = differences.len();
        for field in ["marking", "certificate", "serial"] {
            if let Some(sentence) = difference(field, best, brief) {
                differences.push(sentence);
            }
        }
        if let (Some(a), Some(b)) = (&best.location, &brief.location)
            && a != b
        {
            differences.push(format!("photos of this plate come from {a} and from {b}"));
        }
        if differences.len() > before {
            // Worst first in the order of outcomes.
            outcome = match (outcome, brief.facts.outcome) {
                (Some(a), Some(b)) => Some(a.min(b)),
                (a, b) => a.or(b),
            };
        }
    }
    differences.extend(briefs.iter().filter_map(|brief| {
        let tag = brief.tag_of_one.as_ref()?;
        Some(format!(
            "a list gives a photo of this plate the tag {tag}, and several plates are on it: give \
             the tag to the one that it belongs to"
        ))
    }));
    differences.sort();
    differences.dedup();
    let review = best.facts.review || !differences.is_empty();
    let urgency = if differences.is_empty() {
        best.facts.urgency
    } else {
        best.facts.urgency.max(CONTRADICTION)
    };
    Some(Combined {
        best: best.reading,
        fields,
        differences,
        outcome,
        review,
        urgency,
    })
}

/// A marking first of all, then how sure it is, then how much else was read.
fn rank(brief: &Brief) -> f64 {
    let facts = &brief.facts;
    let others = facts.confidence("serial") + facts.confidence("certificate");
    let has_marking = f64::from(u8::from(facts.fields.contains_key("marking")));
    has_marking * 100.0 + facts.confidence("marking") * 10.0 + others
}

fn difference(field: &str, a: &Brief, b: &Brief) -> Option<String> {
    let (left, right) = (a.facts.value(field)?, b.facts.value(field)?);
    let sure = a.facts.confidence(field) >= COUNTS && b.facts.confidence(field) >= COUNTS;
    let same = super::reading::squeezed(left) == super::reading::squeezed(right);
    (sure && !same).then(|| format!("photos of this plate differ in {field}: {left} and {right}"))
}

/// True where nothing that was read on one contradicts the other.
pub(super) fn agree(a: &ReadingFacts, b: &ReadingFacts) -> bool {
    let brief = |facts: &ReadingFacts| Brief {
        reading: ReadingId(0),
        photo: PhotoId(0),
        facts: facts.clone(),
        location: None,
        tag_of_one: None,
    };
    let (a, b) = (brief(a), brief(b));
    ["marking", "certificate", "serial", "year", "type"]
        .iter()
        .all(|field| difference(field, &a, &b).is_none())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn brief(id: i64, fields: &[(&str, &str, f64)], outcome: OutcomeDto) -> Brief {
        Brief {
            reading: ReadingId(id),
            photo: PhotoId(id),
            facts: ReadingFacts {
                fields: fields
                    .iter()
                    .map(|(n, v, c)| ((*n).to_owned(), ((*v).to_owned(), *c)))
                    .collect(),
                outcome: Some(outcome),
                ..ReadingFacts::default()
            },
            location: None,
            tag_of_one: None,
        }
    }

    #[test]
    fn each_field_comes_from_the_photo_that_shows_it_best() {
        let combined = combine(&[
            brief(
                1,
                &[
                    ("marking", "Ex db IIC T4 Gb", 0.7),
                    ("serial", "4711-22", 0.99),
                ],
                OutcomeDto::Undecided,
            ),
            brief(
                2,
                &[
                    ("marking", "Ex db IIC T4 Gb", 0.98),
                    ("serial", "4711-22", 0.6),
                ],
                OutcomeDto::Suitable,
            ),
        ])
        .unwrap();
        assert_eq!(combined.best, ReadingId(2));
        assert_eq!(combined.fields["serial"].photo, PhotoId(1));
        assert_eq!(combined.fields["marking"].photo, PhotoId(2));
        assert_eq!(combined.outcome, Some(OutcomeDto::Suitable));
        assert!(!combined.review && combined.differences.is_empty());
    }

    #[test]
    fn a_contradiction_calls_a_person_and_the_worst_counts() {
        let briefs = [
            brief(
                1,
                &[("marking", "Ex db IIC T4 Gb", 0.98)],
                OutcomeDto::Suitable,
            ),
            brief(
                2,
                &[("marking", "Ex db IIB T4 Gb", 0.9)],
                OutcomeDto::Unsuitable,
            ),
        ];
        let combined = combine(&briefs).unwrap();
        assert_eq!(combined.best, ReadingId(1));
        assert_eq!(combined.outcome, Some(OutcomeDto::Unsuitable));
        assert!(combined.review && combined.urgency >= CONTRADICTION);
        assert!(combined.differences[0].contains("IIB"), "{combined:?}");
        // The order of the photos makes no difference.
        let turned = [briefs[1].clone(), briefs[0].clone()];
        assert_eq!(combine(&turned).unwrap().outcome, combined.outcome);
    }

    #[test]
    fn an_overview_without_marking_contradicts_nobody() {
        let combined = combine(&[
            brief(1, &[], OutcomeDto::Undecided),
            brief(
                2,
                &[("marking", "Ex eb IIC T4 Gb", 0.9)],
                OutcomeDto::Suitable,
            ),
        ])
        .unwrap();
        assert_eq!(combined.best, ReadingId(2));
        assert_eq!(combined.outcome, Some(OutcomeDto::Suitable));
    }
}
