//! What browsers are told about every answer, so that none of it is ever run.

use axum::http::header::{CONTENT_SECURITY_POLICY, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS};
use axum::http::{HeaderName, HeaderValue};
use axum::response::Response;

/// An answer that is shown by itself runs nothing and stands in no frame. The page has a policy
/// of its own.
const POLICY: &str = "default-src 'none'; frame-ancestors 'none'";

/// Adds what an answer does not say by itself.
pub(crate) async fn add(mut response: Response) -> Response {
    let headers = [
        (CONTENT_SECURITY_POLICY, POLICY),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (REFERRER_POLICY, "no-referrer"),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
    ];
    for (name, value) in headers {
        response
            .headers_mut()
            .entry(name)
            .or_insert(HeaderValue::from_static(value));
    }
    response
}
