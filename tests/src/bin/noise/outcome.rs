//! What came of one plate: right or wrong, asked or not.

use vetplate_parser::marking::Marking;
use vetplate_parser::{Plate, Reading, Severity};

/// The values of the critical fields, each with its name.
pub(crate) type Fields = Vec<(&'static str, String)>;

/// The values whose misreading would be dangerous, by field; a `;` parts the markings.
pub(crate) fn critical(plate: &Plate) -> Fields {
    let of = |what: &dyn Fn(&Marking) -> String| {
        plate
            .markings
            .iter()
            .map(what)
            .collect::<Vec<_>>()
            .join(";")
    };
    vec![
        (
            "type or level",
            of(&|m| {
                format!(
                    "{:?} {} {} {}",
                    m.protections
                        .iter()
                        .map(|p| (p.kind.value, &p.level, p.associated, p.circuit_epl))
                        .collect::<Vec<_>>(),
                    m.combined,
                    m.boundary,
                    m.aex
                )
            }),
        ),
        (
            "group",
            of(&|m| format!("{:?}", m.group.as_ref().map(|g| &g.value))),
        ),
        (
            "temperature",
            of(&|m| {
                format!(
                    "{:?} {:?}",
                    m.temperature.as_ref().map(|t| &t.value),
                    m.dust_temperature.as_ref().map(|d| d.value)
                )
            }),
        ),
        (
            "EPL",
            of(&|m| format!("{:?}", m.epl.iter().map(|e| e.value).collect::<Vec<_>>())),
        ),
        (
            "category",
            of(&|m| {
                format!(
                    "{:?}",
                    m.atex.as_ref().map(|l| (
                        l.mining,
                        l.categories.iter().map(|c| c.value).collect::<Vec<_>>(),
                        &l.atmospheres
                    ))
                )
            }),
        ),
        (
            "class, division, zone",
            of(&|m| {
                format!(
                    "{:?} {:?} {:?}",
                    m.american.class,
                    m.american.division.as_ref().map(|d| d.value),
                    m.american.zone.as_ref().map(|z| z.value)
                )
            }),
        ),
        (
            "ambient",
            format!("{:?}", plate.ambient.as_ref().map(|a| a.value)),
        ),
        ("X or U", format!("{} {}", plate.has_x(), plate.has_u())),
    ]
}

/// True where a person is asked, or where a verdict would be given on more than one reading.
pub(crate) fn withheld(reading: &Reading) -> bool {
    !reading.review.is_empty()
        || reading.readings.len() > 1
        || reading
            .best()
            .suspicions
            .iter()
            .any(|s| s.severity != Severity::Note)
}

/// What came of one plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// Right, and nobody is asked.
    Recovered,
    /// Right, but a person is asked.
    WithheldRight,
    /// Wrong, and a person is asked.
    WithheldWrong,
    /// Wrong, and nobody is asked: the one unforgivable outcome.
    Silent,
}

/// Holds a reading against what is printed.
pub(crate) fn outcome(reading: &Reading, truth: &Fields) -> Outcome {
    let right = critical(&reading.best().plate) == *truth;
    match (right, withheld(reading)) {
        (true, false) => Outcome::Recovered,
        (true, true) => Outcome::WithheldRight,
        (false, true) => Outcome::WithheldWrong,
        (false, false) => Outcome::Silent,
    }
}

/// The number of plates with each outcome.
#[derive(Debug, Default, Clone, Copy)]
pub(crate) struct Tally {
    pub(crate) recovered: usize,
    pub(crate) withheld_right: usize,
    pub(crate) withheld_wrong: usize,
    pub(crate) silent: usize,
}

impl Tally {
    pub(crate) fn count(&mut self, outcome: Outcome) {
        match outcome {
            Outcome::Recovered => self.recovered += 1,
            Outcome::WithheldRight => self.withheld_right += 1,
            Outcome::WithheldWrong => self.withheld_wrong += 1,
            Outcome::Silent => self.silent += 1,
        }
    }

    pub(crate) fn all(&self) -> usize {
        self.recovered + self.withheld_right + self.withheld_wrong + self.silent
    }
}
