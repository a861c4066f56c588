//! The command line: what can be typed. Parsing validates and never acts.

mod file;
mod papers;
mod place;
mod register;
mod users;

pub use papers::{
    CompareArgs, ExportArgs, FilterArgs, InspectArgs, ReportArgs, ReviewArgs, ReviewCommand,
    ReviewListArgs, ReviewShowArgs, SettleArgs,
};
pub use place::{CertificateArgs, PlaceArgs};
pub use register::{
    BackupArgs, CertificatesArgs, CheckArgs, ImportArgs, ListArgs, RegisterArgs, RegisterCommand,
    RereadArgs, RestoreArgs, ShowArgs, WantedOutcome, WantedReview,
};

pub use users::{
    AddUserArgs, PasswordArgs, RemoveUserArgs, RoleArgs, TokenArgs, UsersArgs, UsersCommand,
};

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

use crate::answer::{Answer, OutcomeDto};
use crate::config::ServeConfig;
use crate::language;
use vetplate_parser::Language;

/// Reads the nameplate of explosion-protected equipment, takes its marking apart and
/// says whether it is allowed in a zone.
///
/// Exit codes of `read` and `decode`: 0 a reading was made, whatever the verdict;
/// 2 bad usage; 3 an input could not be used at all; 4 what --fail-on names was met.
#[derive(Debug, Parser)]
#[command(
    name = "vetplate",
    version,
    max_term_width = 100,
    subcommand_required = true
)]
pub struct Cli {
    /// Language of what people read: en, de or fr; any other is English. Over HTTP the
    /// request chooses.
    #[arg(
        long,
        global = true,
        env = "VETPLATE_LANGUAGE",
        default_value = "en",
        value_name = "LANGUAGE",
        value_parser = spoken
    )]
    pub language: Language,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

#[expect(clippy::unnecessary_wraps, reason = "the form of a parser of values")]
fn spoken(tag: &str) -> Result<Language, std::convert::Infallible> {
    Ok(language::of_tag(tag))
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Read photos of nameplates.
    Read(ReadArgs),
    /// Decode markings that are typed, without a photo.
    Decode(DecodeArgs),
    /// Say what a place asks for: the least marking and the types of protection that suit it.
    Require(RequireArgs),
    /// Check a simple intrinsically safe loop.
    Loop(LoopArgs),
    /// Look a gas, vapour or dust up in the bundled table.
    Substance(SubstanceArgs),
    /// Read whole folders and archives of photos into a register.
    Import(ImportArgs),
    /// Look into a register, check it, judge it again.
    Register(RegisterArgs),
    /// Work off what waits for a person.
    Review(ReviewArgs),
    /// Say who may use the service: accounts, roles, passwords, tokens.
    Users(UsersArgs),
    /// Answer over HTTP.
    Serve(ServeConfig),
}

/// `vetplate read`
#[derive(Debug, Args)]
pub struct ReadArgs {
    /// Photos (JPEG, HEIC, PNG, WebP or TIFF); `-` reads one from standard input.
    #[arg(required = true, value_name = "PHOTO")]
    pub photos: Vec<PathBuf>,
    /// Place that the equipment is to stand in.
    #[command(flatten)]
    pub place: PlaceArgs,
    /// What the plates are held against.
    #[command(flatten)]
    pub certificates: CertificateArgs,
    /// How to answer.
    #[command(flatten)]
    pub output: OutputArgs,
    /// Write the photo with its lines drawn on it as PNG; with several photos, a folder.
    #[arg(long, value_name = "FILE")]
    pub annotate: Option<PathBuf>,
}

/// `vetplate decode`
#[derive(Debug, Args)]
pub struct DecodeArgs {
    /// Markings in quotes, one plate each, its lines separated by `;`.
    /// `-` reads standard input, one plate a line.
    #[arg(required = true, value_name = "TEXT")]
    pub texts: Vec<String>,
    /// Take the whole input as the lines of one plate.
    #[arg(long)]
    pub plate: bool,
    /// Place that the equipment is to stand in.
    #[command(flatten)]
    pub place: PlaceArgs,
    /// What the plates are held against.
    #[command(flatten)]
    pub certificates: CertificateArgs,
    /// How to answer.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// `vetplate require`
#[derive(Debug, Args)]
pub struct RequireArgs {
    /// The place.
    #[command(flatten)]
    pub place: PlaceArgs,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// `vetplate loop`
#[derive(Debug, Args)]
pub struct LoopArgs {
    /// TOML or JSON with `source`, `devices` and `cable`; `-` is standard input.
    #[arg(
        long,
        value_name = "LOOP",
        required_unless_present = "source",
        conflicts_with_all = ["source", "device", "cable", "place_group", "place_level"]
    )]
    pub file: Option<PathBuf>,
    /// Plate of the associated apparatus: a photo, or its text, the lines separated by `;`.
    #[arg(long, value_name = "PHOTO|TEXT", requires_all = ["device", "cable"])]
    pub source: Option<String>,
    /// Plate of a field device: a photo, or its text; repeatable.
    #[arg(long, value_name = "PHOTO|TEXT", requires = "source")]
    pub device: Vec<String>,
    /// The cable, such as '300 m, 200 pF/m, 1 µH/m, 25 µH/Ω'; `ordinary` in the place of a
    /// missing value takes the usual ones.
    #[arg(long, value_name = "CABLE", requires = "source")]
    pub cable: Option<String>,
    /// Group of the place: I, IIA, IIB, IIC or III.
    #[arg(long, value_name = "GROUP", requires = "source")]
    pub place_group: Option<String>,
    /// Level that the place needs: ia, ib or ic.
    #[arg(long, value_name = "LEVEL", requires = "source")]
    pub place_level: Option<String>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// `vetplate substance`
#[derive(Debug, Args)]
pub struct SubstanceArgs {
    /// Names, formulas or CAS numbers.
    #[arg(required = true, value_name = "NAME|CAS")]
    pub names: Vec<String>,
    /// Print JSON, one document a line.
    #[arg(long)]
    pub json: bool,
}

/// How to answer.
#[derive(Debug, Args)]
#[command(next_help_heading = "Output")]
pub struct OutputArgs {
    /// Print JSON (schema 1), one document a line.
    #[arg(long)]
    pub json: bool,
    /// Exit with 4 where the verdict is this or worse (unsuitable is worse than
    /// undecided, undecided worse than conditional), or where a review is needed.
    #[arg(long, value_name = "WHEN", value_delimiter = ',')]
    pub fail_on: Vec<FailOn>,
}

/// When `--fail-on` is met.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FailOn {
    /// Conditional, undecided or unsuitable.
    Conditional,
    /// Undecided or unsuitable.
    Undecided,
    /// Unsuitable.
    Unsuitable,
    /// A person must look before the reading is used.
    Review,
}

impl FailOn {
    /// The worst outcome that is still let pass is one better than this; none for reviews.
    fn outcome(self) -> Option<OutcomeDto> {
        match self {
            Self::Conditional => Some(OutcomeDto::Conditional),
            Self::Undecided => Some(OutcomeDto::Undecided),
            Self::Unsuitable => Some(OutcomeDto::Unsuitable),
            Self::Review => None,
        }
    }

    /// True where `answer` meets it.
    pub fn met_by(self, answer: &Answer) -> bool {
        match self.outcome() {
            None => answer.review.needed,
            Some(limit) => answer.verdict.as_ref().is_some_and(|v| v.outcome <= limit),
        }
    }

    /// True where it asks for a verdict, and so for a place.
    pub fn needs_place(self) -> bool {
        self.outcome().is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn definition_is_sound() {
        Cli::command().debug_assert();
    }

    #[test]
    fn negative_ambient_is_no_flag() {
        let cli = Cli::try_parse_from(["vetplate", "decode", "Ex", "--ambient-c", "-40..60"]);
        let Command::Decode(args) = cli.unwrap().command else {
            panic!("not decode")
        };
        assert_eq!(args.place.fields().ambient_c.as_deref(), Some("-40..60"));
    }
}
