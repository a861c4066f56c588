//! Marking against place: the outcome and every ground for it.

mod judge;
mod notes;

pub use judge::{PLAUSIBLE, judge, judge_plate, judge_with};
pub use notes::cautions;

use crate::{Message, Span, message};
use std::fmt;

/// What can be said of a plate at a place, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Outcome {
    /// At least one decided check fails.
    Unsuitable,
    /// Nothing fails, but a check that is needed cannot be made.
    Undecided,
    /// All checks pass, but a condition outside the plate must be met.
    Conditional,
    /// All checks pass without condition.
    Suitable,
}

impl Outcome {
    /// In a word.
    pub fn said(self) -> Message {
        match self {
            Self::Unsuitable => message!("outcome-unsuitable"),
            Self::Undecided => message!("outcome-undecided"),
            Self::Conditional => message!("outcome-conditional"),
            Self::Suitable => message!("outcome-suitable"),
        }
    }
}

impl fmt::Display for Outcome {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Unsuitable => "unsuitable",
            Self::Undecided => "undecided",
            Self::Conditional => "conditional",
            Self::Suitable => "suitable",
        })
    }
}

/// One check with its result and what it rested on.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    /// Id of the rule.
    pub rule: &'static str,
    /// What this check by itself allows.
    pub outcome: Outcome,
    /// A sentence with the numbers.
    pub detail: Message,
    /// Standard and clause, and how the rule is known (checked, memory, practice).
    pub source: &'static str,
    /// Index of the marking it speaks of; none for the plate as a whole.
    pub marking: Option<usize>,
    /// Characters that it rests on.
    pub spans: Vec<Span>,
    /// Inputs and table rows that were used, as `name = value`.
    pub used: Vec<String>,
    /// What would settle it or make it pass, a sentence; none where nothing would.
    pub next: Option<Message>,
}

/// A doubtful place in the text on which the outcome depends.
#[derive(Debug, Clone, PartialEq)]
pub struct Deciding {
    /// Line and characters.
    pub span: Span,
    /// What each reading has there and what it would mean, best reading first.
    pub readings: Vec<(String, f64, Outcome)>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// The worst ground decides; over the plausible readings, the worst reading.
    pub outcome: Outcome,
    /// Share of the plausible readings, by weight, for which the outcome is not worse.
    pub probability: f64,
    /// Grounds, worst first.
    pub grounds: Vec<Ground>,
    /// Where readings differ in outcome.
    pub decided_by: Vec<Deciding>,
    /// Defaults used and things to see to that decide nothing.
    pub notes: Vec<Message>,
    /// What would make it suitable, or settle it; worst ground first.
    pub next_steps: Vec<Message>,
}
