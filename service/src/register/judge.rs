//! Judging again what is kept: for another place, another table, another rule.

use super::settle::{place_of, settled_answer, unpacked};
use super::{
    Evidence, NewReading, PlateId, PlateRow, ReadingFacts, ReadingId, ReadingRecord, Store,
    StoreError,
};
use crate::answer::OutcomeDto;
use serde_json::Value;
use std::cmp::Reverse;

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
    unused: Vec<String>,
}

#[derive(Debug, Clone, PartialEq)]
enum Change {
    Reading {
        photo: super::PhotoId,
        instead_of: ReadingId,
        reading: Box<NewReading>,
    },
    Settlement(Value),
    /// Plates beside those that are known of the photo.
    Further {
        photo: super::PhotoId,
        readings: Vec<NewReading>,
    },
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

    /// The markings of plates that are on its photos, too, and that the register does not hold yet.
    pub fn further(&self) -> impl Iterator<Item = &str> {
        let readings = self.changes.iter().flat_map(|change| match change {
            Change::Further { readings, .. } => readings.as_slice(),
            Change::Reading { .. } | Change::Settlement(_) => &[],
        });
        readings.map(|reading| reading.facts.value("marking").unwrap_or_default())
    }

    /// Why the answer of a photo that was read anew was not used, a sentence each.
    pub fn unused(&self) -> &[String] {
        &self.unused
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

/// New evidence of the whole photo and a new look for a reading; none where the old one is to be
/// used.
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
    let mut unused = Vec::new();
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
        let kept = unpacked(&reading.evidence)?;
        let (evidence, look, further) = match fresh(&reading) {
            None => {
                let look = reading.facts.look;
                let (own, further) = split(kept.apart(), &record.row);
                (own, look, further)
            }
            Some((whole, look)) => {
                let known = store.readings_of_photo(reading.photo)?;
                if let Some((own, further)) =
                    own_part(whole.apart(), &reading, &known, &record.row)?
                {
                    (own, look, further)
                } else {
                    unused.push(format!(
                        "fewer plates are read on photo {} now than the {} that were; the old \
                         reading stays: look at it",
                        kept.photo.sha256,
                        known.len()
                    ));
                    (kept, reading.facts.look, Vec::new())
                }
            }
        };
        if !further.is_empty() {
            let one = |evidence: &Evidence| {
                let answer = evidence.answer(given.as_ref());
                NewReading::new(evidence, &answer, look).map_err(StoreError::Damaged)
            };
            changes.push(Change::Further {
                photo: reading.photo,
                readings: further.iter().map(one).collect::<Result<_, _>>()?,
            });
        }
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
        unused,
    })
}

/// Of the plates of a photo that the register holds as one: the one that its row speaks of most, and
/// the others.
fn split(mut parts: Vec<Evidence>, row: &PlateRow) -> (Evidence, Vec<Evidence>) {
    let likeness = |part: &Evidence| {
        let facts = ReadingFacts::new(part, &part.answer(None), None);
        let serial = facts
            .value("serial")
            .is_some_and(|s| row.serial.as_deref() == Some(s));
        let marking = facts.value("marking") == Some(row.marking.as_str());
        u8::from(serial) * 2 + u8::from(marking)
    };
    // The first of the likest ones; where there is one, it need not be compared.
    let own = match parts.len() {
        0 | 1 => 0,
        count => (0..count)
            .min_by_key(|at| Reverse(likeness(&parts[*at])))
            .unwrap_or_default(),
    };
    let own = parts.remove(own);
    (own, parts)
}

/// What a photo that was read anew says of the plate of `reading`, and, for the first plate of the
/// photo, what it says of plates that are not `known` of it. None where it shows fewer plates than
/// are known: nobody can say then which lines belong to which.
fn own_part(
    mut parts: Vec<Evidence>,
    reading: &ReadingRecord,
    known: &[ReadingRecord],
    row: &PlateRow,
) -> Result<Option<(Evidence, Vec<Evidence>)>, StoreError> {
    if known.len() <= 1 {
        return Ok(Some(split(parts, row)));
    }
    if parts.len() < known.len() {
        return Ok(None);
    }
    // Each known plate takes the nearest of those that are left, in the order of their parts.
    let mut own = None;
    for one in known {
        let middle = unpacked(&one.evidence)?.middle();
        let away = |part: &Evidence| match (middle, part.middle()) {
            (Some([ax, ay]), Some([bx, by])) => (ax - bx).hypot(ay - by),
            _ => 0.0,
        };
        let nearest = (0..parts.len()).min_by(|&a, &b| away(&parts[a]).total_cmp(&away(&parts[b])));
        let Some(nearest) = nearest else { break };
        let part = parts.remove(nearest);
        if one.id == reading.id {
            own = Some(part);
        }
    }
    let further = if reading.part == 0 { parts } else { Vec::new() };
    Ok(own.map(|own| (own, further)))
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
            Change::Further { photo, readings } => {
                store.add_further(*photo, readings, cause, who)?;
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
