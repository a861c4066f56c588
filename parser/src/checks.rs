//! Plate checks: does the plate contradict itself?
//!
//! Each check is one [`Check`]: a name in plain words, the question it asks, its source, a text
//! that passes and one that fails. Add one to the list of its file; the tests below ask every
//! check for both texts.

mod ambient;
mod american;
mod body;
mod category;
mod circuit;
mod enclosure;
mod group;
mod legibility;
mod level;
mod temperature;
mod years;

pub(crate) use group::lacks_group;
pub(crate) use temperature::needs_temperature;

use crate::marking::Marking;
use crate::{Message, Plate, Span, message};

/// What a finding does to a verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// Text only.
    Note,
    /// The verdict is conditional at best.
    Review,
    /// The verdict is undecided at best.
    Critical,
}

impl std::fmt::Display for Severity {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Note => "note",
            Self::Review => "review",
            Self::Critical => "critical",
        })
    }
}

/// One finding on a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspicion {
    /// The name of the check in plain words.
    pub check: &'static str,
    /// How much it weighs.
    pub severity: Severity,
    /// What was found, a sentence.
    pub detail: Message,
    /// Standard and clause, and how it is known.
    pub source: &'static str,
    /// The marking concerned; none for the whole plate.
    pub marking: Option<usize>,
    /// Where to look.
    pub spans: Vec<Span>,
}

impl Suspicion {
    /// The name of the check in every language.
    pub fn name(&self) -> Message {
        Message::named("check-name", self.check)
    }

    /// The name of the check and what was found.
    pub fn said(&self) -> Message {
        message!("check-found", check = self.name(), detail = &self.detail)
    }
}

/// What a check finds, before its name is put on it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Finding {
    severity: Option<Severity>,
    detail: Message,
    marking: Option<usize>,
    spans: Vec<Span>,
}

impl Finding {
    /// A finding on one marking.
    fn on(index: usize, marking: &Marking, detail: impl Into<Message>) -> Self {
        Self {
            severity: None,
            detail: detail.into(),
            marking: Some(index),
            spans: marking.spans.clone(),
        }
    }

    /// A finding on the plate as a whole.
    fn plate(detail: impl Into<Message>, spans: Vec<Span>) -> Self {
        Self {
            severity: None,
            detail: detail.into(),
            marking: None,
            spans,
        }
    }

    /// With another severity than the check's own.
    fn weighing(mut self, severity: Severity) -> Self {
        self.severity = Some(severity);
        self
    }
}

/// One rule of consistency.
#[derive(Debug)]
pub struct Check {
    /// The name in plain words.
    pub name: &'static str,
    /// The question that it asks.
    pub question: &'static str,
    /// Standard and clause, and how it is known.
    pub source: &'static str,
    /// What a finding weighs as a rule.
    pub severity: Severity,
    /// Lines of a plate that pass, separated by `;`.
    pub passing: &'static str,
    /// Lines of a plate that fail, separated by `;`.
    pub failing: &'static str,
    find: fn(&Plate) -> Vec<Finding>,
}

/// Every check, by subject.
pub const CHECKS: &[&[Check]] = &[
    level::CHECKS,
    category::CHECKS,
    group::CHECKS,
    temperature::CHECKS,
    years::CHECKS,
    body::CHECKS,
    enclosure::CHECKS,
    ambient::CHECKS,
    circuit::CHECKS,
    american::CHECKS,
    legibility::CHECKS,
];

/// Asks a question of every marking.
fn each<M: Into<Message>>(plate: &Plate, ask: impl Fn(&Marking) -> Option<M>) -> Vec<Finding> {
    plate
        .markings
        .iter()
        .enumerate()
        .filter_map(|(index, marking)| ask(marking).map(|d| Finding::on(index, marking, d)))
        .collect()
}

/// True if enough lines are there for a whole plate: what is missing from a single line may stand
/// on the next one.
pub(crate) fn is_whole(plate: &Plate) -> bool {
    plate.lines.iter().filter(|l| !l.trim().is_empty()).count() >= 3
}

/// All findings on a plate.
pub(crate) fn run(plate: &Plate) -> Vec<Suspicion> {
    CHECKS
        .iter()
        .flat_map(|list| list.iter())
        .flat_map(|check| {
            (check.find)(plate).into_iter().map(|finding| Suspicion {
                check: check.name,
                severity: finding.severity.unwrap_or(check.severity),
                detail: finding.detail,
                source: check.source,
                marking: finding.marking,
                spans: finding.spans,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(text: &str) -> Vec<&'static str> {
        let lines: Vec<&str> = text.split(';').map(str::trim).collect();
        run(&crate::parse(&lines)).iter().map(|s| s.check).collect()
    }

    #[test]
    fn each_check_passes_and_fails() {
        let mut wrong = Vec::new();
        for check in CHECKS.iter().flat_map(|list| list.iter()) {
            let passing = names(check.passing);
            if passing.contains(&check.name) {
                wrong.push(format!("{}: fires on {:?}", check.name, check.passing));
            }
            let failing = names(check.failing);
            if !failing.contains(&check.name) {
                wrong.push(format!(
                    "{}: silent on {:?} (found {failing:?})",
                    check.name, check.failing
                ));
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }

    #[test]
    fn names_are_unique_and_sources_given() {
        let mut seen = Vec::new();
        for check in CHECKS.iter().flat_map(|list| list.iter()) {
            assert!(!seen.contains(&check.name), "{} stands twice", check.name);
            seen.push(check.name);
            assert!(!check.source.is_empty() && check.question.ends_with('?'));
        }
    }
}
