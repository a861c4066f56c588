//! Intrinsically safe loops.

use crate::answer::{LoopCheckDto, LoopDto, check_loop};
use crate::extract::ApiJson;
use crate::language::{Asked, LanguageQuery, Said};
use crate::problem::{Code, Problem, ProblemDto};

/// Checks a simple intrinsically safe loop.
#[utoipa::path(
    post, path = "/v1/loops", tag = "loops",
    params(LanguageQuery),
    request_body = LoopDto,
    responses(
        (status = 200, description = "Every line of the check", body = LoopCheckDto),
        (status = 400, description = "No JSON", body = ProblemDto, content_type = "application/problem+json"),
        (status = 413, description = "Too large", body = ProblemDto, content_type = "application/problem+json"),
        (status = 415, description = "Not announced as JSON", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "Unknown keys, or values that cannot be", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_loop(
    asked: Asked,
    ApiJson(request): ApiJson<LoopDto>,
) -> Result<Said<LoopCheckDto>, Problem> {
    let language = asked.or_body(request.language.as_deref());
    check_loop(&request, language)
        .map(|check| Said(language, check))
        .map_err(|errors| Problem::fields(Code::InvalidRequest, errors))
}
