//! The bundled table of gases, vapours and dusts.

use crate::answer::SubstancesDto;
use crate::problem::{Code, Problem, ProblemDto};
use axum::Json;
use axum::extract::Query;
use axum::extract::rejection::QueryRejection;
use serde::Deserialize;
use utoipa::IntoParams;

/// What is looked for.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct SubstanceQuery {
    /// Name, formula or CAS number; without it, the whole table.
    query: Option<String>,
}

/// Looks substances up, nearest first.
#[utoipa::path(
    get, path = "/v1/substances", tag = "substances",
    params(SubstanceQuery),
    responses(
        (status = 200, description = "What was found, which may be nothing", body = SubstancesDto),
        (status = 422, description = "An unknown key", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_substances(
    query: Result<Query<SubstanceQuery>, QueryRejection>,
) -> Result<Json<SubstancesDto>, Problem> {
    let Query(query) = query.map_err(|e| Problem::new(Code::InvalidRequest, e.body_text()))?;
    let query = query.query.filter(|q| !q.trim().is_empty());
    Ok(Json(SubstancesDto::find(query.as_deref())))
}
