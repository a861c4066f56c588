//! Photos.

use crate::answer::{Answer, PlaceDto};
use crate::language::{Asked, LanguageQuery, Said};
use crate::measures;
use crate::pipeline::{PipelineError, read_photo};
use crate::problem::{Problem, ProblemDto};
use crate::state::AppState;
use crate::upload::Upload;
use axum::extract::{Request, State};
use utoipa::{IntoParams, ToSchema};

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

/// Reads a photo and, with a place, judges it.
///
/// The photo is the body, or the part `photo` of a multipart form; the place stands in the
/// query or in further parts of the form. A plate that cannot be read is no error.
#[utoipa::path(
    post, path = "/v1/readings", tag = "readings",
    params(PlaceDto, LocationQuery, LanguageQuery),
    request_body(
        description = "JPEG, HEIC, PNG, WebP or TIFF",
        // As the body itself, too: `upload::describe`.
        content((PhotoForm = "multipart/form-data"))
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
    Upload::announced(&request, limits.bytes)?;
    let reader = state.reader()?;
    let ticket = state.gate().enter()?;
    let upload = Upload::of(request, &state, &[]).await?;
    let place = state.place(upload.given.fields, upload.given.location.as_deref())?;
    let language = upload.language.unwrap_or(asked);
    let found = ticket
        .run(move || {
            read_photo(
                reader.as_ref(),
                &upload.photo,
                &limits,
                upload.file.as_deref(),
                place.as_ref(),
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
