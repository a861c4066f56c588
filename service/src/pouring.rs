//! Bodies that are written on a thread of their own while they are sent.

use crate::papers::PaperError;
use axum::body::{Body, Bytes};
use std::io::{self, BufWriter, Seek, Write};
use tokio::sync::OwnedSemaphorePermit;
use tokio::sync::mpsc::{Sender, channel};
use tokio_stream::wrappers::ReceiverStream;

/// Bytes that are sent at a time.
const PIECE: usize = 64 << 10;

/// Where the writing thread puts what it has; it waits while the client is slower.
pub(crate) struct Pour(Sender<io::Result<Bytes>>);

impl Write for Pour {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0
            .blocking_send(Ok(Bytes::copy_from_slice(bytes)))
            .map(|()| bytes.len())
            .map_err(|_| io::Error::new(io::ErrorKind::BrokenPipe, "nobody listens any more"))
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// A body that `write` writes. Where it fails, the body ends with an error, so that the
/// transfer breaks off.
pub(crate) fn poured(
    permit: OwnedSemaphorePermit,
    write: impl FnOnce(BufWriter<Pour>) -> Result<(), PaperError> + Send + 'static,
) -> Body {
    let (sender, receiver) = channel(2);
    tokio::task::spawn_blocking(move || {
        let _held = permit;
        let out = BufWriter::with_capacity(PIECE, Pour(sender.clone()));
        ended(write(out), &sender);
    });
    Body::from_stream(ReceiverStream::new(receiver))
}

/// As [`poured`], for what can only be written into a file: the file is sent once it is whole.
pub(crate) fn poured_file(
    permit: OwnedSemaphorePermit,
    write: impl FnOnce(&mut std::fs::File) -> Result<(), PaperError> + Send + 'static,
) -> Body {
    poured(permit, move |mut out| {
        let failed = |e: io::Error| PaperError::Export(e.into());
        let mut file = tempfile::tempfile().map_err(failed)?;
        write(&mut file)?;
        file.rewind().map_err(failed)?;
        io::copy(&mut file, &mut out).map_err(failed)?;
        out.flush().map_err(failed)
    })
}

fn ended(result: Result<(), PaperError>, sender: &Sender<io::Result<Bytes>>) {
    if let Err(error) = result {
        tracing::warn!(%error, "a table or report was not written to its end");
        // Where the client has gone nobody hears it.
        let _ = sender.blocking_send(Err(io::Error::other("it could not be written to its end")));
    }
}
