//! Was a change asked for by a page of this service, or by somebody else's?
//!
//! A browser sends the cookie of a session, and reaches loopback, for whatever page is open.
//! It also says where a request comes from: in `Sec-Fetch-Site` (Fetch Metadata Request
//! Headers, W3C), and in `Origin` (RFC 6454) for every change.

use crate::problem::{Code, Problem};
use axum::http::header::{HOST, ORIGIN};
use axum::http::{HeaderMap, Method};

/// Whether a method changes nothing (RFC 9110, 9.2.1).
pub(super) fn is_safe(method: &Method) -> bool {
    matches!(*method, Method::GET | Method::HEAD | Method::OPTIONS)
}

/// Refuses a change that another site asks for. `known_browser` says that only a browser can
/// have sent it, so that a request which says nothing is refused, too.
///
/// # Errors
///
/// [`Code::CrossSite`].
pub(super) fn same_site(headers: &HeaderMap, known_browser: bool) -> Result<(), Problem> {
    let refused = |what: &str| Err(Problem::new(Code::CrossSite, what));
    let text = |name| headers.get(name).map(|v| v.to_str().unwrap_or_default());
    match text(axum::http::HeaderName::from_static("sec-fetch-site")) {
        Some("same-origin" | "none") => return Ok(()),
        Some(_) => {
            return refused("the change was asked for by a page of another site");
        }
        None => {}
    }
    match (text(ORIGIN), text(HOST)) {
        (Some(origin), Some(host)) => {
            let theirs = origin.split_once("://").map(|(_, authority)| authority);
            if theirs.is_some_and(|theirs| theirs.eq_ignore_ascii_case(host)) {
                Ok(())
            } else {
                refused("the change was asked for by a page of another site")
            }
        }
        (Some(_), None) => refused("the request has an Origin and no Host"),
        (None, _) if known_browser => refused(
            "with the cookie of a session a change must say where it comes from (Origin or \
             Sec-Fetch-Site); programs use a token: vetplate users token",
        ),
        (None, _) => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::{HeaderName, HeaderValue};

    fn headers(pairs: &[(&'static str, &'static str)]) -> HeaderMap {
        pairs
            .iter()
            .map(|(name, value)| {
                (
                    HeaderName::from_static(name),
                    HeaderValue::from_static(value),
                )
            })
            .collect()
    }

    #[test]
    fn only_pages_of_this_service_change_things() {
        let host = ("host", "plates.corrieburn.example:8460");
        let good = [
            vec![("sec-fetch-site", "same-origin")],
            vec![("sec-fetch-site", "none")],
            vec![host, ("origin", "https://plates.corrieburn.example:8460")],
            vec![host, ("origin", "https://PLATES.corrieburn.example:8460")],
        ];
        for pairs in good {
            same_site(&headers(&pairs), true).unwrap();
        }
        let bad = [
            vec![("sec-fetch-site", "cross-site")],
            vec![("sec-fetch-site", "same-site")],
            vec![("sec-fetch-site", "")],
            vec![host, ("origin", "null")],
            vec![host, ("origin", "https://plates.corrieburn.example")],
            vec![host, ("origin", "https://evil.example")],
            vec![("origin", "https://evil.example")],
            vec![
                host,
                ("sec-fetch-site", "cross-site"),
                ("origin", "https://plates.corrieburn.example:8460"),
            ],
        ];
        for pairs in bad {
            same_site(&headers(&pairs), false).unwrap_err();
        }
    }

    #[test]
    fn who_says_nothing_is_a_program_and_needs_no_cookie() {
        same_site(&headers(&[]), false).unwrap();
        same_site(&headers(&[]), true).unwrap_err();
    }
}
