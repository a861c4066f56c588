//! Photos as they come with a request: as the body, or as a part of a form.

use crate::extract::{GivenFields, PlaceForm, announced_length, content_type, too_large};
use crate::language::{KEY, of_tag};
use crate::problem::{Code, Problem};
use crate::state::AppState;
use axum::body::{Bytes, to_bytes};
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{FromRequest, Multipart, Request};
use axum::http::StatusCode;
use std::collections::BTreeMap;
use utoipa::openapi::schema::{KnownFormat, ObjectBuilder, SchemaFormat, Type};
use utoipa::openapi::{ContentBuilder, OpenApi, RefOr};
use vetplate_parser::Language;

/// What a photo may be announced as. The content decides what it is.
const TAKEN: [&str; 7] = [
    "image/jpeg",
    "image/heic",
    "image/heif",
    "image/png",
    "image/webp",
    "image/tiff",
    "application/octet-stream",
];
/// Longest value of a place in a form, bytes.
const MAX_FIELD_BYTES: usize = 1 << 10;
/// Longest text that a person writes beside the photo, bytes.
pub(crate) const MAX_WORDS_BYTES: usize = 8 << 10;
/// Most parts of a form.
const MAX_PARTS: usize = 64;
/// What a form may hold beside the photo, bytes.
pub(crate) const FORM_BYTES: usize = 1 << 20;
/// Longest file name that is repeated in the answer, characters.
const MAX_NAME_CHARS: usize = 255;

/// Says of every path of `api`, each of which takes a photo, as what it may be sent beside the form.
pub(crate) fn describe(api: &mut OpenApi) {
    let bytes = ObjectBuilder::new()
        .schema_type(Type::String)
        .format(Some(SchemaFormat::KnownFormat(KnownFormat::Binary)))
        .build();
    for item in api.paths.paths.values_mut() {
        let body = item.post.as_mut().and_then(|o| o.request_body.as_mut());
        let Some(RefOr::T(body)) = body else {
            continue;
        };
        for kind in TAKEN {
            let content = ContentBuilder::new().schema(Some(bytes.clone())).build();
            body.content.insert(kind.to_owned(), content.into());
        }
    }
}

/// A photo and what came with it.
pub(crate) struct Upload {
    pub(crate) photo: Bytes,
    /// Name of the file, which is only ever shown.
    pub(crate) file: Option<String>,
    pub(crate) given: GivenFields,
    /// What stood under the other keys that the path takes.
    pub(crate) words: BTreeMap<&'static str, String>,
    /// As a part of the form asks for it.
    pub(crate) language: Option<Language>,
}

/// The photo's place and words while they arrive.
struct Beside<'a> {
    keys: &'a [&'static str],
    place: PlaceForm,
    words: BTreeMap<&'static str, String>,
}

impl Beside<'_> {
    fn add(&mut self, key: &str, value: String) {
        match self.keys.iter().find(|known| **known == key) {
            // The last one counts, as where a part of the form outranks the query.
            Some(known) => drop(self.words.insert(known, value)),
            None => self.place.add(key, value),
        }
    }
}

impl Upload {
    /// Refuses a body that is announced as too large before any of it is read.
    ///
    /// # Errors
    ///
    /// [`Code::BodyTooLarge`].
    pub(crate) fn announced(request: &Request, limit: usize) -> Result<(), Problem> {
        announced_length(request, limit, FORM_BYTES)
    }

    /// Takes a request apart. `keys` are taken beside those of a place.
    ///
    /// # Errors
    ///
    /// What is wrong with the form, the photo's size, or the keys.
    pub(crate) async fn of(
        request: Request,
        state: &AppState,
        keys: &[&'static str],
    ) -> Result<Self, Problem> {
        let mut beside = Beside {
            keys,
            place: PlaceForm::default(),
            words: BTreeMap::new(),
        };
        for (key, value) in form_urlencoded::parse(request.uri().query().unwrap_or("").as_bytes()) {
            beside.add(&key, value.into_owned());
        }
        match content_type(&request).as_deref() {
            Some("multipart/form-data") => form(request, state, beside).await,
            // Without a word about it, the content decides.
            None => body(request, state, beside).await,
            Some(taken) if TAKEN.contains(&taken) => body(request, state, beside).await,
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
}

async fn body(request: Request, state: &AppState, beside: Beside<'_>) -> Result<Upload, Problem> {
    let given = beside.place.finish()?;
    let limit = state.limits().bytes;
    let photo = to_bytes(request.into_body(), limit)
        .await
        .map_err(|e| body_fault(&e, limit))?;
    Ok(Upload {
        photo,
        file: None,
        given,
        words: beside.words,
        language: None,
    })
}

/// Too long, or broken off by the client.
pub(crate) fn body_fault(error: &axum::Error, limit: usize) -> Problem {
    let mut cause: Option<&(dyn std::error::Error + 'static)> = Some(error);
    while let Some(one) = cause {
        if one.is::<http_body_util::LengthLimitError>() {
            return too_large(limit);
        }
        cause = one.source();
    }
    Problem::new(Code::MalformedRequest, "the body broke off; send it again")
}

async fn form(
    request: Request,
    state: &AppState,
    mut beside: Beside<'_>,
) -> Result<Upload, Problem> {
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
            return Ok(Upload {
                photo,
                file,
                given: beside.place.finish()?,
                words: beside.words,
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
            let is_word = beside.keys.contains(&name.as_str());
            let most = if is_word {
                MAX_WORDS_BYTES
            } else {
                MAX_FIELD_BYTES
            };
            let value = text_part(&mut part, &name, most).await?;
            if name == KEY {
                language = Some(of_tag(&value));
            } else {
                beside.add(&name, value);
            }
        }
    }
    Err(Problem::new(
        Code::MalformedRequest,
        format!("the form has more than {MAX_PARTS} parts"),
    ))
}

/// The text of a part beside the photo, at most so many bytes.
pub(crate) async fn text_part(
    part: &mut Field<'_>,
    name: &str,
    most: usize,
) -> Result<String, Problem> {
    let value = read_part(part, most).await?;
    String::from_utf8(value.to_vec()).map_err(|_| {
        Problem::new(
            Code::MalformedRequest,
            format!("the part {name:?} is not UTF-8 text"),
        )
    })
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

/// What is wrong with a form.
pub(crate) fn form_fault(error: &MultipartError, limit: usize) -> Problem {
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
