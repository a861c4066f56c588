//! Versions in headers: what a client saw, and what it changes.

use crate::problem::{Code, Problem};
use axum::http::header::{ETAG, IF_MATCH, IF_NONE_MATCH};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};

/// The version that a change rests on: `If-Match: "7"`, or `version` of the body.
///
/// # Errors
///
/// [`Code::VersionMissing`] where neither is given, [`Code::InvalidRequest`] where they differ
/// or are no version.
pub(crate) fn seen(headers: &HeaderMap, of_body: Option<i64>) -> Result<i64, Problem> {
    let of_header = match headers.get(IF_MATCH) {
        None => None,
        Some(value) => Some(value.to_str().ok().and_then(number).ok_or_else(|| {
            Problem::new(
                Code::InvalidRequest,
                "If-Match takes the ETag of the plate as it was seen, such as \"7\"",
            )
        })?),
    };
    match (of_header, of_body) {
        (Some(header), Some(body)) if header != body => Err(Problem::new(
            Code::InvalidRequest,
            "If-Match and `version` differ; send one of them",
        )),
        (Some(version), _) | (None, Some(version)) => Ok(version),
        (None, None) => Err(Problem::new(
            Code::VersionMissing,
            "say which version was seen, with If-Match and the ETag or with `version`, so that \
             nobody's decision is overwritten",
        )),
    }
}

/// `response` under the `ETag` of `version`.
pub(crate) fn tagged(version: i64, response: impl IntoResponse) -> Response {
    let mut response = response.into_response();
    if let Ok(value) = HeaderValue::from_str(&format!("\"{version}\"")) {
        response.headers_mut().insert(ETAG, value);
    }
    response
}

/// 304 where the client has `version` already.
pub(crate) fn unchanged(headers: &HeaderMap, version: i64) -> Option<Response> {
    let known = headers.get(IF_NONE_MATCH)?.to_str().ok()?;
    let has = known
        .split(',')
        .any(|tag| number(tag.trim().trim_start_matches("W/")) == Some(version));
    has.then(|| tagged(version, StatusCode::NOT_MODIFIED))
}

fn number(tag: &str) -> Option<i64> {
    tag.strip_prefix('"')?.strip_suffix('"')?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(tag: &'static str) -> HeaderMap {
        HeaderMap::from_iter([(IF_MATCH, HeaderValue::from_static(tag))])
    }

    #[test]
    fn a_change_names_the_version_that_it_rests_on() {
        assert_eq!(seen(&headers("\"7\""), None).unwrap(), 7);
        assert_eq!(seen(&HeaderMap::new(), Some(7)).unwrap(), 7);
        assert_eq!(seen(&headers("\"7\""), Some(7)).unwrap(), 7);
        for (headers, body, code) in [
            (HeaderMap::new(), None, Code::VersionMissing),
            (headers("\"7\""), Some(8), Code::InvalidRequest),
            (headers("*"), None, Code::InvalidRequest),
            (headers("7"), None, Code::InvalidRequest),
        ] {
            assert_eq!(seen(&headers, body).unwrap_err().code(), code);
        }
    }
}
