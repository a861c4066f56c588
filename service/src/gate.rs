//! How many requests may work and wait at a time.

use crate::answer::ModelDto;
use crate::pipeline::PhotoReader;
use crate::problem::{Code, Problem};
use std::sync::Arc;
use tokio::runtime::Handle;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use vetplate_ocr::{OcrError, Photo, PhotoLines};

/// A bounded number of workers with a bounded queue before them.
#[derive(Clone)]
pub(crate) struct Gate {
    inside: Arc<Semaphore>,
    workers: Arc<Semaphore>,
}

/// The right to wait for a worker. Dropping it makes room for another request.
pub(crate) struct Ticket {
    _inside: OwnedSemaphorePermit,
    workers: Arc<Semaphore>,
}

impl Gate {
    /// `workers` that work at the same time, and `queue` more requests that may wait.
    pub(crate) fn new(workers: usize, queue: usize) -> Self {
        let workers = workers.max(1);
        Self {
            inside: Arc::new(Semaphore::new(workers + queue)),
            workers: Arc::new(Semaphore::new(workers)),
        }
    }

    /// A place in the queue, to be had before the body is read, so that waiting bodies
    /// cannot fill the memory.
    ///
    /// # Errors
    ///
    /// [`Code::Busy`] where the queue is full.
    pub(crate) fn enter(&self) -> Result<Ticket, Problem> {
        let inside = Arc::clone(&self.inside)
            .try_acquire_owned()
            .map_err(|_| Problem::new(Code::Busy, "every worker is busy and the queue is full"))?;
        Ok(Ticket {
            _inside: inside,
            workers: Arc::clone(&self.workers),
        })
    }
}

impl Ticket {
    /// Waits for a worker and runs `work` on it, away from the threads that serve requests.
    ///
    /// The worker stays taken until `work` ends, even where the request is given up before.
    ///
    /// # Errors
    ///
    /// [`Code::Internal`] where `work` panics.
    pub(crate) async fn run<T: Send + 'static>(
        self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Problem> {
        let worker = Arc::clone(&self.workers)
            .acquire_owned()
            .await
            .map_err(|e| Problem::internal(&e))?;
        tokio::task::spawn_blocking(move || {
            let _held = (worker, self);
            work()
        })
        .await
        .map_err(|e| Problem::internal(&e))
    }
}

/// A reader for bulk work: each photo waits for its turn behind the requests that wait, so that
/// a request has at most what is being read before it.
pub(crate) struct BulkReader {
    gate: Gate,
    reader: Arc<dyn PhotoReader>,
    runtime: Handle,
}

impl BulkReader {
    /// To be called where the service runs.
    pub(crate) fn new(gate: Gate, reader: Arc<dyn PhotoReader>) -> Self {
        Self {
            gate,
            reader,
            runtime: Handle::current(),
        }
    }
}

impl PhotoReader for BulkReader {
    /// Blocks the thread; not to be called from one that serves requests.
    fn lines(&self, photo: &Photo) -> Result<PhotoLines, OcrError> {
        // The semaphore is fair and never closed: where it were, reading must not stop.
        let _held = self.runtime.block_on(self.gate.workers.acquire()).ok();
        self.reader.lines(photo)
    }

    fn models(&self) -> Vec<ModelDto> {
        self.reader.models()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn the_queue_is_bounded_and_empties() {
        let gate = Gate::new(1, 1);
        let first = gate.enter().unwrap();
        let second = gate.enter().unwrap();
        assert_eq!(gate.enter().err().unwrap().code(), Code::Busy);
        assert_eq!(first.run(|| 1).await.unwrap(), 1);
        let third = gate.enter().unwrap();
        drop(second);
        assert_eq!(third.run(|| 3).await.unwrap(), 3);
    }

    #[tokio::test]
    async fn a_panic_is_our_fault_and_frees_the_worker() {
        let gate = Gate::new(1, 0);
        let ticket = gate.enter().unwrap();
        let problem = ticket.run(|| panic!("on purpose")).await.map(|(): ()| ());
        assert_eq!(problem.unwrap_err().code(), Code::Internal);
        gate.enter().unwrap().run(|| ()).await.unwrap();
    }
}
