//! Whether the service is alive and may take work.

use crate::problem::{Code, Problem, ProblemDto};
use crate::state::AppState;
use axum::Json;
use axum::extract::State;
use jiff::Timestamp;
use serde::Serialize;
use utoipa::ToSchema;

/// A word on how the service is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct Health {
    /// `ok`.
    status: &'static str,
    /// Whether it keeps a register.
    register: bool,
}

/// What the service can rely on.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct Readiness {
    /// `ready`.
    status: &'static str,
    /// Whether it keeps a register, which was just written to.
    register: bool,
    /// The moment that the last verified backup of the register shows; null where there is none.
    #[schema(value_type = Option<String>, format = DateTime, required)]
    backup_verified: Option<Timestamp>,
    /// How long ago that is, seconds.
    #[schema(required)]
    backup_age_s: Option<f64>,
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

/// Ready: the models are loaded, the register can be written, and there is room in the queue. What
/// is read is given out once the models have read a known plate.
#[utoipa::path(
    get, path = "/readyz", tag = "running",
    responses(
        (status = 200, description = "Work is taken", body = Readiness),
        (status = 503, description = "Not now, or not at all", body = ProblemDto,
         content_type = "application/problem+json")
    )
)]
pub(crate) async fn readyz(State(state): State<AppState>) -> Result<Json<Readiness>, Problem> {
    state.reader()?;
    if state.gate().is_full() {
        return Err(Problem::new(Code::Busy, "the queue is full"));
    }
    let backup = proved(&state).await?;
    Ok(Json(Readiness {
        status: "ready",
        register: state.desk().is_ok(),
        backup_verified: backup,
        backup_age_s: backup_age_s(&state, backup),
    }))
}

/// Proves that the register can be written, where there is one, not more often than every few
/// seconds; answers the moment that the last verified backup shows.
///
/// # Errors
///
/// [`Code::NotWritable`].
pub(crate) async fn proved(state: &AppState) -> Result<Option<Timestamp>, Problem> {
    if state.desk().is_err() {
        return Ok(None);
    }
    let proving = state.clone();
    let proof = state
        .on_desk(move |desk| Ok(proving.proof(|| desk.store().prove())))
        .await?;
    proof.map_err(|reason| {
        tracing::error!(reason, "the register cannot be written");
        Problem::new(
            Code::NotWritable,
            "the register cannot be written; the log says why",
        )
    })
}

/// How long ago a moment is, seconds.
pub(crate) fn backup_age_s(state: &AppState, backup: Option<Timestamp>) -> Option<f64> {
    let now = state.environment().clock();
    backup.map(|at| now.duration_since(at).as_secs_f64())
}
