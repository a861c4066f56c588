//! Judging again what is kept: for another place, another table, another rule.

use super::settle::{place_of, settled_answer, unpacked};
use super::{Evidence, NewReading, PlateId, ReadingId, ReadingRecord, Store, StoreError};
use crate::answer::OutcomeDto;
use serde_json::Value;

/// What judging a plate again would change, or has changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Rejudged {
    /// The plate.
    pub plate: PlateId,
    /// Its version when this was made.
    pub version: i64,
    /// The outcome that counts.
    pub before: Option<OutcomeDto>,
    /// The outcome that the answer of now would have; of several photos, that of the one whose
    /// answer counts.
    pub after: Option<OutcomeDto>,
    markings: Option<(String, String)>,
    /// New answers, each in the place of an old one; empty where nothing differs.
    changes: Vec<Change>,
}

#[derive(Debug, Clone, PartialEq)]
enum Change {
    Reading {
        photo: super::PhotoId,
        instead_of: ReadingId,
        reading: Box<NewReading>,
    },
    Settlement(Value),
}

impl Rejudged {
    /// True where at least one answer differs from the one that is kept, be it in a word.
    pub fn differs(&self) -> bool {
        !self.changes.is_empty()
    }

    /// The markings that the answer of now would show, where that answer differs: before and after.
    pub fn markings(&self) -> Option<(&str, &str)> {
        self.markings
            .as_ref()
            .map(|(before, after)| (before.as_str(), after.as_str()))
    }

    /// True where the outcome differs.
    pub fn outcome_differs(&self) -> bool {
        self.before != self.after
    }
}

/// What this program would say of a plate today, from the evidence that is kept and the place of
/// its location. Nothing is changed.
///
/// # Errors
///
/// [`StoreError::NotFound`] for an unknown plate.
pub fn judge_again(store: &dyn Store, plate: PlateId) -> Result<Rejudged, StoreError> {
    judge_afresh(store, plate, &mut |_| None)
}

/// New evidence and a new look for a reading; none where the old one is to be used.
pub type Fresh<'a> = dyn FnMut(&ReadingRecord) -> Option<(Evidence, Option<u64>)> + 'a;

/// As [`judge_again`], with new evidence and a new look where `fresh` has them: a photo that was
/// read again.
///
/// # Errors
///
/// [`StoreError::NotFound`] for an unknown plate.
pub fn judge_afresh(
    store: &dyn Store,
    plate: PlateId,
    fresh: &mut Fresh<'_>,
) -> Result<Rejudged, StoreError> {
    let record = store.plate(plate)?.ok_or_else(|| StoreError::NotFound {
        what: "plate",
        id: plate.to_string(),
    })?;
    let given = place_of(store, record.row.location.as_deref())?;
    let mut changes = Vec::new();
    let mut after = record.row.outcome;
    let mut markings = None;
    if let Some(settlement) = &record.settlement {
        let answer = settled_answer(
            settlement.kind,
            &settlement.lines,
            record.answer.get("photo"),
            given.as_ref(),
        )?;
        if answer != record.answer {
            after = outcome(&answer);
            changes.push(Change::Settlement(answer));
        }
    }
    for reading in store.readings(plate)?.into_iter().filter(|r| r.counts) {
        let (evidence, look) = match fresh(&reading) {
            Some(fresh) => fresh,
            None => (unpacked(&reading.evidence)?, reading.facts.look),
        };
        let answer = evidence.answer(given.as_ref());
        let new = NewReading::new(&evidence, &answer, look).map_err(StoreError::Damaged)?;
        if new.answer == reading.answer {
            continue;
        }
        if record.reading == Some(reading.id) {
            after = new.facts.outcome;
            let marking = new.facts.value("marking").unwrap_or_default();
            if marking != record.row.marking {
                markings = Some((record.row.marking.clone(), marking.to_owned()));
            }
        }
        changes.push(Change::Reading {
            photo: reading.photo,
            instead_of: reading.id,
            reading: Box::new(new),
        });
    }
    Ok(Rejudged {
        plate,
        version: record.row.version,
        before: record.row.outcome,
        after,
        markings,
        changes,
    })
}

/// Makes the new answers count. The old ones stay; settled lines stay settled.
///
/// # Errors
///
/// [`StoreError::Conflict`] or [`StoreError::NotFound`] where the plate has changed since.
pub fn accept(
    store: &dyn Store,
    rejudged: &Rejudged,
    cause: &str,
    who: &str,
) -> Result<(), StoreError> {
    for change in &rejudged.changes {
        match change {
            Change::Settlement(answer) => {
                store.judge_settled(rejudged.plate, rejudged.version, answer, cause, who)?;
            }
            Change::Reading {
                photo,
                instead_of,
                reading,
            } => {
                store.replace_reading(*photo, *instead_of, reading, cause, who)?;
            }
        }
    }
    Ok(())
}

fn outcome(answer: &Value) -> Option<OutcomeDto> {
    answer
        .pointer("/verdict/outcome")
        .and_then(Value::as_str)
        .and_then(OutcomeDto::from_name)
}
