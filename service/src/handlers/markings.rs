//! Markings that are typed.

use crate::answer::{Answer, PlaceDto, place_fields};
use crate::extract::ApiJson;
use crate::language::{Asked, LanguageQuery, Said};
use crate::measures;
use crate::pipeline::read_text;
use crate::problem::{Code, Problem, ProblemDto};
use crate::state::AppState;
use crate::typed::{split, usable};
use axum::extract::State;
use serde::Deserialize;
use serde_json::{Map, Value};
use utoipa::ToSchema;

/// A plate as text, by `text` or by `lines`.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"text": "Ex db eb IIC T4 Gb", "place": {"zone": "1", "gas": "ethanol"}}))]
pub(crate) struct MarkingsRequest {
    /// The plate; `;` or a line break separates its lines.
    text: Option<String>,
    /// The lines of the plate, in the place of `text`.
    lines: Option<Vec<String>>,
    /// Place that the equipment is to stand in; without it there is no verdict.
    #[schema(value_type = Option<PlaceDto>)]
    place: Option<Map<String, Value>>,
    /// Tag of a location of the service's site; `place` outranks what the site says.
    location: Option<String>,
    /// Language of the sentences: `en`, `de` or `fr`; outranks query and `Accept-Language`.
    language: Option<String>,
}

impl MarkingsRequest {
    fn plate(self) -> Result<Vec<String>, Problem> {
        let wrong = |message: String| Problem::new(Code::InvalidRequest, message);
        let lines = match (self.text, self.lines) {
            (Some(text), None) => split(&text),
            (None, Some(lines)) => lines,
            (Some(_), Some(_)) => {
                return Err(wrong("give `text` or `lines`, not both".to_owned()));
            }
            (None, None) => {
                return Err(wrong(
                    "give the plate as `text`, or as `lines`, a list of text".to_owned(),
                ));
            }
        };
        usable(&lines).map_err(wrong)?;
        Ok(lines)
    }
}

/// Decodes a marking and, with a place, judges it.
#[utoipa::path(
    post, path = "/v1/markings", tag = "readings",
    params(LanguageQuery),
    request_body = MarkingsRequest,
    responses(
        (status = 200, description = "The plate as far as it could be decoded", body = Answer),
        (status = 400, description = "No JSON", body = ProblemDto, content_type = "application/problem+json"),
        (status = 413, description = "Too large", body = ProblemDto, content_type = "application/problem+json"),
        (status = 415, description = "Not announced as JSON", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "Unknown keys, no text, or a place that cannot be used", body = ProblemDto, content_type = "application/problem+json"),
        (status = 503, description = "Busy", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_marking(
    State(state): State<AppState>,
    asked: Asked,
    ApiJson(mut request): ApiJson<MarkingsRequest>,
) -> Result<Said<Answer>, Problem> {
    let language = asked.or_body(request.language.as_deref());
    let place = request.place.take().unwrap_or_default();
    let place = place_fields(&place).map_err(Problem::place)?;
    let place = state.place(place, request.location.as_deref())?;
    let lines = request.plate()?;
    let ticket = state.gate().enter()?;
    let answer = ticket
        .run(move || read_text(&lines, place.as_ref(), language))
        .await?;
    measures::reading("text", &answer);
    Ok(Said(language, answer))
}
