//! Whether the service is alive and may take work.

use crate::problem::{Problem, ProblemDto};
use crate::state::AppState;
use axum::Json;
use axum::extract::State;
use serde::Serialize;
use utoipa::ToSchema;

/// A word on how the service is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct Health {
    /// `ok` or `ready`.
    status: &'static str,
    /// Whether it keeps a register.
    register: bool,
}

/// Alive: answers as long as the program runs.
#[utoipa::path(
    get, path = "/healthz", tag = "running",
    responses((status = 200, description = "The program runs", body = Health))
)]
pub(crate) async fn healthz(State(state): State<AppState>) -> Json<Health> {
    Json(Health {
        status: "ok",
        register: state.desk().is_ok(),
    })
}

/// Ready: the models are loaded and have read a known plate.
#[utoipa::path(
    get, path = "/readyz", tag = "running",
    responses(
        (status = 200, description = "Photos can be read", body = Health),
        (status = 503, description = "Not yet, or not at all", body = ProblemDto,
         content_type = "application/problem+json")
    )
)]
pub(crate) async fn readyz(State(state): State<AppState>) -> Result<Json<Health>, Problem> {
    state.reader()?;
    Ok(Json(Health {
        status: "ready",
        register: state.desk().is_ok(),
    }))
}
