//! How many plates there are, and where.

use crate::answer::OutcomeDto;
use crate::problem::{Problem, ProblemDto};
use crate::register::Tally;
use crate::state::AppState;
use axum::Json;
use axum::extract::State;
use serde::Serialize;
use utoipa::ToSchema;

/// How many plates have one location, outcome and state of review.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = PlateCount)]
pub(crate) struct CountDto {
    /// Tag of the location; left out for plates without one.
    #[serde(skip_serializing_if = "Option::is_none")]
    location: Option<String>,
    /// The verdict; left out where no place is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    outcome: Option<OutcomeDto>,
    /// `not_needed`, `waiting`, `put_back` or `settled`.
    review: &'static str,
    /// How many.
    plates: u64,
}

/// The plates of the register, counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = PlateCounts)]
pub(crate) struct CountsDto {
    /// One count for each combination that there is, by location.
    counts: Vec<CountDto>,
}

impl From<Tally> for CountDto {
    fn from(tally: Tally) -> Self {
        Self {
            location: tally.location,
            outcome: tally.outcome,
            review: tally.review.name(),
            plates: tally.plates,
        }
    }
}

/// Counts the plates of the register by location, outcome and state of review.
#[utoipa::path(
    get, path = "/v1/plates/counts", tag = "register",
    responses(
        (status = 200, description = "The counts", body = CountsDto),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_counts(State(state): State<AppState>) -> Result<Json<CountsDto>, Problem> {
    let tallies = state.on_desk(|desk| Ok(desk.store().tallies()?)).await?;
    let counts = tallies.into_iter().map(Into::into).collect();
    Ok(Json(CountsDto { counts }))
}
