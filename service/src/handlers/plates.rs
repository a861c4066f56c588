//! Plates of the register: list, one with its history, tag and location.

use super::change::Change;
use crate::answer::{KeyError, OutcomeDto, PlateDetailDto, PlatePageDto, cursor_from};
use crate::desk::Desk;
use crate::extract::ApiJson;
use crate::problem::{Code, Problem, ProblemDto};
use crate::register::{
    Order, OutcomeFilter, PlateId, PlateQuery, PlateRecord, PlateRow, ReviewFilter, ReviewState,
    Subject,
};
use crate::state::AppState;
use crate::versioned::{tagged, unchanged};
use axum::Json;
use axum::extract::rejection::{PathRejection, QueryRejection};
use axum::extract::{Path, Query, State};
use axum::http::HeaderMap;
use axum::response::Response;
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};

/// Most plates of a page.
const MAX_LIMIT: usize = 500;

/// Which plates.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PlatesQuery {
    /// Tag of the location; `-` for plates without one.
    pub(crate) location: Option<String>,
    /// `unsuitable`, `undecided`, `conditional`, `suitable`, or `not-judged`.
    pub(crate) outcome: Option<String>,
    /// `not_needed`, `waiting`, `put_back`, `settled`, or `open` for what waits or was put back.
    pub(crate) review: Option<String>,
    /// Part of a tag, serial number, certificate, maker or type.
    pub(crate) text: Option<String>,
    /// `id` (as they came) or `urgency` (most urgent review first).
    pub(crate) order: Option<String>,
    /// `next` of the page before.
    pub(crate) cursor: Option<String>,
    /// Most plates of the page, 1 to 500.
    #[param(default = 50)]
    pub(crate) limit: Option<usize>,
}

impl PlatesQuery {
    /// The query for the store.
    ///
    /// # Errors
    ///
    /// [`Code::InvalidRequest`] with every key whose value is none of those it takes.
    pub(crate) fn checked(&self) -> Result<PlateQuery, Problem> {
        let mut errors = Vec::new();
        let mut wrong = |key: &str, value: &str, message: &str| {
            errors.push(KeyError {
                key: key.to_owned(),
                value: value.to_owned(),
                message: format!("`{key}` {message}"),
            });
        };
        let mut query = PlateQuery::default();
        query.filter.text = self.text.clone().filter(|t| !t.trim().is_empty());
        match self.location.as_deref() {
            None | Some("") => {}
            Some("-") => query.filter.no_location = true,
            Some(tag) => query.filter.location = Some(tag.to_owned()),
        }
        match self.outcome.as_deref() {
            None | Some("") => {}
            Some("not-judged") => query.filter.outcome = Some(OutcomeFilter::NotJudged),
            Some(name) => match OutcomeDto::from_name(name) {
                Some(outcome) => query.filter.outcome = Some(OutcomeFilter::Is(outcome)),
                None => wrong(
                    "outcome",
                    name,
                    "takes unsuitable, undecided, conditional, suitable or not-judged",
                ),
            },
        }
        match self.review.as_deref() {
            None | Some("") => {}
            Some("open") => query.filter.review = Some(ReviewFilter::Open),
            Some(name) => match ReviewState::from_name(name) {
                Some(state) => query.filter.review = Some(ReviewFilter::Is(state)),
                None => wrong(
                    "review",
                    name,
                    "takes not_needed, waiting, put_back, settled or open",
                ),
            },
        }
        match self.order.as_deref() {
            None | Some("" | "id") => {}
            Some("urgency") => query.order = Order::Urgency,
            Some(other) => wrong("order", other, "takes id or urgency"),
        }
        if let Some(cursor) = self.cursor.as_deref().filter(|c| !c.is_empty()) {
            query.after = cursor_from(cursor);
            if query.after.is_none() {
                wrong(
                    "cursor",
                    cursor,
                    "takes `next` of the page before, unchanged",
                );
            }
        }
        if let Some(limit) = self.limit {
            query.limit = limit;
            if !(1..=MAX_LIMIT).contains(&limit) {
                wrong("limit", &limit.to_string(), "takes 1 to 500");
            }
        }
        if errors.is_empty() {
            Ok(query)
        } else {
            Err(Problem::fields(Code::InvalidRequest, errors))
        }
    }
}

/// The number in a path.
///
/// # Errors
///
/// [`Code::NotFound`]: what is no number names nothing.
pub(crate) fn id(path: Result<Path<i64>, PathRejection>) -> Result<PlateId, Problem> {
    path.map(|Path(id)| PlateId(id)).map_err(|_| {
        Problem::new(
            Code::NotFound,
            "plates are named by numbers; GET /v1/plates lists them",
        )
    })
}

/// The plate.
///
/// # Errors
///
/// [`Code::NotFound`].
pub(crate) fn found(desk: &Desk, id: PlateId) -> Result<PlateRecord, Problem> {
    desk.store().plate(id)?.ok_or_else(|| {
        Problem::new(
            Code::NotFound,
            format!("there is no plate {id}; GET /v1/plates lists them"),
        )
    })
}

/// Lists plates, page by page.
#[utoipa::path(
    get, path = "/v1/plates", tag = "register",
    params(PlatesQuery),
    responses(
        (status = 200, description = "One page", body = PlatePageDto),
        (status = 422, description = "A key whose value is not taken", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_plates(
    State(state): State<AppState>,
    query: Result<Query<PlatesQuery>, QueryRejection>,
) -> Result<Json<PlatePageDto>, Problem> {
    let Query(query) = query.map_err(|e| Problem::new(Code::InvalidRequest, e.body_text()))?;
    let query = query.checked()?;
    let page = state
        .on_desk(move |desk| Ok(desk.store().plates(&query)?))
        .await?;
    Ok(Json((&page).into()))
}

/// One plate with all that is known of it, and its history.
#[utoipa::path(
    get, path = "/v1/plates/{id}", tag = "register",
    params(("id" = i64, Path, description = "Number of the plate")),
    responses(
        (status = 200, description = "The plate; its version is the ETag", body = PlateDetailDto),
        (status = 304, description = "It is as the client has it (If-None-Match)"),
        (status = 404, description = "No such plate", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_plate(
    State(state): State<AppState>,
    path: Result<Path<i64>, PathRejection>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    state.desk()?;
    let id = id(path)?;
    let detail = state.on_desk(move |desk| detail(desk, id)).await?;
    let version = detail.row.version;
    Ok(unchanged(&headers, version).unwrap_or_else(|| tagged(version, Json(detail))))
}

/// Everything that is known of a plate.
pub(crate) fn detail(desk: &Desk, id: PlateId) -> Result<PlateDetailDto, Problem> {
    let record = found(desk, id)?;
    let store = desk.store();
    Ok(PlateDetailDto {
        row: record.row,
        verdicts: store.verdicts(id)?,
        settlements: store.settlements(id)?,
        inspections: store.inspections(id)?,
        history: store.history(Subject::Plate(id))?,
        answer: record.answer,
        differences: record.differences,
        put_back: record.put_back,
        hold: record.hold,
        settlement: record.settlement,
        photo_list: record.photos,
        beside: record.beside,
    })
}

/// What is to be changed about where a plate belongs.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"who": "A. Inspector", "tag": "P-101", "location": "STILL-1", "version": 3}))]
pub(crate) struct DescribeRequest {
    /// Who says so; where the service has accounts, the account counts and this does not.
    who: Option<String>,
    /// Tag of the equipment; left out to leave it as it is.
    tag: Option<String>,
    /// Tag of the location; left out to leave it as it is.
    location: Option<String>,
    /// The version that was seen, where no If-Match is sent.
    version: Option<i64>,
}

/// Gives a plate its tag or its location; the verdict follows the location.
#[utoipa::path(
    patch, path = "/v1/plates/{id}", tag = "register",
    params(("id" = i64, Path, description = "Number of the plate"), ("If-Match" = Option<String>, Header, description = "ETag of the plate as it was seen")),
    request_body = DescribeRequest,
    responses(
        (status = 200, description = "The plate as it is now", body = PlateRow),
        (status = 404, description = "No such plate or location", body = ProblemDto, content_type = "application/problem+json"),
        (status = 409, description = "Someone else holds it", body = ProblemDto, content_type = "application/problem+json"),
        (status = 412, description = "Someone changed it in the meantime", body = ProblemDto, content_type = "application/problem+json"),
        (status = 428, description = "The version that was seen is missing", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn patch_plate(
    State(state): State<AppState>,
    change: Change,
    body: Result<ApiJson<DescribeRequest>, Problem>,
) -> Result<Response, Problem> {
    let ApiJson(request) = body?;
    let id = change.plate;
    let (who, version) = change.by(request.who.as_deref(), request.version)?;
    let record = state
        .on_desk(move |desk| {
            let (tag, location) = (request.tag.as_deref(), request.location.as_deref());
            desk.store().describe(id, version, tag, location, &who)?;
            desk.rejudge(id, &who)?;
            found(desk, id)
        })
        .await?;
    Ok(tagged(record.row.version, Json(record.row)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_wrong_key_is_named() {
        let query = PlatesQuery {
            outcome: Some("good".to_owned()),
            review: Some("later".to_owned()),
            order: Some("size".to_owned()),
            cursor: Some("x".to_owned()),
            limit: Some(0),
            ..PlatesQuery::default()
        };
        let problem = query.checked().unwrap_err();
        assert_eq!(problem.code(), Code::InvalidRequest);
        let query = PlatesQuery {
            outcome: Some("not-judged".to_owned()),
            location: Some("-".to_owned()),
            review: Some("open".to_owned()),
            cursor: Some("5.7".to_owned()),
            ..PlatesQuery::default()
        };
        let query = query.checked().unwrap();
        assert!(query.filter.no_location);
        assert_eq!(query.filter.review, Some(ReviewFilter::Open));
        assert_eq!(query.after.map(|c| c.id), Some(PlateId(7)));
    }
}
