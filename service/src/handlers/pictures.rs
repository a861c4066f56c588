//! Pictures of plates: always made anew, upright, never the bytes that someone sent.

use super::plates::{found, id};
use crate::crop::{cut, marking_box};
use crate::desk::Desk;
use crate::photo_bytes::photo_bytes;
use crate::problem::{Code, Problem, ProblemDto};
use crate::register::{PhotoId, PhotoRecord, PlateId, PlateRecord};
use crate::report::Picture;
use crate::state::AppState;
use axum::extract::rejection::{PathRejection, QueryRejection};
use axum::extract::{Path, Query, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use utoipa::IntoParams;
use vetplate_ocr::{Limits, Photo};

/// Longer side of a picture where the client does not say, pixels.
const SIDE: u32 = 1600;
/// Longest side.
const MAX_SIDE: u32 = 8000;

/// Which picture.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PictureQuery {
    /// SHA-256 of one of the plate's photos; without it, the one that the answer comes from.
    sha256: Option<String>,
    /// Longer side at most, 16 to 8000 pixels.
    #[param(default = 1600)]
    side: Option<u32>,
}

/// A photo of the plate as JPEG, upright.
#[utoipa::path(
    get, path = "/v1/plates/{id}/photo", tag = "register",
    params(("id" = i64, Path, description = "Number of the plate"), PictureQuery),
    responses(
        (status = 200, description = "The photo", body = Vec<u8>, content_type = "image/jpeg"),
        (status = 404, description = "No such plate or photo", body = ProblemDto, content_type = "application/problem+json"),
        (status = 410, description = "The bytes are not where they were seen", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json"),
        (status = 503, description = "Busy", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_photo(
    State(state): State<AppState>,
    path: Result<Path<i64>, PathRejection>,
    query: Result<Query<PictureQuery>, QueryRejection>,
) -> Result<Response, Problem> {
    picture(state, path, query, false).await
}

/// The part of the photo with the marking as JPEG, upright.
#[utoipa::path(
    get, path = "/v1/plates/{id}/crop", tag = "register",
    params(("id" = i64, Path, description = "Number of the plate"), PictureQuery),
    responses(
        (status = 200, description = "The part with the marking; the whole photo where none was found", body = Vec<u8>, content_type = "image/jpeg"),
        (status = 404, description = "No such plate or photo", body = ProblemDto, content_type = "application/problem+json"),
        (status = 410, description = "The bytes are not where they were seen", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json"),
        (status = 503, description = "Busy", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_crop(
    State(state): State<AppState>,
    path: Result<Path<i64>, PathRejection>,
    query: Result<Query<PictureQuery>, QueryRejection>,
) -> Result<Response, Problem> {
    picture(state, path, query, true).await
}

async fn picture(
    state: AppState,
    path: Result<Path<i64>, PathRejection>,
    query: Result<Query<PictureQuery>, QueryRejection>,
    crop: bool,
) -> Result<Response, Problem> {
    let desk = state.desk()?;
    let id = id(path)?;
    let Query(query) = query.map_err(|e| Problem::new(Code::InvalidRequest, e.body_text()))?;
    let side = query.side.unwrap_or(SIDE);
    if !(16..=MAX_SIDE).contains(&side) {
        return Err(Problem::new(
            Code::InvalidRequest,
            "`side` takes 16 to 8000 pixels",
        ));
    }
    let limits = state.limits();
    // Decoding costs as much memory as reading a photo, so it waits in the same queue.
    let ticket = state.gate().enter()?;
    let jpeg = ticket
        .run(move || made(&desk, id, query.sha256.as_deref(), side, crop, &limits))
        .await??;
    let headers = [
        (CONTENT_TYPE, "image/jpeg"),
        (CACHE_CONTROL, "private, max-age=60"),
    ];
    Ok((headers, jpeg).into_response())
}

fn made(
    desk: &Desk,
    id: PlateId,
    sha256: Option<&str>,
    side: u32,
    crop: bool,
    limits: &Limits,
) -> Result<Vec<u8>, Problem> {
    let record = found(desk, id)?;
    let record_of_photo = match sha256 {
        Some(sha256) => record.photos.iter().find(|p| p.sha256 == sha256),
        None => best_photo(&record),
    };
    let record_of_photo = record_of_photo.ok_or_else(|| {
        Problem::new(
            Code::NotFound,
            "the plate has no such photo; `photo_list` of the plate names them",
        )
    })?;
    let bytes = photo_bytes(desk.originals(), record_of_photo, limits.bytes).map_err(|reason| {
        // Where the bytes were seen is for the people who run the service.
        tracing::warn!(plate = id.0, reason, "a photo is not at hand");
        Problem::new(
            Code::PhotoMissing,
            "the photo is not where it was seen, or its bytes have changed; the log says more",
        )
    })?;
    let photo = Photo::decode(&bytes, limits)?;
    let answer = if crop {
        answer_of(desk, id, record_of_photo.id, &record)?
    } else {
        None
    };
    let part = answer.and_then(|answer| marking_box(&answer, photo.width(), photo.height()));
    let picture = match part {
        Some(part) => Picture::new(&cut(photo.image(), part), side),
        None => Picture::new(photo.image(), side),
    };
    Ok(picture.map_err(|e| Problem::internal(&e))?.into_jpeg())
}

/// The photo that the answer comes from, else the first one.
pub(crate) fn best_photo(record: &PlateRecord) -> Option<&PhotoRecord> {
    let sha256 = record.answer.get("photo").and_then(|p| p.get("sha256"));
    let sha256 = sha256.and_then(serde_json::Value::as_str);
    record
        .photos
        .iter()
        .find(|photo| Some(photo.sha256.as_str()) == sha256)
        .or_else(|| record.photos.first())
}

/// The answer with the places of the lines on that photo: a settlement is typed and has none.
fn answer_of(
    desk: &Desk,
    plate: PlateId,
    photo: PhotoId,
    record: &PlateRecord,
) -> Result<Option<serde_json::Value>, Problem> {
    let readings = desk.store().readings(plate)?;
    let of_photo = readings
        .into_iter()
        .filter(|reading| reading.photo == photo)
        .max_by_key(|reading| (reading.counts, reading.id));
    Ok(of_photo
        .map(|reading| reading.answer)
        .or_else(|| Some(record.answer.clone())))
}
