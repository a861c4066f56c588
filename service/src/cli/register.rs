//! The command line of the register.

use super::CertificateArgs;
use super::papers::{CompareArgs, ExportArgs, InspectArgs, ReportArgs};
use crate::answer::OutcomeDto;
use crate::register::{Cursor, PlateId, ReviewState};
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// `vetplate import`
///
/// Exit codes: 0 every file was taken, is held already, or was refused for a named reason;
/// 2 bad usage; 3 at least one file or source failed; 130 it was stopped.
#[derive(Debug, Args)]
pub struct ImportArgs {
    /// Folders, zip or tar archives, or photos.
    #[arg(
        required_unless_present = "retry_failed",
        value_name = "FOLDER|ARCHIVE"
    )]
    pub sources: Vec<PathBuf>,
    /// File of the register; made where there is none.
    #[arg(long, value_name = "FILE")]
    pub register: PathBuf,
    /// File of the site's locations, CSV or TOML: folders and files that are named like a
    /// location's tag belong there.
    #[arg(long, value_name = "FILE")]
    pub site: Option<PathBuf>,
    /// The site's certificates, in the place of those that the site file names.
    #[command(flatten)]
    pub certificates: CertificateArgs,
    /// List that says where photos belong: CSV with the columns file, location and tag.
    #[arg(long, value_name = "CSV")]
    pub mapping: Option<PathBuf>,
    /// Copy every photo into a folder of the register; without DIR, one beside it.
    #[arg(long, value_name = "DIR", num_args = 0..=1, require_equals = true)]
    pub keep: Option<Option<PathBuf>>,
    /// Say what would be taken and change nothing.
    #[arg(long, conflicts_with = "keep")]
    pub dry_run: bool,
    /// Try photos again that failed before; without FOLDER, those alone.
    #[arg(long)]
    pub retry_failed: bool,
    /// Photos read at the same time; 0 for one a processor.
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub jobs: usize,
    /// Who imports, for the history.
    #[arg(long, env = "USER", value_name = "NAME", default_value = "unknown")]
    pub by: String,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// `vetplate register`
#[derive(Debug, Args)]
pub struct RegisterArgs {
    /// File of the register.
    #[arg(
        long,
        value_name = "FILE",
        global = true,
        default_value = "register.vetplate"
    )]
    pub register: PathBuf,
    /// What to do.
    #[command(subcommand)]
    pub command: RegisterCommand,
}

/// What to do with a register.
#[derive(Debug, Subcommand)]
pub enum RegisterCommand {
    /// List plates, page by page.
    List(ListArgs),
    /// Show one plate with all that is known.
    Show(ShowArgs),
    /// Write the register as a table: CSV, XLSX or JSON Lines.
    Export(ExportArgs),
    /// Write a report for print: overview, lists, a sheet a plate.
    Report(ReportArgs),
    /// Hold the register against an equipment list.
    Compare(CompareArgs),
    /// Record an inspection; what the plate answers is filled in.
    Inspect(InspectArgs),
    /// Show the lists of certificates that were given, or give another one.
    Certificates(CertificatesArgs),
    /// Check that the register is whole; never repairs. Exit code 5 where something is found.
    Check(CheckArgs),
    /// Back the register up while it is in use, or verify a backup. Exit code 5 where a photo
    /// was lost already, or the backup is not whole.
    Backup(BackupArgs),
    /// Restore a backup to an empty place; one that is not whole is refused.
    Restore(RestoreArgs),
    /// Say what this version would answer anew; with --apply, keep it.
    Reread(RereadArgs),
}

/// `vetplate register list`
#[derive(Debug, Args)]
pub struct ListArgs {
    /// Only this location.
    #[arg(long, value_name = "TAG")]
    pub location: Option<String>,
    /// Only this outcome: unsuitable, undecided, conditional, suitable, or none (not judged).
    #[arg(long, value_name = "OUTCOME", value_parser = outcome)]
    pub outcome: Option<WantedOutcome>,
    /// Only plates whose review is: not-needed, waiting, put-back, settled, or open (waiting or
    /// put back).
    #[arg(long, value_name = "STATE", value_parser = review)]
    pub review: Option<WantedReview>,
    /// Part of a tag, serial number, certificate, maker or type; with fewer than three
    /// characters, the beginning of a tag or serial number.
    #[arg(long, value_name = "TEXT")]
    pub search: Option<String>,
    /// Most urgent review first.
    #[arg(long)]
    pub urgent: bool,
    /// Plates of one page.
    #[arg(long, value_name = "N", default_value_t = 50)]
    pub limit: usize,
    /// Go on behind this plate, as the page before says.
    #[arg(long, value_name = "PLACE", value_parser = cursor)]
    pub after: Option<Cursor>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// `vetplate register show`
#[derive(Debug, Args)]
pub struct ShowArgs {
    /// Number of the plate.
    #[arg(value_name = "ID")]
    pub plate: PlateId,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// `vetplate register certificates`
#[derive(Debug, Args)]
pub struct CertificatesArgs {
    /// List to be kept from now on: CSV with the columns number, issue, type, marking, ambient and
    /// conditions. The ones before stay in the history.
    #[arg(value_name = "CSV")]
    pub list: Option<PathBuf>,
    /// Who gives it, for the history.
    #[arg(long, env = "USER", value_name = "NAME", default_value = "unknown")]
    pub by: String,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// `vetplate register check`
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// Read every photo and compare its hash, too.
    #[arg(long)]
    pub read_all: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// `vetplate register backup`
#[derive(Debug, Args)]
pub struct BackupArgs {
    /// Folder of the backups; each goes into a new folder in it, named by its time.
    #[arg(long, value_name = "DIR", required_unless_present = "verify")]
    pub to: Option<PathBuf>,
    /// Verify the backup in DIR, or the newest in it: restore it to a scratch place, check
    /// everything, and remember it in the register, so that /readyz tells its age. With --to,
    /// verifies what was just made.
    #[arg(long, value_name = "DIR", num_args = 0..=1)]
    pub verify: Option<Option<PathBuf>>,
}

/// `vetplate register restore`
#[derive(Debug, Args)]
pub struct RestoreArgs {
    /// The backup, or the folder of the backups for the newest in it. --register says where
    /// the register is to be.
    #[arg(long, value_name = "DIR")]
    pub from: PathBuf,
}

/// `vetplate register reread`
#[derive(Debug, Args)]
pub struct RereadArgs {
    /// Keep the new answers. Settled lines stay as they are.
    #[arg(long)]
    pub apply: bool,
    /// Only plates of this location.
    #[arg(long, value_name = "TAG")]
    pub location: Option<String>,
    /// The site's certificates.
    #[command(flatten)]
    pub certificates: CertificateArgs,
    /// Who does it, for the history.
    #[arg(long, env = "USER", value_name = "NAME", default_value = "unknown")]
    pub by: String,
    /// Print JSON, one plate a line.
    #[arg(long)]
    pub json: bool,
}

/// An outcome, or none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WantedOutcome {
    /// This one.
    Is(OutcomeDto),
    /// No verdict.
    NotJudged,
}

/// A state of the review, or whatever waits for a person.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WantedReview {
    /// This one.
    Is(ReviewState),
    /// Waiting or put back.
    Open,
}

pub(super) fn outcome(text: &str) -> Result<WantedOutcome, String> {
    if text == "none" {
        return Ok(WantedOutcome::NotJudged);
    }
    OutcomeDto::from_name(text)
        .map(WantedOutcome::Is)
        .ok_or_else(|| "it is unsuitable, undecided, conditional, suitable or none".to_owned())
}

pub(super) fn review(text: &str) -> Result<WantedReview, String> {
    if text == "open" {
        return Ok(WantedReview::Open);
    }
    ReviewState::from_name(&text.replace('-', "_"))
        .map(WantedReview::Is)
        .ok_or_else(|| "it is not-needed, waiting, put-back, settled or open".to_owned())
}

/// `ID`, or `URGENCY:ID`.
fn cursor(text: &str) -> Result<Cursor, String> {
    let (urgency, id) = text.split_once(':').unwrap_or(("0", text));
    let fault = || "give what the page before says, such as 50 or 5400:50".to_owned();
    Ok(Cursor {
        urgency: urgency.parse().map_err(|_| fault())?,
        id: id.parse().map_err(|_| fault())?,
    })
}
