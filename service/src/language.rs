//! The language that a request asks for, and that its answer says it is in.

use axum::Json;
use axum::extract::FromRequestParts;
use axum::http::HeaderValue;
use axum::http::header::{ACCEPT_LANGUAGE, CONTENT_LANGUAGE, VARY};
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use std::convert::Infallible;
use utoipa::IntoParams;
use vetplate_parser::Language;

/// Key of the query, of a form and of a JSON body.
pub(crate) const KEY: &str = "language";

/// A language that is asked for besides the place.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "describes the query; it is read key by key")]
pub(crate) struct LanguageQuery {
    /// `en`, `de` or `fr`; outranks `Accept-Language`; any other is English.
    language: Option<String>,
}

/// The language of a tag; one that the catalogue does not speak is English.
pub fn of_tag(tag: &str) -> Language {
    Language::from_tag(tag).unwrap_or_default()
}

/// The language for an `Accept-Language` of RFC 9110: the highest quality that the catalogue
/// speaks, the first named among equals; English where none is.
pub fn negotiated(header: &str) -> Language {
    let ranges: Vec<(&str, f32)> = header.split(',').filter_map(range).collect();
    let quality = |language: Language| {
        let named = ranges
            .iter()
            .position(|(tag, _)| Language::from_tag(tag) == Some(language));
        let place = named.or_else(|| ranges.iter().position(|(tag, _)| *tag == "*"))?;
        Some((ranges[place].1, place))
    };
    let mut best: Option<(Language, f32, usize)> = None;
    for language in Language::ALL {
        if let Some((share, place)) = quality(language).filter(|(share, _)| *share > 0.0) {
            let better = best.is_none_or(|(_, best_share, best_place)| {
                share > best_share || (share >= best_share && place < best_place)
            });
            if better {
                best = Some((language, share, place));
            }
        }
    }
    best.map_or(Language::default(), |(language, ..)| language)
}

/// One range with its quality, 0 to 1; none where the quality is no number.
fn range(part: &str) -> Option<(&str, f32)> {
    let mut parameters = part.split(';').map(str::trim);
    let tag = parameters.next().filter(|tag| !tag.is_empty())?;
    let quality = parameters.find_map(|p| p.strip_prefix("q=").or_else(|| p.strip_prefix("Q=")));
    match quality {
        None => Some((tag, 1.0)),
        Some(written) => {
            let share: f32 = written.trim().parse().ok()?;
            (0.0..=1.0).contains(&share).then_some((tag, share))
        }
    }
}

/// The language that a request asks for in its query or, beneath it, its header.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Asked(pub(crate) Language);

impl Asked {
    /// The same, or what the body asks for.
    pub(crate) fn or_body(self, tag: Option<&str>) -> Language {
        tag.map_or(self.0, of_tag)
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Asked {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        let query = form_urlencoded::parse(parts.uri.query().unwrap_or_default().as_bytes())
            .find(|(key, value)| key == KEY && !value.trim().is_empty())
            .map(|(_, value)| of_tag(&value));
        // A header that came in several lines counts as one list.
        let header = || {
            let lines: Vec<&str> = parts
                .headers
                .get_all(ACCEPT_LANGUAGE)
                .iter()
                .filter_map(|v| v.to_str().ok())
                .collect();
            negotiated(&lines.join(","))
        };
        Ok(Self(query.unwrap_or_else(header)))
    }
}

/// A JSON answer that says which language its sentences are in.
pub(crate) struct Said<T>(pub(crate) Language, pub(crate) T);

impl<T: Serialize> IntoResponse for Said<T> {
    fn into_response(self) -> Response {
        let mut response = Json(self.1).into_response();
        let headers = response.headers_mut();
        headers.insert(CONTENT_LANGUAGE, HeaderValue::from_static(self.0.tag()));
        headers.append(VARY, HeaderValue::from_static("accept-language"));
        response
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_best_quality_wins_and_the_first_among_equals() {
        for (header, language) in [
            ("", Language::English),
            ("de", Language::German),
            ("de-CH, fr;q=0.9", Language::German),
            ("en;q=0.5, fr-CA;q=0.7", Language::French),
            ("fr, de", Language::French),
            ("es, de;q=0.3", Language::German),
            ("es, *;q=0.1", Language::English),
            ("*, en;q=0", Language::German),
            ("en;q=0, de;q=0, fr;q=0", Language::English),
            ("de;q=2, fr;q=0.2", Language::French),
            ("de;q=x;;, ,fr;q=0.2", Language::French),
            ("es", Language::English),
        ] {
            assert_eq!(negotiated(header), language, "{header}");
        }
    }
}
