//! Connections that are counted, and cut where the client takes nothing of its answer.

use axum_server::accept::Accept;
use std::future::{Future, Ready, ready};
use std::io::{self, IoSlice};
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::TcpStream;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::{Instant, Sleep, sleep};

/// Takes connections up to a number; more are closed at once.
#[derive(Clone)]
pub(super) struct Counted {
    room: Arc<Semaphore>,
    patience: Duration,
}

impl Counted {
    /// At most so many connections; one that takes no byte for `patience` is cut.
    pub(super) fn new(connections: usize, patience: Duration) -> Self {
        Self {
            room: Arc::new(Semaphore::new(connections)),
            patience,
        }
    }
}

impl<S> Accept<TcpStream, S> for Counted {
    type Stream = Held;
    type Service = S;
    type Future = Ready<io::Result<(Held, S)>>;

    fn accept(&self, stream: TcpStream, service: S) -> Self::Future {
        let taken = Arc::clone(&self.room)
            .try_acquire_owned()
            .map_err(|_| io::Error::other("too many connections"))
            .and_then(|room| {
                // Answers are small, and each is written whole.
                stream.set_nodelay(true)?;
                let held = Held {
                    stream,
                    stuck: Box::pin(sleep(self.patience)),
                    waits: false,
                    patience: self.patience,
                    _room: room,
                };
                Ok((held, service))
            });
        if let Err(error) = &taken {
            tracing::warn!(%error, "a connection was closed");
        }
        ready(taken)
    }
}

/// One of the connections that are counted.
pub(super) struct Held {
    stream: TcpStream,
    stuck: Pin<Box<Sleep>>,
    waits: bool,
    patience: Duration,
    _room: OwnedSemaphorePermit,
}

impl Held {
    /// Cuts a write that waited too long.
    fn bounded<T>(
        &mut self,
        context: &mut Context<'_>,
        written: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        if written.is_ready() {
            self.waits = false;
            return written;
        }
        if !self.waits {
            self.waits = true;
            self.stuck.as_mut().reset(Instant::now() + self.patience);
        }
        match self.stuck.as_mut().poll(context) {
            Poll::Ready(()) => Poll::Ready(Err(io::ErrorKind::TimedOut.into())),
            Poll::Pending => Poll::Pending,
        }
    }
}

impl AsyncRead for Held {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(context, buffer)
    }
}

impl AsyncWrite for Held {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write(context, bytes);
        self.bounded(context, written)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        parts: &[IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write_vectored(context, parts);
        self.bounded(context, written)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}
