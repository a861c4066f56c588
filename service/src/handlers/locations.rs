//! Locations of the site.

use crate::access::Acting;
use crate::answer::{LocationDto, LocationsDto, PlaceDto, place_fields};
use crate::extract::ApiJson;
use crate::pipeline::GivenPlace;
use crate::problem::{Code, Problem, ProblemDto};
use crate::register::LocationFacts;
use crate::site::{Site, SiteError};
use crate::state::AppState;
use crate::versioned::{seen, tagged, unchanged};
use axum::Json;
use axum::extract::rejection::PathRejection;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header::IF_MATCH};
use axum::response::Response;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use utoipa::ToSchema;

/// Longest tag, characters.
const MAX_TAG_CHARS: usize = 200;

/// What a tag is.
const TAG: &str = "a tag has 1 to 200 characters and is not \"-\"";

fn is_tag(tag: &str) -> bool {
    let length = tag.chars().count();
    (1..=MAX_TAG_CHARS).contains(&length) && tag != "-" && !tag.chars().any(char::is_control)
}

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
    if !is_tag(&tag) {
        return Err(Problem::new(Code::InvalidRequest, TAG));
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

/// A site file as text.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"who": "A. Inspector", "csv": "tag,description,zone,gas\nSH-01,Still house,1,ethanol\n"}))]
pub(crate) struct SiteRequest {
    /// Who says so; where the service has accounts, the account counts and this does not.
    who: Option<String>,
    /// A site file as CSV; it or `toml`.
    csv: Option<String>,
    /// A site file as TOML. A list of certificates that it names is not taken.
    toml: Option<String>,
}

/// What a site file did.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = SiteTaken)]
pub(crate) struct SiteTakenDto {
    /// Locations of the file.
    locations: usize,
    /// Those that are new.
    added: usize,
    /// Those that were known and are another place now.
    changed: usize,
}

/// Takes the locations of a site file: all of them, or none where one cannot be used. Locations that
/// the file does not name stay as they are.
#[utoipa::path(
    post, path = "/v1/locations", tag = "locations",
    request_body = SiteRequest,
    responses(
        (status = 200, description = "What the file did", body = SiteTakenDto),
        (status = 413, description = "Too large", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "A row that cannot be used", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_locations(
    State(state): State<AppState>,
    acting: Acting,
    body: Result<ApiJson<SiteRequest>, Problem>,
) -> Result<Json<SiteTakenDto>, Problem> {
    state.desk()?;
    let ApiJson(request) = body?;
    let who = acting.who(request.who.as_deref())?;
    let (text, is_toml) = match (&request.csv, &request.toml) {
        (Some(text), None) => (text, false),
        (None, Some(text)) => (text, true),
        _ => {
            return Err(Problem::new(
                Code::InvalidRequest,
                "the text of a site file goes in as `csv` or as `toml`, one of them",
            ));
        }
    };
    let wrong = |e: &SiteError| Problem::new(Code::InvalidRequest, e.without_path());
    let site = Site::from_text(text, is_toml).map_err(|e| wrong(&e))?;
    for location in site.locations() {
        if let Some(fault) = site.faults(location).first() {
            return Err(wrong(fault));
        }
        if !is_tag(&location.tag) {
            return Err(Problem::new(
                Code::InvalidRequest,
                format!("{}: {TAG}", location.at),
            ));
        }
    }
    let taken = state
        .on_desk(move |desk| {
            let mut taken = SiteTakenDto {
                locations: site.locations().len(),
                added: 0,
                changed: 0,
            };
            for location in site.locations() {
                let facts = LocationFacts {
                    tag: location.tag.clone(),
                    description: location.description.clone(),
                    place: location.place.clone(),
                };
                let before = desk.store().location(&facts.tag)?.map(|b| b.version);
                let record = desk.store().put_location(&facts, &who)?;
                // Also where nothing changed: a try before this one may have been broken off.
                desk.rejudge_location(&facts.tag, &who)?;
                match before {
                    None => taken.added += 1,
                    Some(version) if version != record.version => taken.changed += 1,
                    Some(_) => {}
                }
            }
            Ok(taken)
        })
        .await?;
    Ok(Json(taken))
}
