//! One of several plates on a photo.

use super::{Answer, LineDto, MarkingDto, PlateDto, ReviewDto, SuspicionDto, VerdictDto};
use serde::Serialize;
use utoipa::ToSchema;

/// One of several plates on a photo, decided by itself. Spans count its own lines.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = OnePlate)]
pub struct OnePlateDto {
    /// Its lines in reading order.
    pub lines: Vec<LineDto>,
    /// Its markings in print order.
    pub markings: Vec<MarkingDto>,
    /// Everything else that it says.
    #[serde(flatten)]
    pub plate: PlateDto,
    /// Its contradictions with itself.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub suspicions: Vec<SuspicionDto>,
    /// Its verdict; left out where no place was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub verdict: Option<VerdictDto>,
    /// Whether a person must look at it, and why.
    pub review: ReviewDto,
}

impl OnePlateDto {
    /// The plate of which `answer` speaks.
    pub fn new(answer: &Answer) -> Self {
        Self {
            lines: answer.lines.clone(),
            markings: answer.markings.clone(),
            plate: answer.plate.clone(),
            suspicions: answer.suspicions.clone(),
            verdict: answer.verdict.clone(),
            review: answer.review.clone(),
        }
    }
}
