//! The photo, its lines, and what read them.

use super::{LineFlawDto, Share};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use vetplate_parser::Cover;

/// The photo as it was taken in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(as = Photo)]
pub struct PhotoDto {
    /// Name as given; left out where none was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// SHA-256 of the bytes, hexadecimal.
    pub sha256: String,
    /// Width upright, pixels.
    pub width: u32,
    /// Height upright, pixels.
    pub height: u32,
    /// When it was taken, local time as the camera wrote it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub taken_at: Option<String>,
    /// Latitude and longitude in degrees, north and east positive.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gps: Option<[f64; 2]>,
    /// What was done to the photo, such as a reduction in size.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
}

/// One line of text.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(as = Line)]
pub struct LineDto {
    /// The most probable characters, nothing repaired.
    pub text: String,
    /// Probability that every character is right; 1 for typed text.
    pub confidence: Share,
    /// Corners in pixels of the upright photo, clockwise from the top left of the text;
    /// left out where the text was typed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub quad: Option<[[f64; 2]; 4]>,
    /// Places of the line where characters may stand that cannot be seen.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hidden: Vec<HiddenDto>,
    /// What makes the line hard to read.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub flaws: Vec<LineFlawDto>,
    /// Number of its plate, from 0, where several are on the photo.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plate: Option<usize>,
}

/// A place of a line where characters may stand that cannot be seen: what is there is illegible, not
/// absent.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(as = Hidden)]
pub struct HiddenDto {
    /// They would stand before this character of the line, counted from 0 in Unicode characters; the
    /// number of characters means at the end.
    pub before: usize,
    /// How many may stand there at most.
    pub fits: usize,
    /// Why they cannot be seen.
    pub why: CoverDto,
    /// Corners in pixels of the upright photo, clockwise from the top left of the text.
    pub quad: [[f64; 2]; 4],
}

/// Why characters cannot be seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[schema(as = Cover)]
pub enum CoverDto {
    /// Something lies over the plate: paint, a label, filler, rust.
    Patch,
    /// Light so bright that nothing stands out.
    Glare,
    /// There is ink, or a rough surface, in which no character can be made out.
    Worn,
    /// A plain gap, wider than any other of its line.
    Gap,
    /// The photo ends here.
    Frame,
}

impl From<Cover> for CoverDto {
    fn from(cover: Cover) -> Self {
        match cover {
            Cover::Patch => Self::Patch,
            Cover::Glare => Self::Glare,
            Cover::Worn => Self::Worn,
            Cover::Gap => Self::Gap,
            Cover::Frame => Self::Frame,
        }
    }
}

impl From<CoverDto> for Cover {
    fn from(cover: CoverDto) -> Self {
        match cover {
            CoverDto::Patch => Self::Patch,
            CoverDto::Glare => Self::Glare,
            CoverDto::Worn => Self::Worn,
            CoverDto::Gap => Self::Gap,
            CoverDto::Frame => Self::Frame,
        }
    }
}

/// One bundled model.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = Model)]
pub struct ModelDto {
    /// What it does.
    pub name: String,
    /// Version of what it was made from.
    pub version: String,
    /// SHA-256 of the file, hexadecimal.
    pub sha256: String,
}

/// What made an answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Versions)]
pub struct VersionsDto {
    /// Version of the program; its tables and rules go with it.
    pub vetplate: &'static str,
    /// The models that read the photo; left out where the text was typed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub models: Vec<ModelDto>,
}

impl VersionsDto {
    /// This program with the models given.
    pub fn new(models: Vec<ModelDto>) -> Self {
        Self {
            vetplate: env!("CARGO_PKG_VERSION"),
            models,
        }
    }
}
