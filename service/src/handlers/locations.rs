//! Locations of the site.

use crate::access::Acting;
use crate::answer::{LocationDto, LocationsDto, PlaceDto, place_fields};
use crate::extract::ApiJson;
use crate::pipeline::GivenPlace;
use crate::problem::{Code, Problem, ProblemDto};
use crate::register::LocationFacts;
use crate::state::AppState;
use crate::versioned::{seen, tagged, unchanged};
use axum::Json;
use axum::extract::rejection::PathRejection;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header::IF_MATCH};
use axum::response::Response;
use serde::Deserialize;
use serde_json::{Map, Value};
use utoipa::ToSchema;

/// Longest tag, characters.
const MAX_TAG_CHARS: usize = 200;

/// Every location of the register.
#[utoipa::path(
    get, path = "/v1/locations", tag = "locations",
    responses(
        (status = 200, description = "The locations, by tag", body = LocationsDto),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_locations(
    State(state): State<AppState>,
) -> Result<Json<LocationsDto>, Problem> {
    let locations = state.on_desk(|desk| Ok(desk.store().locations()?)).await?;
    Ok(Json(LocationsDto {
        locations: locations.iter().map(Into::into).collect(),
    }))
}

/// The tag in a path.
///
/// # Errors
///
/// [`Code::NotFound`]: what is no text names nothing.
fn named(path: Result<Path<String>, PathRejection>) -> Result<String, Problem> {
    path.map(|Path(tag)| tag).map_err(|_| {
        Problem::new(
            Code::NotFound,
            "locations are named by UTF-8 text; GET /v1/locations lists them",
        )
    })
}

/// One location.
#[utoipa::path(
    get, path = "/v1/locations/{tag}", tag = "locations",
    params(("tag" = String, Path, description = "Tag of the location")),
    responses(
        (status = 200, description = "The location; its version is the ETag", body = LocationDto),
        (status = 304, description = "It is as the client has it (If-None-Match)"),
        (status = 404, description = "No such location", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_location(
    State(state): State<AppState>,
    tag: Result<Path<String>, PathRejection>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let tag = named(tag)?;
    let wanted = tag.clone();
    let record = state
        .on_desk(move |desk| Ok(desk.store().location(&wanted)?))
        .await?
        .ok_or_else(|| {
            Problem::new(
                Code::NotFound,
                format!("there is no location {tag:?}; GET /v1/locations lists them"),
            )
        })?;
    let response = unchanged(&headers, record.version);
    Ok(response.unwrap_or_else(|| tagged(record.version, Json(LocationDto::from(&record)))))
}

/// What a location is to be.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = PutLocation, example = json!({"who": "A. Inspector", "description": "Still house", "place": {"zone": "1", "gas": "ethanol"}}))]
pub(crate) struct LocationRequest {
    /// Who says so; where the service has accounts, the account counts and this does not.
    who: Option<String>,
    /// What it is called.
    description: Option<String>,
    /// The place; left out where it is not known.
    #[schema(value_type = Option<PlaceDto>)]
    place: Option<Map<String, Value>>,
}

/// Adds a location or changes it. With If-Match only the version that was seen is changed.
#[utoipa::path(
    put, path = "/v1/locations/{tag}", tag = "locations",
    params(("tag" = String, Path, description = "Tag of the location"), ("If-Match" = Option<String>, Header, description = "ETag of the location as it was seen")),
    request_body = LocationRequest,
    responses(
        (status = 200, description = "The location as it is now", body = LocationDto),
        (status = 201, description = "The location is new", body = LocationDto),
        (status = 404, description = "The tag is no text", body = ProblemDto, content_type = "application/problem+json"),
        (status = 412, description = "Someone changed it in the meantime", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "The place cannot be used", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn put_location(
    State(state): State<AppState>,
    acting: Acting,
    tag: Result<Path<String>, PathRejection>,
    headers: HeaderMap,
    body: Result<ApiJson<LocationRequest>, Problem>,
) -> Result<Response, Problem> {
    state.desk()?;
    let ApiJson(request) = body?;
    let who = acting.who(request.who.as_deref())?;
    let tag = named(tag)?.trim().to_owned();
    let is_tag = !tag.is_empty() && tag != "-" && tag.chars().count() <= MAX_TAG_CHARS;
    if !is_tag || tag.chars().any(char::is_control) {
        return Err(Problem::new(
            Code::InvalidRequest,
            "a tag has 1 to 200 characters and is not \"-\"",
        ));
    }
    let place = place_fields(&request.place.unwrap_or_default()).map_err(Problem::place)?;
    GivenPlace::check(place.clone()).map_err(Problem::place)?;
    let expected = headers
        .contains_key(IF_MATCH)
        .then(|| seen(&headers, None))
        .transpose()?;
    let facts = LocationFacts {
        tag,
        description: request.description.filter(|d| !d.trim().is_empty()),
        place,
    };
    let (is_new, record) = state
        .on_desk(move |desk| {
            let before = desk.store().location(&facts.tag)?;
            let current = before.as_ref().map(|b| b.version);
            if expected.is_some() && expected != current {
                return Err(Problem::new(
                    Code::Changed,
                    match current {
                        Some(version) => format!(
                            "the location has version {version} by now; look at it again and \
                             decide anew"
                        ),
                        None => "there is no such location any more".to_owned(),
                    },
                ));
            }
            let record = desk.store().put_location(&facts, &who)?;
            desk.rejudge_location(&facts.tag, &who)?;
            Ok((before.is_none(), record))
        })
        .await?;
    let status = if is_new {
        StatusCode::CREATED
    } else {
        StatusCode::OK
    };
    Ok(tagged(
        record.version,
        (status, Json(LocationDto::from(&record))),
    ))
}
