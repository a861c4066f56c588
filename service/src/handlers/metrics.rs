//! Figures for whoever runs the service.

use super::health::{backup_age_s, proved};
use crate::measures;
use crate::problem::{Code, Problem, ProblemDto};
use crate::state::AppState;
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};

/// The text form of Prometheus, version 0.0.4.
const TEXT: &str = "text/plain; version=0.0.4; charset=utf-8";

/// Durations, counts and what waits, for Prometheus.
#[utoipa::path(
    get, path = "/metrics", tag = "running",
    responses(
        (status = 200, description = "Figures in the text form of Prometheus", body = String, content_type = "text/plain"),
        (status = 503, description = "Nothing is measured", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_metrics(State(state): State<AppState>) -> Result<Response, Problem> {
    let handle = measures::begin()
        .ok_or_else(|| Problem::new(Code::Broken, "nothing is measured; the log says why"))?;
    // Where the register is gone, the other figures still help.
    let backup = proved(&state).await.unwrap_or(None);
    measures::now(state.gate().waiting(), backup_age_s(&state, backup));
    let text = handle.render();
    Ok(([(CONTENT_TYPE, TEXT)], text).into_response())
}
