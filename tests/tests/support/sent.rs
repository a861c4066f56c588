//! A request sent to a service without a network.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::{Request, response};
use http_body_util::BodyExt;
use tower::ServiceExt;

/// The head of the answer and the whole of its body.
pub(crate) async fn sent(service: &Router, request: Request<Body>) -> (response::Parts, Bytes) {
    let answer = service.clone().oneshot(request).await.unwrap();
    let (head, body) = answer.into_parts();
    (head, body.collect().await.unwrap().to_bytes())
}
