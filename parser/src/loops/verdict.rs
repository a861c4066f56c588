//! What the check of a loop answers.

use super::Exact;
use crate::Message;
use crate::marking::Level;
use std::fmt;

/// What one line of the check comes to, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Line {
    /// A limit is exceeded.
    Fail,
    /// A value is missing, or the method does not cover the case.
    Undecided,
    /// Within every limit; equal counts.
    Pass,
}

impl fmt::Display for Line {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Fail => "fail",
            Self::Undecided => "undecided",
            Self::Pass => "pass",
        })
    }
}

/// The result of a check, line by line.
#[derive(Debug, Clone, PartialEq)]
pub struct LoopVerdict {
    /// Uo against every Ui.
    pub voltage: Line,
    /// Io against every Ii.
    pub current: Line,
    /// Po against every Pi.
    pub power: Line,
    /// Sum of Ci and cable against the limit.
    pub capacitance: Line,
    /// Sum of Li and cable against the limit, or L/R of the cable against Lo/Ro.
    pub inductance: Line,
    /// Column of the source against the group of the place.
    pub group: Line,
    /// Level of the loop against that of the place.
    pub level: Line,
    /// The worst of all.
    pub overall: Line,
    /// True if both lumped values reach 1 %; none where it cannot be told.
    pub lumped_halving: Option<bool>,
    /// Limit of capacitance in nF after halving and ceiling.
    pub capacitance_limit_nf: Option<Exact>,
    /// Limit of inductance in µH after halving.
    pub inductance_limit_uh: Option<Exact>,
    /// Capacitance of devices and cable in nF.
    pub capacitance_total_nf: Option<Exact>,
    /// Inductance of devices and cable in µH.
    pub inductance_total_uh: Option<Exact>,
    /// Longest cable in whole metres by capacitance; none where it cannot be told.
    pub longest_by_capacitance_m: Option<u64>,
    /// Longest cable in whole metres by inductance; none where it cannot be told or L/R passes.
    pub longest_by_inductance_m: Option<u64>,
    /// Weakest of ia, ib, ic; none where one is not given.
    pub loop_level: Option<Level>,
    /// What decided, what is missing, which defaults were used; sentences.
    pub notes: Vec<Message>,
}
