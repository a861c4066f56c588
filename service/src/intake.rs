//! What is sent for an import, on its way to disk.

use crate::problem::{Code, Problem};
use crate::spool::{Kept, Spool};
use crate::state::AppState;
use crate::upload::{MAX_WORDS_BYTES, body_fault, form_fault, text_part};
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{FromRequest, Multipart, Request};
use http_body_util::BodyExt;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Content types of archives that are taken as the body.
const ARCHIVES: [&str; 7] = [
    "application/zip",
    "application/x-zip-compressed",
    "application/x-tar",
    "application/gzip",
    "application/x-gzip",
    "application/x-gtar",
    "application/octet-stream",
];

/// What is to be imported.
pub(crate) struct Given {
    pub(crate) source: PathBuf,
    pub(crate) keep: bool,
    pub(crate) location: Option<String>,
    pub(crate) who: Option<String>,
}

/// How much may come, and how slowly.
#[derive(Clone, Copy)]
struct Bounds {
    bytes: u64,
    /// Longest silence.
    silence: Duration,
}

/// Writes down what is sent, below `spool`.
///
/// # Errors
///
/// What is wrong with the request; nothing of it is left then.
pub(crate) async fn received(
    request: Request,
    kind: Option<String>,
    state: &AppState,
    spool: &Path,
) -> Result<Given, Problem> {
    let bounds = Bounds {
        bytes: state.import_bytes(),
        silence: state.request_timeout(),
    };
    let name = state.environment().request_id();
    match kind.as_deref() {
        Some("multipart/form-data") => form(request, state, (spool, &name), bounds).await,
        Some(kind) if ARCHIVES.contains(&kind) => {
            let kept = Kept::archive("", Some(kind));
            let spool = Spool::begin(spool, &name, kept);
            match body(request, &spool, bounds).await {
                Ok(()) => given(spool, None, None).await,
                Err(problem) => {
                    spool.drop_it().await;
                    Err(problem)
                }
            }
        }
        other => Err(Problem::new(
            Code::UnsupportedMediaType,
            format!(
                "{:?} is not taken; send an archive as one of {}, multipart/form-data with parts \
                 named archive or photo, or application/json with a folder",
                other.unwrap_or_default(),
                ARCHIVES.join(", ")
            ),
        )),
    }
}

async fn given(
    spool: Spool,
    location: Option<String>,
    who: Option<String>,
) -> Result<Given, Problem> {
    let source = spool.end().await.map_err(|error| match error.kind() {
        ErrorKind::StorageFull => Problem::new(
            Code::StorageFull,
            "the disk is full, so nothing of it was kept; make room and send it again",
        ),
        _ => Problem::internal(&error),
    })?;
    Ok(Given {
        source,
        // What is sent lies nowhere else.
        keep: true,
        location,
        who,
    })
}

fn silent(silence: Duration) -> Problem {
    Problem::new(
        Code::TimedOut,
        format!("nothing came for {} s; send it again", silence.as_secs()),
    )
}

async fn body(request: Request, spool: &Spool, bounds: Bounds) -> Result<(), Problem> {
    let mut body = request.into_body();
    let mut left = bounds.bytes;
    loop {
        let next = tokio::time::timeout(bounds.silence, body.frame()).await;
        let Some(frame) = next.map_err(|_| silent(bounds.silence))? else {
            break;
        };
        let frame = frame.map_err(|e| body_fault(&e, bounds.bytes as usize))?;
        if let Ok(bytes) = frame.into_data() {
            left = spend(left, bytes.len(), bounds)?;
            spool.bytes(bytes).await;
        }
    }
    if left == bounds.bytes {
        return Err(Problem::new(
            Code::EmptyBody,
            "the archive is empty; send it again",
        ));
    }
    Ok(())
}

fn spend(left: u64, bytes: usize, bounds: Bounds) -> Result<u64, Problem> {
    left.checked_sub(bytes as u64).ok_or_else(|| {
        Problem::new(
            Code::BodyTooLarge,
            format!(
                "more than the {} MiB allowed for one import; send it in parts, or import it on \
                 the command line",
                bounds.bytes >> 20
            ),
        )
    })
}

async fn form(
    request: Request,
    state: &AppState,
    (root, name): (&Path, &str),
    bounds: Bounds,
) -> Result<Given, Problem> {
    let form = Multipart::from_request(request, state)
        .await
        .map_err(|e| Problem::new(Code::MalformedRequest, e.body_text()))?;
    let mut sent = Form {
        spool: None,
        archives: 0,
        left: bounds.bytes,
        location: None,
        who: None,
    };
    let largest = state.limits().bytes;
    let read = sent.read(form, (root, name), bounds, largest).await;
    match (read, sent.spool) {
        (Ok(()), Some((_, spool))) => given(spool, sent.location, sent.who).await,
        (Ok(()), None) => Err(Problem::new(
            Code::InvalidRequest,
            "the form has no part named archive or photo; add one",
        )),
        (Err(problem), spool) => {
            if let Some((_, spool)) = spool {
                spool.drop_it().await;
            }
            Err(problem)
        }
    }
}

/// A form while it comes.
struct Form {
    spool: Option<(Kept, Spool)>,
    archives: usize,
    left: u64,
    location: Option<String>,
    who: Option<String>,
}

impl Form {
    async fn read(
        &mut self,
        mut form: Multipart,
        (root, name): (&Path, &str),
        bounds: Bounds,
        largest: usize,
    ) -> Result<(), Problem> {
        loop {
            let next = tokio::time::timeout(bounds.silence, form.next_field()).await;
            let next = next.map_err(|_| silent(bounds.silence))?;
            let Some(mut part) = next.map_err(|e| fault(&e, bounds))? else {
                return Ok(());
            };
            let key = part.name().unwrap_or_default().to_owned();
            match key.as_str() {
                "archive" | "photo" => {
                    let file = part.file_name().unwrap_or_default().to_owned();
                    let kept = match key.as_str() {
                        "archive" => Kept::archive(&file, part.content_type()),
                        _ => Kept::Photos,
                    };
                    self.archives += usize::from(kept != Kept::Photos);
                    let (held, spool) = self
                        .spool
                        .get_or_insert_with(|| (kept, Spool::begin(root, name, kept)));
                    if *held != kept || self.archives > 1 {
                        return Err(Problem::new(
                            Code::InvalidRequest,
                            "send one archive, or photos, a request",
                        ));
                    }
                    let mut most = u64::MAX;
                    if kept == Kept::Photos {
                        spool.member(&file).await;
                        // One byte too many tells that it is too large; the rest is of no use.
                        most = largest as u64 + 1;
                    }
                    self.left = pour(&mut part, spool, (self.left, most), bounds).await?;
                }
                "location" => {
                    self.location = Some(text_part(&mut part, &key, MAX_WORDS_BYTES).await?);
                }
                "who" => self.who = Some(text_part(&mut part, &key, MAX_WORDS_BYTES).await?),
                _ => {
                    return Err(Problem::new(
                        Code::InvalidRequest,
                        format!(
                            "the form has a part named {key:?}; it takes archive, photo, \
                             location and who"
                        ),
                    ));
                }
            }
        }
    }
}

/// Writes a part down, at most `most` bytes of it; answers how many bytes may still come.
async fn pour(
    part: &mut Field<'_>,
    spool: &Spool,
    (mut left, mut most): (u64, u64),
    bounds: Bounds,
) -> Result<u64, Problem> {
    loop {
        let next = tokio::time::timeout(bounds.silence, part.chunk()).await;
        let next = next.map_err(|_| silent(bounds.silence))?;
        let Some(mut bytes) = next.map_err(|e| fault(&e, bounds))? else {
            return Ok(left);
        };
        left = spend(left, bytes.len(), bounds)?;
        bytes.truncate(usize::try_from(most).unwrap_or(usize::MAX));
        most -= bytes.len() as u64;
        spool.bytes(bytes).await;
    }
}

fn fault(error: &MultipartError, bounds: Bounds) -> Problem {
    form_fault(error, bounds.bytes as usize)
}
