//! Photos.

use crate::answer::{Answer, PlaceDto};
use crate::extract::{PlaceForm, announced_length, content_type, place_query, too_large};
use crate::language::{Asked, KEY, LanguageQuery, Said, of_tag};
use crate::measures;
use crate::pipeline::{GivenPlace, PipelineError, read_photo};
use crate::problem::{Code, Problem, ProblemDto};
use crate::state::AppState;
use axum::body::{Bytes, to_bytes};
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{FromRequest, Multipart, Request, State};
use axum::http::StatusCode;
use utoipa::{IntoParams, ToSchema};
use vetplate_parser::Language;

/// What a photo may be announced as. The content decides what it is.
const TAKEN: [&str; 5] = [
    "image/jpeg",
    "image/png",
    "image/webp",
    "image/tiff",
    "application/octet-stream",
];
/// Longest value of a place in a form, bytes.
const MAX_FIELD_BYTES: usize = 1 << 10;
/// Most parts of a form.
const MAX_PARTS: usize = 64;
/// What a form may hold beside the photo, bytes.
pub(crate) const FORM_BYTES: usize = 1 << 20;
/// Longest file name that is repeated in the answer, characters.
const MAX_NAME_CHARS: usize = 255;

/// A photo as multipart form.
#[derive(ToSchema)]
#[expect(dead_code, reason = "describes the form; it is read part by part")]
pub(crate) struct PhotoForm {
    /// The photo.
    #[schema(value_type = String, format = Binary)]
    photo: Vec<u8>,
    /// The place, a part for each of its keys.
    #[schema(inline)]
    #[allow(clippy::struct_field_names)]
    place: PlaceDto,
    /// Language of the sentences: `en`, `de` or `fr`.
    language: Option<String>,
}

/// A location of the service's site.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "describes the query; it is read key by key")]
pub(crate) struct LocationQuery {
    /// Tag of a location of the service's site; the other keys outrank what the site says.
    location: Option<String>,
}

/// What came with a request.
struct Upload {
    photo: Bytes,
    file: Option<String>,
    place: Option<GivenPlace>,
    /// As a part of the form asks for it.
    language: Option<Language>,
}

/// Reads a photo and, with a place, judges it.
///
/// The photo is the body, or the part `photo` of a multipart form; the place stands in the
/// query or in further parts of the form. A plate that cannot be read is no error.
#[utoipa::path(
    post, path = "/v1/readings", tag = "readings",
    params(PlaceDto, LocationQuery, LanguageQuery),
    request_body(
        description = "JPEG, PNG, WebP or TIFF",
        content(
            (Vec<u8> = "image/jpeg"),
            (Vec<u8> = "image/png"),
            (Vec<u8> = "image/webp"),
            (Vec<u8> = "image/tiff"),
            (Vec<u8> = "application/octet-stream"),
            (PhotoForm = "multipart/form-data")
        )
    ),
    responses(
        (status = 200, description = "What was read; undecided where that is not enough", body = Answer),
        (status = 400, description = "No bytes, or a form that cannot be taken apart", body = ProblemDto, content_type = "application/problem+json"),
        (status = 413, description = "Too many bytes or pixels", body = ProblemDto, content_type = "application/problem+json"),
        (status = 415, description = "No content type or kind of picture that is read", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "No picture, a damaged one, or a place that cannot be used", body = ProblemDto, content_type = "application/problem+json"),
        (status = 503, description = "Busy, or not ready yet", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_reading(
    State(state): State<AppState>,
    Asked(asked): Asked,
    request: Request,
) -> Result<Said<Answer>, Problem> {
    let limits = state.limits();
    announced_length(&request, limits.bytes, FORM_BYTES)?;
    let reader = state.reader()?;
    let ticket = state.gate().enter()?;
    let upload = upload(request, &state).await?;
    let language = upload.language.unwrap_or(asked);
    let found = ticket
        .run(move || {
            read_photo(
                reader.as_ref(),
                &upload.photo,
                &limits,
                upload.file.as_deref(),
                upload.place.as_ref(),
                language,
            )
        })
        .await?;
    match found {
        Ok(found) => {
            measures::reading("photo", &found.answer);
            Ok(Said(language, found.answer))
        }
        Err(PipelineError::Photo(error)) => Err(error.into()),
        Err(PipelineError::Reader(error)) => Err(Problem::internal(&error)),
    }
}

async fn upload(request: Request, state: &AppState) -> Result<Upload, Problem> {
    match content_type(&request).as_deref() {
        Some("multipart/form-data") => form(request, state).await,
        // Without a word about it, the content decides.
        None => body(request, state).await,
        Some(taken) if TAKEN.contains(&taken) => body(request, state).await,
        Some(other) => Err(Problem::new(
            Code::UnsupportedMediaType,
            format!(
                "{other:?} is not taken; send one of {}, or multipart/form-data with a part \
                 named photo",
                TAKEN.join(", ")
            ),
        )),
    }
}

async fn body(request: Request, state: &AppState) -> Result<Upload, Problem> {
    let place = place_query(request.uri().query())?;
    let place = state.place(place.fields, place.location.as_deref())?;
    let limit = state.limits().bytes;
    let photo = to_bytes(request.into_body(), limit)
        .await
        .map_err(|e| body_fault(&e, limit))?;
    Ok(Upload {
        photo,
        file: None,
        place,
        language: None,
    })
}

/// Too long, or broken off by the client.
fn body_fault(error: &axum::Error, limit: usize) -> Problem {
    let mut cause: Option<&(dyn std::error::Error + 'static)> = Some(error);
    while let Some(one) = cause {
        if one.is::<http_body_util::LengthLimitError>() {
            return too_large(limit);
        }
        cause = one.source();
    }
    Problem::new(Code::MalformedRequest, "the body broke off; send it again")
}

async fn form(request: Request, state: &AppState) -> Result<Upload, Problem> {
    let mut place = PlaceForm::default();
    for (key, value) in form_urlencoded::parse(request.uri().query().unwrap_or("").as_bytes()) {
        place.add(&key, value.into_owned());
    }
    let mut form = Multipart::from_request(request, state)
        .await
        .map_err(|e| Problem::new(Code::MalformedRequest, e.body_text()))?;
    let limit = state.limits().bytes;
    let fault = |e: MultipartError| form_fault(&e, limit);
    let mut photo = None;
    let mut language = None;
    for _ in 0..MAX_PARTS {
        let Some(mut part) = form.next_field().await.map_err(fault)? else {
            let (photo, file) = photo.ok_or_else(|| {
                Problem::new(
                    Code::InvalidRequest,
                    "the form has no part named photo; add it",
                )
            })?;
            let place = place.finish()?;
            let place = state.place(place.fields, place.location.as_deref())?;
            return Ok(Upload {
                photo,
                file,
                place,
                language,
            });
        };
        let name = part.name().unwrap_or_default().to_owned();
        if name == "photo" {
            if photo.is_some() {
                return Err(Problem::new(
                    Code::InvalidRequest,
                    "the form has two parts named photo; send one photo a request",
                ));
            }
            let file = part.file_name().map(tidy);
            photo = Some((read_part(&mut part, limit).await?, file));
        } else {
            let value = read_part(&mut part, MAX_FIELD_BYTES).await?;
            let value = String::from_utf8(value.to_vec()).map_err(|_| {
                Problem::new(
                    Code::MalformedRequest,
                    format!("the part {name:?} is not UTF-8 text"),
                )
            })?;
            if name == KEY {
                language = Some(of_tag(&value));
            } else {
                place.add(&name, value);
            }
        }
    }
    Err(Problem::new(
        Code::MalformedRequest,
        format!("the form has more than {MAX_PARTS} parts"),
    ))
}

/// The bytes of one part, never more than `limit`.
async fn read_part(part: &mut Field<'_>, limit: usize) -> Result<Bytes, Problem> {
    let mut bytes = Vec::new();
    while let Some(chunk) = part.chunk().await.map_err(|e| form_fault(&e, limit))? {
        if bytes.len() + chunk.len() > limit {
            return Err(too_large(limit));
        }
        bytes.extend_from_slice(&chunk);
    }
    Ok(bytes.into())
}

fn form_fault(error: &MultipartError, limit: usize) -> Problem {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        too_large(limit)
    } else {
        Problem::new(
            Code::MalformedRequest,
            format!("the form cannot be taken apart: {}", error.body_text()),
        )
    }
}

/// The last part of a path, cut to a sane length: it is only ever shown.
fn tidy(name: &str) -> String {
    name.rsplit(['/', '\\'])
        .next()
        .unwrap_or_default()
        .chars()
        .filter(|c| !c.is_control())
        .take(MAX_NAME_CHARS)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::tidy;

    #[test]
    fn only_the_name_of_a_file_is_repeated() {
        assert_eq!(tidy("C:\\photos\\still.jpg"), "still.jpg");
        assert_eq!(tidy("../../etc/passwd"), "passwd");
        assert_eq!(tidy("a\u{1b}[31m.jpg"), "a[31m.jpg");
        assert_eq!(tidy(&"x".repeat(1000)).len(), 255);
    }
}
