//! The queue of plates that wait for a person, and what persons decide.

use super::change::Change;
use super::plates::{PlatesQuery, found};
use crate::answer::{ReviewEntryDto, ReviewPageDto, cursor_text};
use crate::extract::ApiJson;
use crate::problem::{Code, Problem, ProblemDto};
use crate::register::{
    Filter, NewSettlement, Order, PlateRow, ReviewFilter, ReviewState, SettlementKind, Tally,
    settle,
};
use crate::state::AppState;
use crate::typed::{split, usable};
use crate::versioned::tagged;
use axum::Json;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};

/// How long a plate is held where the client does not say, seconds.
const HOLD_S: u32 = 300;
/// Longest hold: nobody's lunch blocks the others.
const MAX_HOLD_S: u32 = 1800;

/// Which part of the queue.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ReviewQuery {
    /// Tag of the location; `-` for plates without one.
    location: Option<String>,
    /// `next` of the page before.
    cursor: Option<String>,
    /// Most plates of the page, 1 to 500.
    #[param(default = 50)]
    limit: Option<usize>,
}

/// The queue, most urgent first: doubt that could let something unsuitable pass leads.
#[utoipa::path(
    get, path = "/v1/review", tag = "review",
    params(ReviewQuery),
    responses(
        (status = 200, description = "One page of the queue", body = ReviewPageDto),
        (status = 422, description = "A key whose value is not taken", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_review(
    State(state): State<AppState>,
    query: Result<Query<ReviewQuery>, QueryRejection>,
) -> Result<Json<ReviewPageDto>, Problem> {
    let Query(query) = query.map_err(|e| Problem::new(Code::InvalidRequest, e.body_text()))?;
    let mut query = PlatesQuery {
        location: query.location,
        cursor: query.cursor,
        limit: query.limit,
        ..PlatesQuery::default()
    }
    .checked()?;
    query.order = Order::Urgency;
    query.filter.review = Some(ReviewFilter::Open);
    let page = state
        .on_desk(move |desk| {
            let page = desk.store().plates(&query)?;
            let waiting = waiting(&desk.store().tallies()?, &query.filter);
            let mut entries = Vec::new();
            for row in &page.plates {
                // Settled between the two looks: it waits no more.
                if let Some(record) = desk.store().plate(row.id)? {
                    let crop = format!("/v1/plates/{}/crop", row.id);
                    entries.push(ReviewEntryDto::new(&record, Some(crop)));
                }
            }
            Ok(ReviewPageDto {
                entries,
                waiting,
                next: page.next.map(cursor_text),
            })
        })
        .await?;
    Ok(Json(page))
}

/// How many plates wait for a person: all, those of a location, or those without one.
fn waiting(tallies: &[Tally], filter: &Filter) -> u64 {
    tallies
        .iter()
        .filter(|tally| matches!(tally.review, ReviewState::Waiting | ReviewState::PutBack))
        .filter(|tally| !filter.no_location || tally.location.is_none())
        .filter(|tally| match (&filter.location, &tally.location) {
            (Some(asked), Some(has)) => asked.eq_ignore_ascii_case(has),
            (Some(_), None) => false,
            (None, _) => true,
        })
        .map(|tally| tally.plates)
        .sum()
}

/// A person's word on a plate.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"who": "A. Inspector", "kind": "corrected", "text": "II 2 G; Ex db IIC T4 Gb", "version": 3}))]
pub(crate) struct SettlementRequest {
    /// Who decides; where the service has accounts, the account counts and this does not.
    who: Option<String>,
    /// `confirmed` (as read), `corrected` (as given here) or `illegible`.
    #[schema(value_type = String)]
    kind: SettlementKind,
    /// The whole plate as it should read; `;` or a line break separates its lines.
    text: Option<String>,
    /// The lines of the plate, in the place of `text`.
    lines: Option<Vec<String>>,
    /// What the person notes.
    note: Option<String>,
    /// The version that was seen, where no If-Match is sent.
    version: Option<i64>,
}

impl SettlementRequest {
    fn settlement(self) -> Result<NewSettlement, Problem> {
        let wrong = |message: &str| Problem::new(Code::InvalidRequest, message);
        let lines = match (self.kind, self.text, self.lines) {
            (SettlementKind::Corrected, Some(text), None) => split(&text),
            (SettlementKind::Corrected, None, Some(lines)) => lines,
            (SettlementKind::Corrected, _, _) => {
                return Err(wrong(
                    "a correction takes the whole plate as `text` or as `lines`, one of them",
                ));
            }
            (_, None, None) => Vec::new(),
            (_, _, _) => {
                return Err(wrong(
                    "`text` and `lines` go with `corrected` alone; what is confirmed stays as \
                     it was read",
                ));
            }
        };
        if self.kind == SettlementKind::Corrected {
            usable(&lines).map_err(|message| wrong(&message))?;
        }
        Ok(NewSettlement {
            kind: self.kind,
            lines,
            note: self.note.filter(|n| !n.trim().is_empty()),
        })
    }
}

/// Confirms or corrects a plate, or declares it illegible; the verdict is made anew.
#[utoipa::path(
    post, path = "/v1/plates/{id}/settlements", tag = "review",
    params(("id" = i64, Path, description = "Number of the plate"), ("If-Match" = Option<String>, Header, description = "ETag of the plate as it was seen")),
    request_body = SettlementRequest,
    responses(
        (status = 201, description = "The plate as it is now", body = PlateRow),
        (status = 404, description = "No such plate", body = ProblemDto, content_type = "application/problem+json"),
        (status = 409, description = "Someone else is deciding on it", body = ProblemDto, content_type = "application/problem+json"),
        (status = 412, description = "Someone changed it in the meantime", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "Not what a settlement takes", body = ProblemDto, content_type = "application/problem+json"),
        (status = 428, description = "The version that was seen is missing", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_settlement(
    State(state): State<AppState>,
    change: Change,
    body: Result<ApiJson<SettlementRequest>, Problem>,
) -> Result<Response, Problem> {
    let ApiJson(request) = body?;
    let id = change.plate;
    let (who, version) = change.by(request.who.as_deref(), request.version)?;
    let settlement = request.settlement()?;
    let record = state
        .on_desk(move |desk| Ok(settle(desk.store(), id, version, settlement, &who)?))
        .await?;
    let created = (StatusCode::CREATED, Json(record.row.clone()));
    Ok(tagged(record.row.version, created))
}

/// Why a plate goes back into the queue.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"who": "A. Inspector", "reason": "wants a sharper photo", "version": 4}))]
pub(crate) struct PutBackRequest {
    /// Who says so; where the service has accounts, the account counts and this does not.
    who: Option<String>,
    /// Why.
    reason: String,
    /// The version that was seen, where no If-Match is sent.
    version: Option<i64>,
}

/// Puts a plate back into the queue; a settled one is reopened.
#[utoipa::path(
    post, path = "/v1/plates/{id}/put-back", tag = "review",
    params(("id" = i64, Path, description = "Number of the plate"), ("If-Match" = Option<String>, Header, description = "ETag of the plate as it was seen")),
    request_body = PutBackRequest,
    responses(
        (status = 200, description = "The plate as it is now", body = PlateRow),
        (status = 404, description = "No such plate", body = ProblemDto, content_type = "application/problem+json"),
        (status = 409, description = "Someone else holds it", body = ProblemDto, content_type = "application/problem+json"),
        (status = 412, description = "Someone changed it in the meantime", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "No reason", body = ProblemDto, content_type = "application/problem+json"),
        (status = 428, description = "The version that was seen is missing", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_put_back(
    State(state): State<AppState>,
    change: Change,
    body: Result<ApiJson<PutBackRequest>, Problem>,
) -> Result<Response, Problem> {
    let ApiJson(request) = body?;
    let id = change.plate;
    let (who, version) = change.by(request.who.as_deref(), request.version)?;
    if request.reason.trim().is_empty() {
        return Err(Problem::new(
            Code::InvalidRequest,
            "`reason` takes a few words that help whoever looks next",
        ));
    }
    let record = state
        .on_desk(move |desk| {
            Ok(desk
                .store()
                .put_back(id, version, request.reason.trim(), &who)?)
        })
        .await?;
    Ok(tagged(record.row.version, Json(record.row)))
}

/// Who takes a plate in hand, and for how long.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"who": "A. Inspector", "seconds": 300}))]
pub(crate) struct HoldRequest {
    /// Who; where the service has accounts, the account counts and this does not.
    who: Option<String>,
    /// For how many seconds, at most 1800; 0 lets it go.
    seconds: Option<u32>,
}

/// Takes a plate in hand, so that nobody else decides on it meanwhile; 0 seconds let it go.
#[utoipa::path(
    post, path = "/v1/plates/{id}/hold", tag = "review",
    params(("id" = i64, Path, description = "Number of the plate")),
    request_body = HoldRequest,
    responses(
        (status = 200, description = "Held: `who` and `until`", body = Object),
        (status = 204, description = "Let go"),
        (status = 404, description = "No such plate", body = ProblemDto, content_type = "application/problem+json"),
        (status = 409, description = "Someone else holds it", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "Nobody, or too long", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_hold(
    State(state): State<AppState>,
    change: Change,
    body: Result<ApiJson<HoldRequest>, Problem>,
) -> Result<Response, Problem> {
    let ApiJson(request) = body?;
    let id = change.plate;
    let who = change.who(request.who.as_deref())?;
    let seconds = request.seconds.unwrap_or(HOLD_S);
    if seconds > MAX_HOLD_S {
        return Err(Problem::new(
            Code::InvalidRequest,
            "`seconds` takes 0 to 1800; hold it again where that is too short",
        ));
    }
    state
        .on_desk(move |desk| {
            found(desk, id)?;
            if seconds == 0 {
                desk.store().let_go(id, &who)?;
                return Ok(StatusCode::NO_CONTENT.into_response());
            }
            let hold = desk.store().hold(id, seconds, &who)?;
            Ok(Json(hold).into_response())
        })
        .await
}
