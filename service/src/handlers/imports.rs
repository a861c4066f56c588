//! Imports behind the service: archives and photos that are sent, and folders that it may open.

use crate::access::Acting;
use crate::answer::{ImportDetailDto, ImportDto, ImportProblemDto, ImportsDto, resumable};
use crate::bulk::{Bulk, Order, Standing, Tools, Wish};
use crate::desk::Desk;
use crate::intake::{Given, received};
use crate::problem::{Code, Problem, ProblemDto};
use crate::register::{Asked, ImportId, ImportState, Origin};
use crate::state::AppState;
use crate::upload::body_fault;
use axum::Json;
use axum::body::to_bytes;
use axum::extract::rejection::{PathRejection, QueryRejection};
use axum::extract::{Path, Query, Request, State};
use axum::http::StatusCode;
use axum::http::header::LOCATION;
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use std::convert::Infallible;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::mpsc;
use tokio_stream::Stream;
use tokio_stream::wrappers::ReceiverStream;
use utoipa::{IntoParams, ToSchema};

/// Between two looks at an import that somebody listens to.
const LOOK: Duration = Duration::from_millis(250);
/// Most imports of a list.
const MAX_LIMIT: usize = 200;
/// Longest request that names a folder, bytes.
const MAX_JSON_BYTES: usize = 16 << 10;
/// Most problems of a page.
const MAX_PROBLEMS: usize = 1000;

/// An archive or photos as multipart form.
#[derive(ToSchema)]
#[expect(dead_code, reason = "describes the form; it is read part by part")]
pub(crate) struct ImportForm {
    /// A zip or tar archive.
    #[schema(value_type = Option<String>, format = Binary)]
    archive: Option<Vec<u8>>,
    /// Or photos, a part for each; folders in their file names tell the location.
    #[schema(value_type = Vec<String>)]
    photo: Vec<Vec<u8>>,
    /// Tag of the location of photos that tell no other.
    location: Option<String>,
    /// Who imports.
    who: Option<String>,
}

/// A folder below the one that the service may import from.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"folder": "2026/still-house", "who": "A. Inspector"}))]
pub(crate) struct FolderRequest {
    /// The folder, or an archive in it.
    folder: String,
    /// True to keep copies of the photos; else they stay where they lie.
    #[serde(default)]
    keep: bool,
    /// Tag of the location of photos that tell no other.
    location: Option<String>,
    /// Who imports.
    who: Option<String>,
}

/// The desk with its imports.
pub(super) fn bulk_of(state: &AppState) -> Result<(Arc<Desk>, Arc<Bulk>), Problem> {
    let desk = state.desk()?;
    let bulk = desk.bulk().cloned().ok_or_else(|| {
        Problem::new(
            Code::NoRegister,
            "this service imports nothing: its register has no file",
        )
    })?;
    Ok((desk, bulk))
}

fn tools(state: &AppState, desk: Arc<Desk>) -> Result<Tools, Problem> {
    Ok(Tools {
        desk,
        reader: state.bulk_reader()?,
        jobs: state.workers(),
        limits: state.limits(),
        environment: state.environment().clone(),
    })
}

/// Starts an import.
///
/// An archive (zip, tar, tar.gz) as the body or as the part `archive` of a form, or several
/// photos as parts `photo`; what is sent is on disk before the answer, and copies of the photos
/// are kept. Or, as JSON, a folder below the one that the service was started with
/// (`--import-from`); no other path is ever opened. One import runs at a time; photos of people
/// who wait go before its own.
#[utoipa::path(
    post, path = "/v1/imports", tag = "imports",
    request_body(
        description = "An archive, photos, or the name of a folder",
        content(
            (ImportForm = "multipart/form-data"),
            (FolderRequest = "application/json"),
            (Vec<u8> = "application/zip"),
            (Vec<u8> = "application/x-tar"),
            (Vec<u8> = "application/gzip"),
        )
    ),
    responses(
        (status = 202, description = "It has begun; Location names it", body = ImportDto),
        (status = 400, description = "No bytes, or a form that cannot be taken apart", body = ProblemDto, content_type = "application/problem+json"),
        (status = 409, description = "Another import is at work", body = ProblemDto, content_type = "application/problem+json"),
        (status = 413, description = "Too many bytes", body = ProblemDto, content_type = "application/problem+json"),
        (status = 415, description = "No content type that is taken", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "A folder that may not be opened, or a word that is not taken", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json"),
        (status = 503, description = "Not ready yet", body = ProblemDto, content_type = "application/problem+json"),
        (status = 507, description = "No room on the disk", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_import(
    State(state): State<AppState>,
    acting: Acting,
    request: Request,
) -> Result<Response, Problem> {
    let (desk, bulk) = bulk_of(&state)?;
    let tools = tools(&state, desk)?;
    bulk.is_free()?;
    let kind = crate::extract::content_type(&request);
    let (given, origin) = if kind.as_deref() == Some("application/json") {
        let request = folder_request(request).await?;
        let given = Given {
            source: bulk.below(&request.folder)?,
            keep: request.keep,
            location: request.location,
            who: request.who,
        };
        (given, Origin::Folder)
    } else {
        let _one = state.archive_permit()?;
        (
            received(request, kind, &state, bulk.spool()).await?,
            Origin::Upload,
        )
    };
    let source = given.source.clone();
    let started = begin(&bulk, tools, &acting, given, origin).await;
    if started.is_err() && origin == Origin::Upload {
        bulk.forget(&source);
    }
    answered(&state, started?, StatusCode::ACCEPTED).await
}

async fn folder_request(request: Request) -> Result<FolderRequest, Problem> {
    let bytes = to_bytes(request.into_body(), MAX_JSON_BYTES)
        .await
        .map_err(|e| body_fault(&e, MAX_JSON_BYTES))?;
    let Json(request) = Json::<FolderRequest>::from_bytes(&bytes)?;
    Ok(request)
}

async fn begin(
    bulk: &Arc<Bulk>,
    tools: Tools,
    acting: &Acting,
    given: Given,
    origin: Origin,
) -> Result<ImportId, Problem> {
    let said = given.who.filter(|who| !who.trim().is_empty());
    let nobody = super::uploads::NOBODY;
    let who = acting.who(Some(said.as_deref().unwrap_or(nobody)))?;
    let location = given
        .location
        .map(|l| l.trim().to_owned())
        .filter(|l| !l.is_empty());
    let order = Order {
        sources: vec![given.source],
        asked: Asked {
            origin,
            kept: given.keep,
            location,
            resumes: None,
        },
        who,
        retry_failed: false,
    };
    started(bulk, tools, order).await
}

async fn started(bulk: &Arc<Bulk>, tools: Tools, order: Order) -> Result<ImportId, Problem> {
    let bulk = Arc::clone(bulk);
    tokio::task::spawn_blocking(move || bulk.start(tools, order))
        .await
        .map_err(|e| Problem::internal(&e))?
}

/// How the import stands, and where.
async fn answered(state: &AppState, id: ImportId, status: StatusCode) -> Result<Response, Problem> {
    let dto = standing(state, id).await?;
    let location = format!("/v1/imports/{id}");
    Ok((status, [(LOCATION, location)], Json(dto)).into_response())
}

async fn standing(state: &AppState, id: ImportId) -> Result<ImportDto, Problem> {
    let (_, bulk) = bulk_of(state)?;
    state
        .on_desk(move |desk| {
            let standing = found(&bulk, desk, id)?;
            Ok(ImportDto::new(&standing, &bulk))
        })
        .await
}

fn found(bulk: &Bulk, desk: &Desk, id: ImportId) -> Result<Standing, Problem> {
    bulk.standing(desk, id)?.ok_or_else(|| {
        Problem::new(
            Code::NotFound,
            format!("there is no import {id}; GET /v1/imports lists them"),
        )
    })
}

fn id(path: Result<Path<i64>, PathRejection>) -> Result<ImportId, Problem> {
    path.map(|Path(id)| ImportId(id)).map_err(|_| {
        Problem::new(
            Code::NotFound,
            "imports are named by numbers; GET /v1/imports lists them",
        )
    })
}

/// How many imports.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ImportsQuery {
    /// Most imports, 1 to 200.
    #[param(default = 50)]
    limit: Option<usize>,
}

/// The latest imports, newest first; also those of the command line.
#[utoipa::path(
    get, path = "/v1/imports", tag = "imports",
    params(ImportsQuery),
    responses(
        (status = 200, description = "The imports", body = ImportsDto),
        (status = 422, description = "A key whose value is not taken", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_imports(
    State(state): State<AppState>,
    query: Result<Query<ImportsQuery>, QueryRejection>,
) -> Result<Json<ImportsDto>, Problem> {
    let (_, bulk) = bulk_of(&state)?;
    let Query(query) = query.map_err(|e| Problem::new(Code::InvalidRequest, e.body_text()))?;
    let limit = within("limit", query.limit.unwrap_or(50), MAX_LIMIT)?;
    let imports = state
        .on_desk(move |desk| {
            let latest = bulk.latest(desk, limit)?;
            Ok(latest.iter().map(|s| ImportDto::new(s, &bulk)).collect())
        })
        .await?;
    Ok(Json(ImportsDto { imports }))
}

fn within(key: &str, value: usize, most: usize) -> Result<usize, Problem> {
    if (1..=most).contains(&value) {
        Ok(value)
    } else {
        Err(Problem::new(
            Code::InvalidRequest,
            format!("`{key}` takes 1 to {most}"),
        ))
    }
}

/// Which part of what an import could not take.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ProblemsQuery {
    /// Problems to leave out at the beginning.
    #[param(default = 0)]
    skip: Option<usize>,
    /// Most problems of the answer, 1 to 1000.
    #[param(default = 100)]
    limit: Option<usize>,
}

/// One import with its accounts and what it could not take.
#[utoipa::path(
    get, path = "/v1/imports/{id}", tag = "imports",
    params(("id" = i64, Path, description = "Number of the import"), ProblemsQuery),
    responses(
        (status = 200, description = "The import", body = ImportDetailDto),
        (status = 404, description = "No such import", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "A key whose value is not taken", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_import(
    State(state): State<AppState>,
    path: Result<Path<i64>, PathRejection>,
    query: Result<Query<ProblemsQuery>, QueryRejection>,
) -> Result<Json<ImportDetailDto>, Problem> {
    let (_, bulk) = bulk_of(&state)?;
    let id = id(path)?;
    let Query(query) = query.map_err(|e| Problem::new(Code::InvalidRequest, e.body_text()))?;
    let limit = within("limit", query.limit.unwrap_or(100), MAX_PROBLEMS)?;
    let skip = query.skip.unwrap_or(0);
    let detail = state
        .on_desk(move |desk| {
            let standing = found(&bulk, desk, id)?;
            let problems = desk.photos().problems(id, skip, limit)?;
            Ok(ImportDetailDto {
                import: ImportDto::new(&standing, &bulk),
                waiting: desk.photos().waiting_of(id)?,
                problems: problems
                    .into_iter()
                    .map(|p| ImportProblemDto::new(p, &standing, &bulk))
                    .collect(),
            })
        })
        .await?;
    Ok(Json(detail))
}

/// Follows an import: server-sent events, each with the whole state.
///
/// The first event is how it stands now, whatever was heard before, so that a connection that
/// broke off is simply made again. `progress` is sent while it runs, `end` once it has ended;
/// then the stream ends.
#[utoipa::path(
    get, path = "/v1/imports/{id}/events", tag = "imports",
    params(("id" = i64, Path, description = "Number of the import")),
    responses(
        (status = 200, description = "Events `progress` and `end`, their data an `Import`", body = String, content_type = "text/event-stream"),
        (status = 404, description = "No such import", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_events(
    State(state): State<AppState>,
    path: Result<Path<i64>, PathRejection>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Problem> {
    bulk_of(&state)?;
    let id = id(path)?;
    let mut now = standing(&state, id).await?;
    let (events, stream) = mpsc::channel(1);
    tokio::spawn(async move {
        let mut number = 0_u64;
        loop {
            number += 1;
            let ended = !matches!(now.state, "running" | "paused" | "stopping");
            let name = if ended { "end" } else { "progress" };
            let event = Event::default().event(name).id(number.to_string());
            let Ok(event) = event.json_data(&now) else {
                return;
            };
            // Nobody listens any more.
            if events.send(Ok(event)).await.is_err() || ended {
                return;
            }
            loop {
                tokio::select! {
                    () = events.closed() => return,
                    () = state.ending() => return,
                    () = tokio::time::sleep(LOOK) => {}
                }
                match standing(&state, id).await {
                    Ok(next) if next == now => {}
                    Ok(next) => {
                        now = next;
                        break;
                    }
                    Err(_) => return,
                }
            }
        }
    });
    Ok(Sse::new(ReceiverStream::new(stream)).keep_alive(KeepAlive::default()))
}

/// Takes nothing new until it is resumed; what is in hand is finished.
#[utoipa::path(
    post, path = "/v1/imports/{id}/pause", tag = "imports",
    params(("id" = i64, Path, description = "Number of the import")),
    responses(
        (status = 200, description = "It pauses", body = ImportDto),
        (status = 404, description = "No such import", body = ProblemDto, content_type = "application/problem+json"),
        (status = 409, description = "It is not at work here", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_pause(
    State(state): State<AppState>,
    path: Result<Path<i64>, PathRejection>,
) -> Result<Response, Problem> {
    wish(&state, path, Wish::Pause).await
}

/// Ends an import; what was taken stays, and it can be resumed.
#[utoipa::path(
    post, path = "/v1/imports/{id}/cancel", tag = "imports",
    params(("id" = i64, Path, description = "Number of the import")),
    responses(
        (status = 200, description = "It stops once what is in hand is finished", body = ImportDto),
        (status = 404, description = "No such import", body = ProblemDto, content_type = "application/problem+json"),
        (status = 409, description = "It is not at work here", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_cancel(
    State(state): State<AppState>,
    path: Result<Path<i64>, PathRejection>,
) -> Result<Response, Problem> {
    wish(&state, path, Wish::Cancel).await
}

async fn wish(
    state: &AppState,
    path: Result<Path<i64>, PathRejection>,
    wish: Wish,
) -> Result<Response, Problem> {
    let (_, bulk) = bulk_of(state)?;
    let id = id(path)?;
    standing(state, id).await?;
    bulk.wish(id, wish)?;
    answered(state, id, StatusCode::OK).await
}

/// Goes on with an import: one that is paused at once; one that was cancelled or interrupted as
/// a new import of the same sources, which finds what was taken already held; one that is done
/// with failures tries those again.
#[utoipa::path(
    post, path = "/v1/imports/{id}/resume", tag = "imports",
    params(("id" = i64, Path, description = "Number of the import")),
    responses(
        (status = 200, description = "It goes on", body = ImportDto),
        (status = 202, description = "A new import goes on with it; Location names it", body = ImportDto),
        (status = 404, description = "No such import", body = ProblemDto, content_type = "application/problem+json"),
        (status = 409, description = "There is nothing to go on with, or another import is at work", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json"),
        (status = 503, description = "Not ready yet", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_resume(
    State(state): State<AppState>,
    acting: Acting,
    path: Result<Path<i64>, PathRejection>,
) -> Result<Response, Problem> {
    let (desk, bulk) = bulk_of(&state)?;
    let id = id(path)?;
    if bulk.is_here(id) {
        bulk.wish(id, Wish::Resume)?;
        return answered(&state, id, StatusCode::OK).await;
    }
    let of = Arc::clone(&bulk);
    let standing = state.on_desk(move |desk| found(&of, desk, id)).await?;
    let wrong = |message: String| Problem::new(Code::WrongState, message);
    if !resumable(&standing) {
        return Err(wrong(match standing.record.resumed_by {
            Some(next) => format!("import {next} goes on with it already"),
            None if standing.record.asked.origin == Origin::Command => {
                "it was begun on the command line; the same command goes on with it".to_owned()
            }
            None => "it came to its end, and nothing failed".to_owned(),
        }));
    }
    let sources: Vec<PathBuf> = standing.record.sources.iter().map(PathBuf::from).collect();
    for source in &sources {
        if !bulk.may_open(source) {
            return Err(wrong(
                "what it imported from is not there any more; send it again".to_owned(),
            ));
        }
    }
    let order = Order {
        sources,
        asked: Asked {
            resumes: Some(id),
            ..standing.record.asked.clone()
        },
        who: acting.who(Some(&standing.record.who))?,
        retry_failed: standing.record.state == ImportState::Done,
    };
    let next = started(&bulk, tools(&state, desk)?, order).await?;
    answered(&state, next, StatusCode::ACCEPTED).await
}
