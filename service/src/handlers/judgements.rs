//! Quick judgements of photos, before they are read.

use super::readings::PhotoForm;
use crate::answer::JudgementDto;
use crate::language::{Asked, LanguageQuery, Said};
use crate::problem::{Problem, ProblemDto};
use crate::state::AppState;
use crate::upload::Upload;
use axum::extract::{Request, State};
use vetplate_ocr::{JUDGED_AT, Reduced, judge};

/// Says at once whether a photo should be taken again, and why: letters too small, blur, glare, text
/// beyond the edge.
///
/// The photo is sent as for a reading and is not read: a good photo says nothing about the plate.
#[utoipa::path(
    post, path = "/v1/photos/judgement", tag = "readings",
    params(LanguageQuery),
    request_body(
        description = "JPEG, HEIC, PNG, WebP or TIFF",
        // As the body itself, too: `upload::describe`.
        content((PhotoForm = "multipart/form-data"))
    ),
    responses(
        (status = 200, description = "What is wrong with the photo; nothing where it is good", body = JudgementDto),
        (status = 400, description = "No bytes, or a form that cannot be taken apart", body = ProblemDto, content_type = "application/problem+json"),
        (status = 413, description = "Too many bytes or pixels", body = ProblemDto, content_type = "application/problem+json"),
        (status = 415, description = "No content type or kind of picture that is read", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "No picture, or a damaged one", body = ProblemDto, content_type = "application/problem+json"),
        (status = 503, description = "Busy", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_judgement(
    State(state): State<AppState>,
    Asked(asked): Asked,
    request: Request,
) -> Result<Said<JudgementDto>, Problem> {
    let limits = state.limits();
    Upload::announced(&request, limits.bytes)?;
    let ticket = state.gate().enter()?;
    let upload = Upload::of(request, &state, &[]).await?;
    let language = upload.language.unwrap_or(asked);
    let judged = ticket
        .run(move || {
            Reduced::decode(&upload.photo, &limits, JUDGED_AT)
                .map(|photo| JudgementDto::new(&judge(&photo), &photo, language))
        })
        .await?;
    judged
        .map(|judgement| Said(language, judgement))
        .map_err(Problem::from)
}
