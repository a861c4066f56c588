//! The one list of routes, from which the OpenAPI text is made.

use crate::access;
use crate::drain;
use crate::handlers::{
    counts, health, imports, inspections, judgements, locations, loops, markings, metrics, papers,
    pictures, plates, readings, requirements, review, session, substances, uploads,
};
use crate::page;
use crate::problem::{Code, Problem};
use crate::request_log;
use crate::safe_headers;
use crate::state::AppState;
use crate::upload::{self, FORM_BYTES};
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::Method;
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Json, Router};
use tower_http::catch_panic::CatchPanicLayer;
use utoipa::OpenApi;
use utoipa::openapi::OpenApi as OpenApiDocument;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// Largest JSON body in bytes.
const MAX_JSON_BYTES: usize = 1 << 20;

#[derive(OpenApi)]
#[openapi(
    info(
        title = "vetplate",
        description = "Reads the nameplate of explosion-protected equipment from a photo, takes \
                       its marking apart and says whether it is allowed in a zone. Errors are \
                       application/problem+json (RFC 9457).",
        license(name = "MIT OR Apache-2.0", identifier = "MIT OR Apache-2.0")
    ),
    tags(
        (name = "readings", description = "Photos and markings"),
        (name = "register", description = "Plates and their photos; asks for a service with --register"),
        (name = "review", description = "Plates that wait for a person, and what persons decide"),
        (name = "imports", description = "Archives and folders of photos"),
        (name = "locations", description = "Locations of the site"),
        (name = "loops", description = "Simple intrinsically safe loops"),
        (name = "substances", description = "The bundled table of gases, vapours and dusts"),
        (name = "session", description = "Signing in and out"),
        (name = "running", description = "For whoever runs the service")
    )
)]
struct Api;

fn routes_of(state: &AppState) -> OpenApiRouter<AppState> {
    let photo_limit = state.limits().bytes.saturating_add(FORM_BYTES);
    let mut photos = OpenApiRouter::new()
        .routes(routes!(readings::post_reading))
        .routes(routes!(uploads::post_plate))
        .routes(routes!(judgements::post_judgement));
    upload::describe(photos.get_openapi_mut());
    OpenApiRouter::with_openapi(Api::openapi())
        .merge(photos.layer(DefaultBodyLimit::max(photo_limit)))
        .merge(
            OpenApiRouter::new()
                .routes(routes!(markings::post_marking))
                .routes(routes!(loops::post_loop))
                .routes(routes!(requirements::post_requirement))
                .routes(routes!(plates::get_plate, plates::patch_plate))
                .routes(routes!(
                    inspections::get_inspections,
                    inspections::post_inspection
                ))
                .routes(routes!(review::post_settlement))
                .routes(routes!(review::post_put_back))
                .routes(routes!(review::post_hold))
                .routes(routes!(locations::get_locations, locations::post_locations))
                .routes(routes!(locations::get_location, locations::put_location))
                .routes(routes!(
                    session::get_session,
                    session::post_session,
                    session::delete_session
                ))
                .layer(DefaultBodyLimit::max(MAX_JSON_BYTES)),
        )
        .merge(
            OpenApiRouter::new()
                .routes(routes!(imports::post_import, imports::get_imports))
                // Bounded as it is written to disk.
                .layer(DefaultBodyLimit::disable()),
        )
        .routes(routes!(imports::get_import))
        .routes(routes!(imports::get_events))
        .routes(routes!(imports::post_pause))
        .routes(routes!(imports::post_resume))
        .routes(routes!(imports::post_cancel))
        .routes(routes!(plates::get_plates))
        .routes(routes!(counts::get_counts))
        .routes(routes!(papers::get_export))
        .routes(routes!(papers::get_report))
        .routes(routes!(pictures::get_photo))
        .routes(routes!(pictures::get_crop))
        .routes(routes!(review::get_review))
        .routes(routes!(substances::get_substances))
        .routes(routes!(health::healthz))
        .routes(routes!(health::readyz))
        .routes(routes!(metrics::get_metrics))
}

/// The OpenAPI description of every route.
pub fn openapi() -> OpenApiDocument {
    let state = AppState::new(
        &crate::config::ServeConfig::default(),
        crate::environment::Environment::system(),
    );
    access::describe(routes_of(&state).into_openapi())
}

/// The whole service.
pub fn app(state: AppState) -> Router {
    let (mut router, api) = routes_of(&state).split_for_parts();
    let api = access::describe(api);
    for (path, file) in page::routes() {
        router = router.route(path, file);
    }
    router
        .route("/openapi.json", get(move || async move { Json(api) }))
        .fallback(not_found)
        .method_not_allowed_fallback(method_not_allowed)
        .layer(middleware::from_fn_with_state(state.clone(), access::guard))
        .layer(middleware::from_fn(drain::refused))
        .layer(middleware::from_fn_with_state(state.clone(), in_time))
        .layer(CatchPanicLayer::custom(panicked))
        .layer(middleware::map_response(safe_headers::add))
        .layer(middleware::from_fn_with_state(
            state.clone(),
            request_log::observe,
        ))
        .with_state(state)
}

async fn not_found(request: Request) -> Problem {
    Problem::new(
        Code::NotFound,
        format!(
            "{} is no path of this service; GET /openapi.json lists them",
            request.uri().path()
        ),
    )
}

async fn method_not_allowed(request: Request) -> Problem {
    Problem::method_not_allowed(&request)
}

/// Gives a request up that takes too long. A photo being read is read to its end, and
/// holds its worker until then. What is sent for an import may take its time, as long as it
/// does not stop coming.
async fn in_time(State(state): State<AppState>, request: Request, next: Next) -> Response {
    if request.method() == Method::POST && request.uri().path() == "/v1/imports" {
        return next.run(request).await;
    }
    let limit = state.request_timeout();
    tokio::time::timeout(limit, next.run(request))
        .await
        .unwrap_or_else(|_| {
            Problem::new(
                Code::TimedOut,
                format!("the request took more than {} s", limit.as_secs()),
            )
            .into_response()
        })
}

#[expect(
    clippy::needless_pass_by_value,
    reason = "the layer hands the panic over"
)]
fn panicked(panic: Box<dyn std::any::Any + Send>) -> Response {
    let text = panic
        .downcast_ref::<&str>()
        .map(|s| (*s).to_owned())
        .or_else(|| panic.downcast_ref::<String>().cloned())
        .unwrap_or_default();
    Problem::internal(&format!("panic: {text}")).into_response()
}
