//! Photos that people send to the register.

use crate::access::Acting;
use crate::answer::{PlaceDto, UploadDto};
use crate::problem::{Code, Problem, ProblemDto};
use crate::receive::{Receiver, Sent};
use crate::register::Received;
use crate::state::AppState;
use crate::upload::Upload;
use crate::versioned::tagged;
use axum::Json;
use axum::extract::{Request, State};
use axum::http::header::LOCATION;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use utoipa::{IntoParams, ToSchema};

/// What may stand beside photo and place.
const WORDS: [&str; 3] = ["tag", "note", "who"];
/// Longest key, characters.
const MAX_KEY_CHARS: usize = 200;
/// Who sends where nobody is named, as on the command line.
pub(super) const NOBODY: &str = "unknown";

/// What stands beside photo and place.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "describes the query; it is read key by key")]
pub(crate) struct UploadQuery {
    /// Tag of the location. One that is new needs its place; a place without a location is one
    /// by itself.
    location: Option<String>,
    /// Tag of the equipment.
    tag: Option<String>,
    /// What the person notes; it goes into the history of the plate.
    note: Option<String>,
    /// Who sends it.
    who: Option<String>,
}

/// A photo for the register as multipart form.
#[derive(ToSchema)]
#[expect(dead_code, reason = "describes the form; it is read part by part")]
pub(crate) struct PlateForm {
    /// The photo.
    #[schema(value_type = String, format = Binary)]
    photo: Vec<u8>,
    /// The place, a part for each of its keys.
    #[schema(inline)]
    place: PlaceDto,
    /// Tag of the location.
    location: Option<String>,
    /// Tag of the equipment.
    tag: Option<String>,
    /// What the person notes.
    note: Option<String>,
    /// Who sends it.
    who: Option<String>,
}

/// Reads a photo and keeps it in the register.
///
/// **What is answered 201 is on disk:** the photo's file, the name in its folder and the row of
/// the register were synced before, so that neither a kill nor a power failure loses it. The
/// photo's bytes are kept as they came and never altered.
///
/// With an `Idempotency-Key`, a repeat of the same request answers the same plate and takes
/// nothing twice; something else under the same key is refused. Without one, the photo's own
/// bytes tell a repeat: it is answered 200 with `already_held`, which is no error.
#[utoipa::path(
    post, path = "/v1/plates", tag = "register",
    params(
        PlaceDto, UploadQuery,
        ("Idempotency-Key" = Option<String>, Header, description = "Up to 200 visible characters, the same at each try of one photo"),
    ),
    request_body(
        description = "JPEG, HEIC, PNG, WebP or TIFF",
        // As the body itself, too: `upload::describe`.
        content((PlateForm = "multipart/form-data"))
    ),
    responses(
        (status = 200, description = "The register held this photo already", body = UploadDto),
        (status = 201, description = "Taken, and on disk", body = UploadDto),
        (status = 400, description = "No bytes, or a form that cannot be taken apart", body = ProblemDto, content_type = "application/problem+json"),
        (status = 413, description = "Too many bytes or pixels", body = ProblemDto, content_type = "application/problem+json"),
        (status = 415, description = "No content type or kind of picture that is read", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "No picture, a damaged one, a place that cannot be used, or another request under the same key", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json"),
        (status = 503, description = "Busy, not ready yet, or the same photo is being read right now", body = ProblemDto, content_type = "application/problem+json"),
        (status = 507, description = "No room on the disk", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_plate(
    State(state): State<AppState>,
    acting: Acting,
    request: Request,
) -> Result<Response, Problem> {
    let limits = state.limits();
    let desk = state.desk()?;
    Upload::announced(&request, limits.bytes)?;
    let key = key(request.headers())?;
    let reader = state.reader()?;
    let ticket = state.gate().enter()?;
    let mut upload = Upload::of(request, &state, &WORDS).await?;
    let given = upload.words.remove("who");
    let given = given.filter(|who| !who.trim().is_empty());
    let who = acting.who(Some(given.as_deref().unwrap_or(NOBODY)))?;
    let sent = Sent {
        photo: upload.photo,
        file: upload.file,
        given: upload.given,
        tag: upload.words.remove("tag"),
        note: upload.words.remove("note"),
        who,
        key,
    }
    .checked()?;
    let worker = format!("request-{}", state.environment().request_id());
    let arrived = ticket
        .run(move || {
            let site = state.site();
            let receiver = Receiver {
                desk: &desk,
                reader: reader.as_ref(),
                limits: &limits,
                site: &site,
                worker: &worker,
            };
            receiver.receive(&sent)
        })
        .await??;
    let plate = arrived.plate.row;
    let held = matches!(arrived.received, Received::Held(_));
    let status = if held {
        StatusCode::OK
    } else {
        StatusCode::CREATED
    };
    let location = format!("/v1/plates/{}", plate.id);
    let version = plate.version;
    let body = UploadDto {
        outcome: if held { "already_held" } else { "taken" },
        joined: (!held).then(|| arrived.received.name()),
        plate,
        answer: arrived.plate.answer,
        beside: arrived.plate.beside,
        plates: arrived.plates,
        remarks: arrived.remarks,
    };
    let response = (status, [(LOCATION, location)], Json(body)).into_response();
    Ok(tagged(version, response))
}

/// The key of a request; quotes around it, as structured headers have them, are no part of it.
///
/// # Errors
///
/// [`Code::InvalidRequest`] where it is no key.
fn key(headers: &HeaderMap) -> Result<Option<String>, Problem> {
    let Some(value) = headers.get("idempotency-key") else {
        return Ok(None);
    };
    let text = value.to_str().ok().map(str::trim);
    let plain = text.map(|text| {
        let inner = text.strip_prefix('"').and_then(|t| t.strip_suffix('"'));
        inner.unwrap_or(text)
    });
    plain
        .filter(|key| (1..=MAX_KEY_CHARS).contains(&key.len()))
        .filter(|key| key.bytes().all(|b| b.is_ascii_graphic()))
        .map(|key| Some(key.to_owned()))
        .ok_or_else(|| {
            Problem::new(
                Code::InvalidRequest,
                "Idempotency-Key takes 1 to 200 visible characters without blanks",
            )
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    #[test]
    fn keys_are_short_and_visible_and_quotes_are_no_part_of_them() {
        let of = |value: &str| {
            let value = HeaderValue::from_str(value).unwrap();
            key(&HeaderMap::from_iter([(
                axum::http::HeaderName::from_static("idempotency-key"),
                value,
            )]))
        };
        assert_eq!(of("\"a-1\"").unwrap().as_deref(), Some("a-1"));
        assert_eq!(of("a-1").unwrap().as_deref(), Some("a-1"));
        assert_eq!(key(&HeaderMap::new()).unwrap(), None);
        for wrong in ["", "\"\"", "a b", &"x".repeat(201)] {
            assert_eq!(
                of(wrong).unwrap_err().code(),
                Code::InvalidRequest,
                "{wrong}"
            );
        }
    }
}
