//! The cookie of a session.

use crate::problem::Problem;
use axum::http::header::COOKIE;
use axum::http::{HeaderMap, HeaderValue};

/// Its name on plain connections, which loopback alone and proxies see.
const PLAIN: &str = "vetplate-session";
/// Its name on encrypted ones: browsers take `__Host-` only with `Secure`, from this host.
const SECURE: &str = "__Host-vetplate-session";

const fn name(encrypted: bool) -> &'static str {
    if encrypted { SECURE } else { PLAIN }
}

/// The key of the session, as the browser sends it.
pub(crate) fn session_of(headers: &HeaderMap, encrypted: bool) -> Option<&str> {
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|line| line.to_str().ok())
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(key, _)| *key == name(encrypted))
        .map(|(_, value)| value)
}

/// Lets the browser keep a session for so many seconds.
///
/// # Errors
///
/// [`crate::Code::Internal`] where the key is no text for a header, which no key of ours is.
pub(crate) fn session_cookie(
    key: &str,
    seconds: i64,
    encrypted: bool,
) -> Result<HeaderValue, Problem> {
    let secure = if encrypted { "; Secure" } else { "" };
    let name = name(encrypted);
    let text =
        format!("{name}={key}; Path=/; Max-Age={seconds}; HttpOnly; SameSite=Strict{secure}");
    HeaderValue::from_str(&text).map_err(|e| Problem::internal(&e))
}

/// Lets the browser forget it.
///
/// # Errors
///
/// As [`session_cookie`].
pub(crate) fn end_cookie(encrypted: bool) -> Result<HeaderValue, Problem> {
    session_cookie("", 0, encrypted)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cookie_is_out_of_reach_of_scripts_and_other_sites() {
        let plain = session_cookie("k", 60, false).unwrap();
        assert_eq!(
            plain,
            "vetplate-session=k; Path=/; Max-Age=60; HttpOnly; SameSite=Strict"
        );
        let secure = session_cookie("k", 60, true).unwrap();
        assert_eq!(
            secure,
            "__Host-vetplate-session=k; Path=/; Max-Age=60; HttpOnly; SameSite=Strict; Secure"
        );
    }

    #[test]
    fn it_is_found_among_others_by_its_whole_name() {
        let headers = HeaderMap::from_iter([(
            COOKIE,
            HeaderValue::from_static("a=b; xvetplate-session=no; vetplate-session=yes"),
        )]);
        assert_eq!(session_of(&headers, false), Some("yes"));
        assert_eq!(session_of(&headers, true), None);
    }
}
