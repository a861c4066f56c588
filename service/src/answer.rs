//! The reading as JSON, schema 1: what people and other programs hold on to.
//!
//! Every type here mirrors a piece of the schema. Keys with no value are left out,
//! except `schema`, `lines`, `markings` and `review`. The order of keys is that of the
//! fields, and numbers are rounded, so that the same input and version give the same bytes.

mod build;
mod code;
mod imports;
mod inspections;
mod judgement;
mod loops;
mod marking;
mod number;
mod one_plate;
mod photo;
mod place;
mod plate;
mod register;
mod require;
mod spans;
mod substance;
mod verdict;

pub use build::{Source, answer};
pub use code::{CodeDto, CodeKindDto};
pub(crate) use imports::resumable;
pub use imports::{ImportDetailDto, ImportDto, ImportProblemDto, ImportsDto};
pub use inspections::{DraftDto, DraftItemDto, InspectionsDto};
pub use judgement::{FlawDto, FlawKindDto, JudgementDto, LetterSizeDto, LineFlawDto};
pub use loops::{
    LoopCableDto, LoopCheckDto, LoopDeviceDto, LoopDto, LoopLineDto, LoopPlateDto, LoopPlates,
    LoopSourceDto, LoopValueDto, PlateInput, check_loop, check_loop_with,
};
pub use marking::{
    Alternative, AmbientClassDto, AtexDto, FieldDto, MarkingDto, PieceDto, ProtectionDto,
    RepairDto, TemperatureDto,
};
pub(crate) use number::rounded;
pub use number::{Number, Share};
pub use one_plate::OnePlateDto;
pub use photo::{CoverDto, HiddenDto, LineDto, ModelDto, PhotoDto, VersionsDto};
pub(crate) use place::{KEYS, set_field, unknown_key};
pub use place::{KeyError, PlaceDto, PlaceNumber, PlaceRange, place_fields};
pub use plate::{CertificateDto, EntityDto, PlateDto, SuspicionDto};
pub use register::{
    LocationDto, LocationsDto, PlateDetailDto, PlatePageDto, ReviewEntryDto, ReviewLineDto,
    ReviewPageDto, UploadDto,
};
pub(crate) use register::{cursor_from, cursor_text};
pub use require::{NeedDto, RequirementDto, TypeDto};
pub use spans::SpanDto;
pub use substance::{
    DustDto, FoundDto, GasDto, GasGroupDto, RangeDto, SubstanceDto, SubstancesDto, ValueDto,
};
pub use verdict::{
    DecidingDto, GroundDto, LookDto, OutcomeDto, ReadingOutcomeDto, ReviewDto, VerdictDto,
};

use serde::Serialize;
use utoipa::ToSchema;

/// Number of the schema; it rises when a key is renamed or removed.
pub const SCHEMA: u32 = 1;

/// One plate, read and, where a place was given, judged.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Reading)]
pub struct Answer {
    /// Number of this schema.
    pub schema: u32,
    /// Language of the sentences: `en`, `de` or `fr`. Keys, ids and names of checks stay English.
    pub language: &'static str,
    /// The photo; left out where the text was typed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub photo: Option<PhotoDto>,
    /// Lines of text in reading order.
    pub lines: Vec<LineDto>,
    /// Machine-readable codes beside them. What they say never takes the place of what is printed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub codes: Vec<CodeDto>,
    /// Markings in print order, one an atmosphere.
    pub markings: Vec<MarkingDto>,
    /// Everything else that the plate says.
    #[serde(flatten)]
    pub plate: PlateDto,
    /// The rest of the plate in plain words: certificates, ambient, enclosure.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub plate_pieces: Vec<PieceDto>,
    /// Contradictions of the plate with itself.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub suspicions: Vec<SuspicionDto>,
    /// The verdict; left out where no place was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub verdict: Option<VerdictDto>,
    /// Whether a person must look, and why.
    pub review: ReviewDto,
    /// Each plate, where several are on the photo. The other keys then speak of the one with the worst
    /// outcome; without a place, of the first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub plates: Vec<OnePlateDto>,
    /// What always has to be kept in mind.
    pub cautions: Vec<String>,
    /// What made this answer.
    pub versions: VersionsDto,
}
