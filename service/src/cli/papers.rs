//! The command line of tables, reports, comparisons, inspections and reviews.

use super::CertificateArgs;
use super::register::{WantedOutcome, WantedReview, outcome, review};
use crate::papers::Format;
use crate::register::{Grade, InspectionKind, PlateId, SettlementKind};
use clap::{Args, Subcommand};
use jiff::civil::Date;
use std::path::PathBuf;

/// Which plates of a register.
#[derive(Debug, Clone, Default, Args)]
pub struct FilterArgs {
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
}

/// `vetplate register export`
#[derive(Debug, Args)]
pub struct ExportArgs {
    /// What the table is written as.
    #[arg(long, value_enum, default_value = "csv")]
    pub format: Format,
    /// Begin a CSV with a byte order mark, by which some spreadsheets tell UTF-8.
    #[arg(long)]
    pub bom: bool,
    /// Where it is written; without it, standard output (not for a workbook).
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Which plates.
    #[command(flatten)]
    pub filter: FilterArgs,
}

/// `vetplate register report`
#[derive(Debug, Args)]
pub struct ReportArgs {
    /// Where the report is written.
    #[arg(long, value_name = "FILE.pdf")]
    pub out: PathBuf,
    /// Title on every page.
    #[arg(
        long,
        value_name = "TEXT",
        default_value = "Register of explosion-protected equipment"
    )]
    pub title: String,
    /// Overview and lists alone, without a sheet a plate.
    #[arg(long)]
    pub summary: bool,
    /// Leave the photos out.
    #[arg(long)]
    pub no_photos: bool,
    /// Where no inspection is recorded, print the empty items of this grade: visual, close or
    /// detailed.
    #[arg(long, value_name = "GRADE", value_parser = grade)]
    pub blank: Option<Grade>,
    /// Which plates get a sheet.
    #[command(flatten)]
    pub filter: FilterArgs,
}

/// `vetplate register compare`
#[derive(Debug, Args)]
pub struct CompareArgs {
    /// The equipment list: CSV with one header row.
    #[arg(value_name = "LIST.csv")]
    pub list: PathBuf,
    /// Which column is which, such as serial='Serial No.'; may be repeated.
    #[arg(long, value_name = "KEY=NAME", value_parser = pair)]
    pub column: Vec<(String, String)>,
    /// Print JSON, one line or plate a line.
    #[arg(long)]
    pub json: bool,
}

/// `vetplate register inspect`
#[derive(Debug, Args)]
pub struct InspectArgs {
    /// Number of the plate.
    #[arg(value_name = "ID")]
    pub plate: PlateId,
    /// How closely: visual, close or detailed.
    #[arg(long, value_name = "GRADE", value_parser = grade)]
    pub grade: Grade,
    /// On what occasion: initial, periodic, sample or after-repair.
    #[arg(long, value_name = "KIND", value_parser = kind)]
    pub kind: InspectionKind,
    /// When, YYYY-MM-DD.
    #[arg(long, value_name = "DATE")]
    pub date: Date,
    /// Who looked.
    #[arg(long, value_name = "NAME")]
    pub inspector: String,
    /// What shows that they are competent.
    #[arg(long, value_name = "TEXT")]
    pub competence: String,
    /// Months until the next inspection, 1 to 36.
    #[arg(long, value_name = "N", default_value_t = 36)]
    pub months: u32,
    /// An answer: ITEM=pass, ITEM=fail:what was found, ITEM=na; may be repeated.
    #[arg(long, value_name = "ITEM=RESULT", value_parser = pair)]
    pub item: Vec<(String, String)>,
    /// A finding: PRIORITY:text, priority 1 (immediate) to 4; may be repeated.
    #[arg(long, value_name = "PRIORITY:TEXT")]
    pub finding: Vec<String>,
    /// Show what would be recorded, with what the plate answers, and record nothing.
    #[arg(long)]
    pub dry_run: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// `vetplate review`
#[derive(Debug, Args)]
pub struct ReviewArgs {
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
    pub command: ReviewCommand,
}

/// What to do with the queue.
#[derive(Debug, Subcommand)]
pub enum ReviewCommand {
    /// What waits for a person, most urgent first.
    List(ReviewListArgs),
    /// Show one plate with the readings that compete; writes the part with the marking to a file.
    Show(ReviewShowArgs),
    /// Confirm or correct a plate, or declare it illegible.
    Settle(SettleArgs),
}

/// `vetplate review list`
#[derive(Debug, Args)]
pub struct ReviewListArgs {
    /// Only this location.
    #[arg(long, value_name = "TAG")]
    pub location: Option<String>,
    /// Most plates.
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub limit: usize,
    /// Print JSON, one plate a line.
    #[arg(long)]
    pub json: bool,
}

/// `vetplate review show`
#[derive(Debug, Args)]
pub struct ReviewShowArgs {
    /// Number of the plate.
    #[arg(value_name = "ID")]
    pub plate: PlateId,
    /// Write the part of the photo with the marking here, as JPEG.
    #[arg(long, value_name = "FILE.jpg")]
    pub crop: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// `vetplate review settle`
#[derive(Debug, Args)]
#[command(group = clap::ArgGroup::new("word").required(true))]
pub struct SettleArgs {
    /// Number of the plate.
    #[arg(value_name = "ID")]
    pub plate: PlateId,
    /// The plate reads as shown.
    #[arg(long, group = "word")]
    pub confirm: bool,
    /// The whole plate as it should read, its lines separated by `;`.
    #[arg(long, value_name = "TEXT", group = "word")]
    pub correct: Option<String>,
    /// Nobody can read it.
    #[arg(long, group = "word")]
    pub illegible: bool,
    /// The version that was shown.
    #[arg(long, value_name = "N")]
    pub version: i64,
    /// Who decides.
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// A note.
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
    /// The site's certificates.
    #[command(flatten)]
    pub certificates: CertificateArgs,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

impl SettleArgs {
    /// What the person says.
    pub fn kind(&self) -> SettlementKind {
        if self.correct.is_some() {
            SettlementKind::Corrected
        } else if self.illegible {
            SettlementKind::Illegible
        } else {
            SettlementKind::Confirmed
        }
    }
}

fn grade(text: &str) -> Result<Grade, String> {
    match text {
        "visual" => Ok(Grade::Visual),
        "close" => Ok(Grade::Close),
        "detailed" => Ok(Grade::Detailed),
        _ => Err("it is visual, close or detailed".to_owned()),
    }
}

fn kind(text: &str) -> Result<InspectionKind, String> {
    match text {
        "initial" => Ok(InspectionKind::Initial),
        "periodic" => Ok(InspectionKind::Periodic),
        "sample" => Ok(InspectionKind::Sample),
        "after-repair" => Ok(InspectionKind::AfterRepair),
        _ => Err("it is initial, periodic, sample or after-repair".to_owned()),
    }
}

fn pair(text: &str) -> Result<(String, String), String> {
    text.split_once('=')
        .map(|(key, value)| (key.trim().to_owned(), value.trim().to_owned()))
        .ok_or_else(|| "write KEY=VALUE".to_owned())
}
