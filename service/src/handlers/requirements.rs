//! What a place asks for.

use crate::answer::{PlaceDto, RequirementDto, place_fields};
use crate::extract::ApiJson;
use crate::language::{Asked, LanguageQuery, Said};
use crate::pipeline::requirement;
use crate::problem::{Code, Problem, ProblemDto};
use crate::state::AppState;
use axum::extract::State;
use serde::Deserialize;
use serde_json::{Map, Value};
use utoipa::ToSchema;

/// A place to be equipped.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"place": {"zone": "1", "gas": "ethanol"}}))]
pub(crate) struct RequirementsRequest {
    /// The place.
    #[schema(value_type = Option<PlaceDto>)]
    place: Option<Map<String, Value>>,
    /// Tag of a location of the service's site; `place` outranks what the site says.
    location: Option<String>,
    /// Language of the sentences: `en`, `de` or `fr`; outranks query and `Accept-Language`.
    language: Option<String>,
}

/// The least marking that suits a place, and the types of protection that give it.
#[utoipa::path(
    post, path = "/v1/requirements", tag = "readings",
    params(LanguageQuery),
    request_body = RequirementsRequest,
    responses(
        (status = 200, description = "What the place asks for", body = RequirementDto),
        (status = 400, description = "No JSON", body = ProblemDto, content_type = "application/problem+json"),
        (status = 413, description = "Too large", body = ProblemDto, content_type = "application/problem+json"),
        (status = 415, description = "Not announced as JSON", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "A place that is empty or cannot be used", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_requirement(
    State(state): State<AppState>,
    asked: Asked,
    ApiJson(request): ApiJson<RequirementsRequest>,
) -> Result<Said<RequirementDto>, Problem> {
    let language = asked.or_body(request.language.as_deref());
    let given = request.place.unwrap_or_default();
    let given = place_fields(&given).map_err(Problem::place)?;
    let place = state
        .place(given, request.location.as_deref())?
        .ok_or_else(|| {
            Problem::new(
                Code::InvalidPlace,
                "the place is empty; give its zone and what is present there, or the tag of a \
                 location",
            )
        })?;
    Ok(Said(language, requirement(&place, language)))
}
