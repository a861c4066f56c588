//! Imports as JSON.

use crate::bulk::{Bulk, Standing};
use crate::register::{ImportState, Origin, Problem};
use serde::Serialize;
use utoipa::ToSchema;

/// How an import stands. `seen = taken + held + refused + failed`, always.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Import)]
pub struct ImportDto {
    /// Its number.
    pub id: i64,
    /// `running`, `paused`, `stopping` (what is in hand is finished), `done`, `stopped` (someone
    /// cancelled it) or `interrupted` (the program ended in the midst of it).
    pub state: &'static str,
    /// `upload`, `folder` or `command` (the command line).
    pub origin: &'static str,
    /// Who started it.
    pub who: String,
    /// What is imported.
    pub sources: Vec<String>,
    /// Tag of the location of photos that tell no other.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub location: Option<String>,
    /// When it began.
    #[schema(format = DateTime)]
    pub started_at: String,
    /// When it ended.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(format = DateTime)]
    pub ended_at: Option<String>,
    /// Files that were looked at.
    pub seen: u64,
    /// Read and now in the register.
    pub taken: u64,
    /// Already held: the same bytes are in the register.
    pub held: u64,
    /// Not taken for a reason that lies in the file.
    pub refused: u64,
    /// Not taken for a reason that may pass.
    pub failed: u64,
    /// Still being written; not part of `seen`.
    pub left: u64,
    /// How many files there are, once they are counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub total: Option<u64>,
    /// Files a second since it began.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rate_per_s: Option<f64>,
    /// Seconds until its end at that rate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left_s: Option<u64>,
    /// The import that this one goes on with.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub resumes: Option<i64>,
    /// The import that goes on with this one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub resumed_by: Option<i64>,
    /// What can be asked of it now: `pause`, `resume`, `cancel`.
    pub can: Vec<&'static str>,
}

impl ImportDto {
    /// How an import stands, without where this machine keeps its files.
    pub(crate) fn new(standing: &Standing, bulk: &Bulk) -> Self {
        let Standing { record, live } = standing;
        let accounts = record.accounts;
        let total = live
            .and_then(|l| l.total)
            .map(|total| total.max(accounts.seen));
        let seconds = live.map(|l| l.elapsed.as_secs_f64()).filter(|s| *s > 0.0);
        let rate = seconds
            .filter(|_| accounts.seen > 0)
            .map(|seconds| accounts.seen as f64 / seconds);
        let running = record.state == ImportState::Running;
        let (state, can): (&str, &[&str]) = match live {
            // Its last photo is in the register; its lock is about to be free.
            Some(live) if live.stopping || !running => ("stopping", &[]),
            Some(live) if live.paused => ("paused", &["resume", "cancel"]),
            Some(_) => ("running", &["pause", "cancel"]),
            None if resumable(standing) => (record.state.name(), &["resume"]),
            None => (record.state.name(), &[]),
        };
        Self {
            id: record.id.0,
            state,
            origin: record.asked.origin.name(),
            who: record.who.clone(),
            sources: record
                .sources
                .iter()
                .map(|source| bulk.shown(source, &record.asked))
                .collect(),
            location: record.asked.location.clone(),
            started_at: record.started_at.to_string(),
            ended_at: record.ended_at.map(|at| at.to_string()),
            seen: accounts.seen,
            taken: accounts.taken,
            held: accounts.held,
            refused: accounts.refused,
            failed: accounts.failed,
            left: accounts.left,
            total,
            rate_per_s: rate.map(|rate| (rate * 100.0).round() / 100.0),
            left_s: rate
                .zip(total)
                .map(|(rate, total)| ((total - accounts.seen) as f64 / rate).round() as u64),
            resumes: record.asked.resumes.map(|id| id.0),
            resumed_by: record.resumed_by.map(|id| id.0),
            can: can.to_vec(),
        }
    }
}

/// True where the service can go on with it: what it may open, not brought to its end, and not
/// gone on with already.
pub(crate) fn resumable(standing: &Standing) -> bool {
    let record = &standing.record;
    let unfinished = match record.state {
        ImportState::Stopped | ImportState::Interrupted => true,
        ImportState::Done => record.accounts.failed > 0,
        ImportState::Running => false,
    };
    unfinished && record.resumed_by.is_none() && record.asked.origin != Origin::Command
}

/// Imports, newest first.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Imports)]
pub struct ImportsDto {
    /// The imports.
    pub imports: Vec<ImportDto>,
}

/// An import with what it could not take.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = ImportDetail)]
pub struct ImportDetailDto {
    /// How it stands.
    #[serde(flatten)]
    #[schema(inline)]
    pub import: ImportDto,
    /// Plates that it brought and that wait for a person.
    pub waiting: u64,
    /// What it could not take, in the order it was met; a page of it.
    pub problems: Vec<ImportProblemDto>,
}

/// A file that an import could not take.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = ImportProblem)]
pub struct ImportProblemDto {
    /// The file.
    pub source: String,
    /// True where it failed and may be tried again, false where it was refused.
    pub failed: bool,
    /// Why, a sentence.
    pub reason: String,
}

impl ImportProblemDto {
    /// A problem, without where this machine keeps its files.
    pub(crate) fn new(problem: Problem, standing: &Standing, bulk: &Bulk) -> Self {
        Self {
            source: bulk.shown(&problem.source, &standing.record.asked),
            failed: problem.failed,
            reason: problem.reason,
        }
    }
}
