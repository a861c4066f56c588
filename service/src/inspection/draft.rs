//! An inspection before it is recorded.

use super::{Table, item, items_for};
use crate::register::{Grade, InspectionKind, Item, ItemResult, NewInspection};
use jiff::{ToSpan, civil::Date};

/// Longest interval without advice of an expert, months.
///
/// **Source:** IEC 60079-17 4.4 (checked).
pub const MAX_MONTHS: u32 = 36;

/// When, how and by whom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Occasion<'a> {
    /// How closely.
    pub grade: Grade,
    /// On what occasion.
    pub kind: InspectionKind,
    /// When.
    pub date: Date,
    /// Who looks.
    pub inspector: &'a str,
    /// What shows that they are competent.
    pub competence: &'a str,
    /// Months until the next inspection.
    pub months: u32,
}

/// Why an inspection cannot be recorded.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum InspectionError {
    /// Nobody stands for it.
    #[error("an inspection needs its inspector and what shows that they are competent")]
    Nobody,
    /// An item that this inspection does not have.
    #[error("{id:?} is no item of this inspection; its items are {known}")]
    UnknownItem {
        /// What was given.
        id: String,
        /// What could have been given.
        known: String,
    },
    /// The next inspection would be too late.
    #[error(
        "the next inspection would be due after {0} months; 1 to 36 are possible without the \
         advice of an expert (IEC 60079-17 4.4)"
    )]
    Interval(u32),
    /// A failed item that nobody can act on.
    #[error("the item {0:?} failed; add what was found")]
    FailedWithoutNote(String),
    /// A finding of no priority that there is.
    #[error("the finding {text:?} has the priority {priority}; priorities are 1 (immediate) to 4")]
    Priority {
        /// The finding.
        text: String,
        /// Its priority.
        priority: u8,
    },
}

/// An inspection in which nothing has been looked at yet.
///
/// # Errors
///
/// [`InspectionError`] where nobody stands for it or the interval is too long.
pub fn draft(occasion: &Occasion<'_>, tables: &[Table]) -> Result<NewInspection, InspectionError> {
    let next = (1..=MAX_MONTHS)
        .contains(&occasion.months)
        .then(|| {
            occasion
                .date
                .checked_add(i64::from(occasion.months).months())
                .ok()
        })
        .flatten()
        .ok_or(InspectionError::Interval(occasion.months))?;
    let inspection = NewInspection {
        grade: occasion.grade,
        kind: occasion.kind,
        date: occasion.date,
        inspector: occasion.inspector.trim().to_owned(),
        competence: Some(occasion.competence.trim().to_owned()),
        items: items_for(tables, occasion.grade)
            .map(|item| Item {
                item: item.id.to_owned(),
                result: ItemResult::NotChecked,
                note: None,
                ground: None,
            })
            .collect(),
        findings: Vec::new(),
        next: Some(next),
        replaces: None,
    };
    stand(&inspection)?;
    Ok(inspection)
}

/// Sets the inspector's answer to the item `id`; what the plate says stays beside it.
///
/// # Errors
///
/// [`InspectionError`] where the inspection has no such item, or where it fails without a word
/// about what was found.
pub fn answer(
    inspection: &mut NewInspection,
    id: &str,
    result: ItemResult,
    note: Option<&str>,
) -> Result<(), InspectionError> {
    let Some(at) = inspection.items.iter().position(|item| item.item == id) else {
        let known: Vec<&str> = inspection.items.iter().map(|i| i.item.as_str()).collect();
        return Err(InspectionError::UnknownItem {
            id: id.to_owned(),
            known: known.join(", "),
        });
    };
    let item = &mut inspection.items[at];
    item.result = result;
    item.note = note
        .map(|n| n.trim().to_owned())
        .filter(|n| !n.is_empty())
        .or(item.note.take());
    check_item(item)
}

/// Checks that an inspection can be recorded, wherever it comes from.
///
/// # Errors
///
/// The first [`InspectionError`].
pub fn stand(inspection: &NewInspection) -> Result<(), InspectionError> {
    let competence = inspection.competence.as_deref().unwrap_or_default();
    if inspection.inspector.trim().is_empty() || competence.trim().is_empty() {
        return Err(InspectionError::Nobody);
    }
    for recorded in &inspection.items {
        if item(&recorded.item).is_none() {
            return Err(InspectionError::UnknownItem {
                id: recorded.item.clone(),
                known: super::ITEMS
                    .iter()
                    .map(|i| i.id)
                    .collect::<Vec<_>>()
                    .join(", "),
            });
        }
        check_item(recorded)?;
    }
    for finding in &inspection.findings {
        if !(1..=4).contains(&finding.priority) {
            return Err(InspectionError::Priority {
                text: finding.text.clone(),
                priority: finding.priority,
            });
        }
    }
    if let Some(next) = inspection.next {
        let last = inspection.date.checked_add(i64::from(MAX_MONTHS).months());
        if next <= inspection.date || last.is_ok_and(|last| next > last) {
            let months = (i32::from(next.year()) - i32::from(inspection.date.year())) * 12
                + i32::from(next.month())
                - i32::from(inspection.date.month());
            return Err(InspectionError::Interval(months.max(0) as u32));
        }
    }
    Ok(())
}

fn check_item(item: &Item) -> Result<(), InspectionError> {
    if item.result == ItemResult::Fail && item.note.is_none() && item.ground.is_none() {
        return Err(InspectionError::FailedWithoutNote(item.item.clone()));
    }
    Ok(())
}

/// How many items passed, failed, do not apply, and were not looked at.
pub fn counts(inspection: &NewInspection) -> [usize; 4] {
    let mut counts = [0; 4];
    for item in &inspection.items {
        counts[match item.result {
            ItemResult::Pass => 0,
            ItemResult::Fail => 1,
            ItemResult::NotApplicable => 2,
            ItemResult::NotChecked => 3,
        }] += 1;
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    const OCCASION: Occasion<'_> = Occasion {
        grade: Grade::Close,
        kind: InspectionKind::Periodic,
        date: date(2026, 3, 2),
        inspector: "A. Inspector",
        competence: "course of 2025",
        months: 36,
    };

    #[test]
    fn nothing_is_checked_until_somebody_answers() {
        let mut inspection = draft(&OCCASION, &[Table::D]).unwrap();
        let all = inspection.items.len();
        assert_eq!(counts(&inspection), [0, 0, 0, all]);
        assert_eq!(inspection.next, Some(date(2029, 3, 2)));
        answer(&mut inspection, "eq-level", ItemResult::Pass, None).unwrap();
        assert_eq!(counts(&inspection), [1, 0, 0, all - 1]);
    }

    #[test]
    fn a_failure_says_what_was_found() {
        let mut inspection = draft(&OCCASION, &[Table::D]).unwrap();
        assert_eq!(
            answer(&mut inspection, "en-dust", ItemResult::Fail, Some(" ")),
            Err(InspectionError::FailedWithoutNote("en-dust".to_owned()))
        );
        let note = Some("grain dust 8 mm deep");
        answer(&mut inspection, "en-dust", ItemResult::Fail, note).unwrap();
        assert!(matches!(
            answer(&mut inspection, "is-boards", ItemResult::Pass, None),
            Err(InspectionError::UnknownItem { .. })
        ));
    }

    #[test]
    fn three_years_are_the_most_and_somebody_stands_for_it() {
        let with = |months, competence| {
            let occasion = Occasion {
                competence,
                months,
                ..OCCASION
            };
            draft(&occasion, &[Table::D]).unwrap_err()
        };
        assert_eq!(with(37, "b"), InspectionError::Interval(37));
        assert_eq!(with(0, "b"), InspectionError::Interval(0));
        assert_eq!(with(36, " "), InspectionError::Nobody);
        let mut late = draft(&OCCASION, &[Table::D]).unwrap();
        late.next = Some(date(2029, 5, 2));
        assert_eq!(stand(&late), Err(InspectionError::Interval(38)));
    }

    #[test]
    fn unknown_items_and_priorities_are_refused_wherever_they_come_from() {
        let mut inspection = draft(&OCCASION, &[Table::D]).unwrap();
        inspection.items[0].item = "x".to_owned();
        assert!(matches!(
            stand(&inspection),
            Err(InspectionError::UnknownItem { .. })
        ));
        let mut inspection = draft(&OCCASION, &[Table::D]).unwrap();
        inspection.findings.push(crate::register::Finding {
            text: "loose".to_owned(),
            priority: 5,
            due: None,
        });
        assert!(matches!(
            stand(&inspection),
            Err(InspectionError::Priority { priority: 5, .. })
        ));
    }
}
