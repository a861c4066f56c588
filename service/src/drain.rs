//! What a client still sends when its request is refused.
//!
//! A connection that is closed while the client writes is reset, and the client never reads why
//! it was refused. So what still comes is taken and dropped, up to a bound, before the refusal
//! goes out.

use axum::body::{Body, BodyDataStream, Bytes};
use axum::extract::Request;
use axum::http::Method;
use axum::http::header::EXPECT;
use axum::middleware::Next;
use axum::response::Response;
use std::pin::Pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll};
use std::time::Duration;
use tokio_stream::{Stream, StreamExt};

/// Most that is taken, bytes: a photo as phones make them. Whoever sends more is cut.
const MAX_BYTES: usize = 32 << 20;
/// Longest time that it may take. The deadline of the request counts besides.
const MAX_TIME: Duration = Duration::from_secs(10);

/// A body that its handler may drop, and that can be read on elsewhere.
#[derive(Clone)]
struct Lent(Arc<Mutex<Inner>>);

struct Inner {
    stream: BodyDataStream,
    /// Whether anybody has begun to read.
    is_begun: bool,
}

impl Stream for Lent {
    type Item = Result<Bytes, axum::Error>;

    fn poll_next(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        let mut inner = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        inner.is_begun = true;
        Pin::new(&mut inner.stream).poll_next(context)
    }
}

/// Takes what a client still sends when it is refused.
pub(crate) async fn refused(request: Request, next: Next) -> Response {
    if matches!(*request.method(), Method::GET | Method::HEAD) {
        return next.run(request).await;
    }
    let (parts, body) = request.into_parts();
    // Such a client sends its body when it is asked to, and would be by reading on.
    let waits = parts.headers.contains_key(EXPECT);
    let lent = Lent(Arc::new(Mutex::new(Inner {
        stream: body.into_data_stream(),
        is_begun: false,
    })));
    let request = Request::from_parts(parts, Body::from_stream(lent.clone()));
    let response = next.run(request).await;
    let is_refusal = response.status().is_client_error() || response.status().is_server_error();
    if is_refusal && (!waits || lent.is_begun()) {
        // Whether all of it came or not, the answer goes out.
        let _ = tokio::time::timeout(MAX_TIME, drop_all(lent)).await;
    }
    response
}

impl Lent {
    fn is_begun(&self) -> bool {
        let inner = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        inner.is_begun
    }
}

async fn drop_all(mut body: Lent) {
    let mut allowed = MAX_BYTES;
    while let Some(Ok(piece)) = body.next().await {
        let Some(rest) = allowed.checked_sub(piece.len()) else {
            return;
        };
        allowed = rest;
    }
}
