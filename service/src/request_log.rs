//! One log line a request, and the id that joins them. What requests contain is not logged.

use crate::measures;
use crate::state::AppState;
use axum::extract::{MatchedPath, Request, State};
use axum::http::{HeaderName, HeaderValue};
use axum::middleware::Next;
use axum::response::Response;
use tracing::Instrument;

const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");
/// Longest id that is taken from a client.
const MAX_ID_BYTES: usize = 64;

/// Names the request, answers under that name, and logs how it went.
pub(crate) async fn observe(
    State(state): State<AppState>,
    request: Request,
    next: Next,
) -> Response {
    let environment = state.environment();
    let id = request
        .headers()
        .get(REQUEST_ID)
        .and_then(|value| value.to_str().ok())
        .filter(|id| is_sane(id))
        .map_or_else(|| environment.request_id(), ToOwned::to_owned);
    let method = request.method().clone();
    // The path as it stands in the list of routes: what clients write into it is not logged.
    let route = request
        .extensions()
        .get::<MatchedPath>()
        .map_or_else(|| "-".to_owned(), |path| path.as_str().to_owned());
    let span = tracing::info_span!("request", id = %id, http.method = %method, http.route = %route);
    let start = environment.now();
    let mut response = next.run(request).instrument(span.clone()).await;
    let took = environment.now().saturating_sub(start);
    measures::answered(&method, &route, response.status(), took);
    span.in_scope(|| {
        tracing::info!(
            http.status = response.status().as_u16(),
            duration_ms = took.as_millis() as u64,
            "answered"
        );
    });
    if let Ok(value) = HeaderValue::from_str(&id) {
        response.headers_mut().insert(REQUEST_ID, value);
    }
    response
}

fn is_sane(id: &str) -> bool {
    !id.is_empty() && id.len() <= MAX_ID_BYTES && id.bytes().all(|b| b.is_ascii_graphic())
}

#[cfg(test)]
mod tests {
    use super::is_sane;

    #[test]
    fn ids_of_clients_are_short_and_visible() {
        assert!(is_sane("3f2a-91"));
        assert!(!is_sane(""));
        assert!(!is_sane("a b"));
        assert!(!is_sane(&"x".repeat(65)));
    }
}
