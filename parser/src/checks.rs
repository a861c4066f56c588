//! Plate checks: does the plate contradict itself?

use crate::{Plate, Span};

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
    pub detail: String,
    /// Standard and clause.
    pub source: &'static str,
    /// The marking concerned; none for the whole plate.
    pub marking: Option<usize>,
    /// Where to look.
    pub spans: Vec<Span>,
}

/// One rule of consistency.
pub trait Check: Sync {
    /// The name in plain words.
    fn name(&self) -> &'static str;
    /// The question that it asks.
    fn question(&self) -> &'static str;
    /// Standard and clause, and how it is known.
    fn source(&self) -> &'static str;
    /// Looks at a plate.
    fn check(&self, plate: &Plate) -> Vec<Suspicion>;
}

/// Every check in order.
pub const CHECKS: &[&dyn Check] = &[];

/// All findings on a plate.
pub(crate) fn run(plate: &Plate) -> Vec<Suspicion> {
    CHECKS.iter().flat_map(|c| c.check(plate)).collect()
}
