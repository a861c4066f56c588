//! Inspections of a plate.

use super::plates::{found, id};
use crate::access::Acting;
use crate::answer::{DraftDto, InspectionsDto};
use crate::extract::ApiJson;
use crate::inspection::{InspectionError, MAX_MONTHS, Occasion};
use crate::papers::{Answers, inspection_of, prefilled};
use crate::problem::{Code, Problem, ProblemDto};
use crate::register::{Grade, InspectionId, InspectionKind, Item};
use crate::state::AppState;
use axum::Json;
use axum::extract::rejection::{PathRejection, QueryRejection};
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use jiff::civil::Date;
use jiff::tz::TimeZone;
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};

/// Which inspection is to be begun.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct DraftQuery {
    /// `visual`, `close` or `detailed`: the answer then has a draft with the items of this
    /// grade.
    #[param(value_type = Option<String>)]
    grade: Option<Grade>,
}

/// What was recorded; with a grade, what an inspection of now begins with.
#[utoipa::path(
    get, path = "/v1/plates/{id}/inspections", tag = "register",
    params(("id" = i64, Path, description = "Number of the plate"), DraftQuery),
    responses(
        (status = 200, description = "The inspections, and the draft that was asked for", body = InspectionsDto),
        (status = 404, description = "No such plate", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "A grade that there is not", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_inspections(
    State(state): State<AppState>,
    path: Result<Path<i64>, PathRejection>,
    query: Result<Query<DraftQuery>, QueryRejection>,
) -> Result<Json<InspectionsDto>, Problem> {
    state.desk()?;
    let id = id(path)?;
    let Query(query) = query.map_err(|e| Problem::new(Code::InvalidRequest, e.body_text()))?;
    let today = state.environment().clock().to_zoned(TimeZone::UTC).date();
    let found = state
        .on_desk(move |desk| {
            let record = found(desk, id)?;
            let draft = query
                .grade
                .map(|grade| {
                    prefilled(
                        &record,
                        &Occasion {
                            grade,
                            kind: InspectionKind::Periodic,
                            date: today,
                            // Nobody has signed yet; what is posted must name them.
                            inspector: "-",
                            competence: "-",
                            months: MAX_MONTHS,
                        },
                    )
                })
                .transpose()?;
            Ok(InspectionsDto {
                inspections: desk.store().inspections(id)?,
                draft: draft.map(DraftDto::new),
            })
        })
        .await?;
    Ok(Json(found))
}

/// An inspection that is to be recorded.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "grade": "close", "kind": "periodic", "date": "2026-03-02", "inspector": "A. Inspector",
    "competence": "course of 2025", "months": 36,
    "items": [{"item": "eq-level", "result": "pass"}],
    "findings": [{"text": "gland loose", "priority": 2}]
}))]
pub(crate) struct InspectionRequest {
    /// Who records it; the inspector where nobody else is named. Where the service has accounts,
    /// the account counts and this does not.
    who: Option<String>,
    /// `visual`, `close` or `detailed`.
    #[schema(value_type = String)]
    grade: Grade,
    /// `initial`, `periodic`, `sample` or `after_repair`.
    #[schema(value_type = String)]
    kind: InspectionKind,
    /// The day.
    #[schema(value_type = String, format = Date)]
    date: Date,
    /// Who looked.
    inspector: String,
    /// What shows that they are competent.
    competence: String,
    /// Months until the next one, 1 to 36.
    months: Option<u32>,
    /// What the inspector answers: `item`, `result`, `note`. Items that are left out stay as the
    /// plate answers them, or not checked.
    #[serde(default)]
    #[schema(value_type = Vec<Object>)]
    items: Vec<Item>,
    /// What is to be put right: `text`, `priority` (1 to 4), `due`; in the place of what the
    /// verdict proposes.
    #[schema(value_type = Option<Vec<Object>>)]
    findings: Option<Vec<FindingRequest>>,
    /// The record that this one corrects; both stay.
    #[schema(value_type = Option<i64>)]
    replaces: Option<InspectionId>,
}

/// Something to put right.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct FindingRequest {
    text: String,
    priority: u8,
    due: Option<Date>,
}

/// Records an inspection. The record is only ever added to.
#[utoipa::path(
    post, path = "/v1/plates/{id}/inspections", tag = "register",
    params(("id" = i64, Path, description = "Number of the plate")),
    request_body = InspectionRequest,
    responses(
        (status = 201, description = "As it was recorded", body = Object),
        (status = 404, description = "No such plate, or no such inspection to correct", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "Nobody stands for it, an item that there is not, or a failure without a word", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_inspection(
    State(state): State<AppState>,
    acting: Acting,
    path: Result<Path<i64>, PathRejection>,
    body: Result<ApiJson<InspectionRequest>, Problem>,
) -> Result<Response, Problem> {
    state.desk()?;
    let id = id(path)?;
    let ApiJson(request) = body?;
    let who = acting.who(Some(request.who.as_deref().unwrap_or(&request.inspector)))?;
    let recorded = state
        .on_desk(move |desk| {
            let record = found(desk, id)?;
            let occasion = Occasion {
                grade: request.grade,
                kind: request.kind,
                date: request.date,
                inspector: &request.inspector,
                competence: &request.competence,
                months: request.months.unwrap_or(MAX_MONTHS),
            };
            let findings = request.findings.map(|all| {
                let each = all.into_iter();
                each.map(|f| (f.priority, f.text, f.due)).collect()
            });
            let answers = Answers {
                items: request.items,
                findings,
                replaces: request.replaces,
            };
            let inspection = inspection_of(&record, &occasion, answers)?;
            Ok(desk.store().inspect(id, &inspection, &who)?)
        })
        .await?;
    Ok((StatusCode::CREATED, Json(recorded)).into_response())
}

impl From<InspectionError> for Problem {
    fn from(error: InspectionError) -> Self {
        Self::new(Code::InvalidRequest, error.to_string())
    }
}
