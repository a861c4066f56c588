//! The photo, its lines, and what read them.

use super::Share;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

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
