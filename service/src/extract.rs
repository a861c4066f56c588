//! Taking requests apart so that every rejection is a problem document.

use crate::answer::{KEYS, KeyError, set_field, unknown_key};
use crate::language;
use crate::problem::{Code, Problem};
use axum::Json;
use axum::extract::{FromRequest, Request};
use serde::de::DeserializeOwned;
use vetplate_parser::place::PlaceFields;

/// A JSON body.
pub(crate) struct ApiJson<T>(pub(crate) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for ApiJson<T> {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        let Json(value) = Json::<T>::from_request(request, state).await?;
        Ok(Self(value))
    }
}

/// A place by its keys, and the tag of a location of the site.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct GivenFields {
    pub(crate) fields: PlaceFields,
    pub(crate) location: Option<String>,
}

/// A place that arrives key by key.
#[derive(Default)]
pub(crate) struct PlaceForm {
    given: GivenFields,
    seen: Vec<String>,
    errors: Vec<KeyError>,
}

impl PlaceForm {
    /// Takes one key. An empty value counts as not given, as forms send it.
    pub(crate) fn add(&mut self, key: &str, value: String) {
        // Says how to answer, not where the equipment is to stand.
        if key == language::KEY {
            return;
        }
        let mut refuse = |message: String| {
            self.errors.push(KeyError {
                key: key.to_owned(),
                value: value.clone(),
                message,
            });
        };
        let location = key == "location";
        if !location && !KEYS.contains(&key) {
            refuse(unknown_key(key));
            return;
        }
        if value.trim().is_empty() {
            return;
        }
        let repeatable = key == "gas" || key == "dust";
        if !repeatable && self.seen.iter().any(|k| k == key) {
            refuse(format!("`{key}` is given twice; give it once"));
            return;
        }
        self.seen.push(key.to_owned());
        if location {
            self.given.location = Some(value);
        } else {
            set_field(&mut self.given.fields, key, value);
        }
    }

    /// The fields that came.
    ///
    /// # Errors
    ///
    /// [`Code::InvalidPlace`] with every key that was refused.
    pub(crate) fn finish(self) -> Result<GivenFields, Problem> {
        if self.errors.is_empty() {
            Ok(self.given)
        } else {
            Err(Problem::place(self.errors))
        }
    }
}

/// The content type of a request without its parameters, in small letters.
pub(crate) fn content_type(request: &Request) -> Option<String> {
    let value = request.headers().get(axum::http::header::CONTENT_TYPE)?;
    let value = value.to_str().ok()?;
    let essence = value.split(';').next().unwrap_or_default();
    Some(essence.trim().to_ascii_lowercase())
}

/// Refuses a body whose announced length is over `limit` and `around` (what a form puts
/// around a photo of that size) before any of it is read.
///
/// # Errors
///
/// [`Code::BodyTooLarge`].
pub(crate) fn announced_length(
    request: &Request,
    limit: usize,
    around: usize,
) -> Result<(), Problem> {
    let announced = request
        .headers()
        .get(axum::http::header::CONTENT_LENGTH)
        .and_then(|v| v.to_str().ok())
        .and_then(|v| v.parse::<u64>().ok());
    match announced {
        Some(length) if length > limit.saturating_add(around) as u64 => Err(too_large(limit)),
        _ => Ok(()),
    }
}

/// The body has more than `limit` bytes.
pub(crate) fn too_large(limit: usize) -> Problem {
    Problem::new(
        Code::BodyTooLarge,
        format!("more than the {limit} bytes allowed; send a smaller photo"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place_query(query: Option<&str>) -> Result<GivenFields, Problem> {
        let mut form = PlaceForm::default();
        for (key, value) in form_urlencoded::parse(query.unwrap_or_default().as_bytes()) {
            form.add(&key, value.into_owned());
        }
        form.finish()
    }

    #[test]
    fn a_query_may_name_several_gases() {
        let got = place_query(Some(
            "zone=1&gas=ethanol&gas=1%2C2-dichloroethane&ip=&location=SH-02",
        ))
        .unwrap();
        assert_eq!(got.location.as_deref(), Some("SH-02"));
        let got = got.fields;
        assert_eq!(got.zone.as_deref(), Some("1"));
        assert_eq!(got.gas, ["ethanol", "1,2-dichloroethane"]);
        assert_eq!(got.ip, None);
        assert_eq!(place_query(None).unwrap(), GivenFields::default());
    }

    #[test]
    fn unknown_and_doubled_keys_are_refused() {
        let problem = place_query(Some("zone=1&zone=2&colour=red")).unwrap_err();
        assert_eq!(problem.code(), Code::InvalidPlace);
    }
}
