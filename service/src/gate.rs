//! How many photos are read at a time, and whose turn it is.
//!
//! A person waits in front of the equipment, a bulk import does not: when a worker becomes
//! free, requests go first. A photo that is being read is read to its end.

use crate::answer::ModelDto;
use crate::measures;
use crate::pipeline::PhotoReader;
use crate::problem::{Code, Problem};
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Instant;
use tokio::sync::oneshot;
use vetplate_ocr::{OcrError, Photo, PhotoLines};

/// A bounded number of workers with a bounded queue before them.
#[derive(Clone)]
pub(crate) struct Gate(Arc<Inner>);

struct Inner {
    /// Requests that may work and wait, together.
    places: usize,
    state: Mutex<State>,
}

#[derive(Default)]
struct State {
    free: usize,
    inside: usize,
    /// Never both free workers and somebody who waits.
    requests: VecDeque<oneshot::Sender<Worker>>,
    bulk: VecDeque<oneshot::Sender<Worker>>,
}

/// The right to wait for a worker. Dropping it makes room for another request.
pub(crate) struct Ticket(Arc<Inner>);

/// A worker that is taken. Dropping it hands it to whoever is next.
struct Worker(Option<Arc<Inner>>);

/// Whose work it is.
#[derive(Clone, Copy)]
enum For {
    Request,
    Bulk,
}

impl Gate {
    /// `workers` that work at the same time, and `queue` more requests that may wait.
    pub(crate) fn new(workers: usize, queue: usize) -> Self {
        let workers = workers.max(1);
        Self(Arc::new(Inner {
            places: workers + queue,
            state: Mutex::new(State {
                free: workers,
                ..State::default()
            }),
        }))
    }

    /// A place in the queue, to be had before the body is read, so that waiting bodies
    /// cannot fill the memory.
    ///
    /// # Errors
    ///
    /// [`Code::Busy`] where the queue is full.
    pub(crate) fn enter(&self) -> Result<Ticket, Problem> {
        let mut state = self.0.lock();
        if state.inside >= self.0.places {
            return Err(Problem::new(
                Code::Busy,
                "every worker is busy and the queue is full",
            ));
        }
        state.inside += 1;
        Ok(Ticket(Arc::clone(&self.0)))
    }

    /// Whether another request would be sent away.
    pub(crate) fn is_full(&self) -> bool {
        self.0.lock().inside >= self.0.places
    }

    /// Requests and photos of bulk imports that wait for a worker.
    pub(crate) fn waiting(&self) -> (usize, usize) {
        let state = self.0.lock();
        (alive(&state.requests), alive(&state.bulk))
    }
}

fn alive(queue: &VecDeque<oneshot::Sender<Worker>>) -> usize {
    queue.iter().filter(|waiting| !waiting.is_closed()).count()
}

impl Inner {
    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A worker, or the place in the queue where one will come.
    fn ask(self: &Arc<Self>, whose: For) -> Result<Worker, oneshot::Receiver<Worker>> {
        let mut state = self.lock();
        if state.free > 0 {
            state.free -= 1;
            return Ok(Worker(Some(Arc::clone(self))));
        }
        let (sender, receiver) = oneshot::channel();
        let queue = match whose {
            For::Request => &mut state.requests,
            For::Bulk => &mut state.bulk,
        };
        // Who went away leaves the queue.
        queue.retain(|waiting| !waiting.is_closed());
        queue.push_back(sender);
        Err(receiver)
    }

    /// Hands a worker to the next who still waits.
    fn pass_on(self: &Arc<Self>) {
        loop {
            let next = {
                let mut state = self.lock();
                let next = state.requests.pop_front();
                let next = next.or_else(|| state.bulk.pop_front());
                if next.is_none() {
                    state.free += 1;
                }
                next
            };
            let Some(next) = next else {
                return;
            };
            match next.send(Worker(Some(Arc::clone(self)))) {
                Ok(()) => return,
                // Gone: this worker has not been given to anybody.
                Err(mut worker) => worker.0 = None,
            }
        }
    }
}

impl Drop for Ticket {
    fn drop(&mut self) {
        self.0.lock().inside -= 1;
    }
}

impl Drop for Worker {
    fn drop(&mut self) {
        if let Some(gate) = self.0.take() {
            gate.pass_on();
        }
    }
}

impl Ticket {
    /// Waits for a worker and runs `work` on it, away from the threads that serve requests.
    /// A client that goes away while it waits leaves the queue.
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
        let since = Instant::now();
        let worker = match self.0.ask(For::Request) {
            Ok(worker) => worker,
            Err(place) => place.await.map_err(|e| Problem::internal(&e))?,
        };
        measures::took("wait", since.elapsed());
        tokio::task::spawn_blocking(move || {
            // In this order: whoever is next finds room in the queue.
            let _held = (self, worker);
            work()
        })
        .await
        .map_err(|e| Problem::internal(&e))
    }
}

/// A reader for bulk work: each photo waits until no request does.
pub(crate) struct BulkReader {
    gate: Gate,
    reader: Arc<dyn PhotoReader>,
}

impl BulkReader {
    pub(crate) fn new(gate: Gate, reader: Arc<dyn PhotoReader>) -> Self {
        Self { gate, reader }
    }
}

impl PhotoReader for BulkReader {
    /// Blocks the thread; not to be called from one that serves requests.
    fn lines(&self, photo: &Photo) -> Result<PhotoLines, OcrError> {
        let worker = match self.gate.0.ask(For::Bulk) {
            Ok(worker) => Some(worker),
            // The gate lives as long as this reader, so that a worker comes.
            Err(place) => place.blocking_recv().ok(),
        };
        let lines = self.reader.lines(photo);
        drop(worker);
        lines
    }

    fn models(&self) -> Vec<ModelDto> {
        self.reader.models()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc;
    use std::time::Duration;

    #[tokio::test]
    async fn the_queue_is_bounded_and_empties() {
        let gate = Gate::new(1, 1);
        let first = gate.enter().unwrap();
        let second = gate.enter().unwrap();
        assert!(gate.is_full());
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

    #[tokio::test]
    async fn requests_go_before_bulk_work_and_whoever_left_is_passed_over() {
        let gate = Gate::new(1, 8);
        let Ok(worker) = gate.0.ask(For::Request) else {
            panic!("the only worker is free")
        };
        let Err(bulk) = gate.0.ask(For::Bulk) else {
            panic!("the only worker is taken")
        };
        let (Err(gone), Err(person)) = (gate.0.ask(For::Request), gate.0.ask(For::Request)) else {
            panic!("the only worker is taken")
        };
        assert_eq!(gate.waiting(), (2, 1));
        drop(gone);
        assert_eq!(gate.waiting(), (1, 1));
        drop(worker);
        // Came last and goes first.
        let worker = person.await.unwrap();
        assert_eq!(gate.waiting(), (0, 1));
        drop(worker);
        drop(bulk.await.unwrap());
        assert_eq!(gate.0.lock().free, 1);
    }

    #[tokio::test]
    async fn a_worker_that_was_given_to_somebody_who_left_is_not_lost() {
        let gate = Gate::new(1, 8);
        let Ok(worker) = gate.0.ask(For::Request) else {
            panic!("the only worker is free")
        };
        let Err(place) = gate.0.ask(For::Request) else {
            panic!("the only worker is taken")
        };
        drop(worker);
        // The worker lies in the channel when its receiver goes.
        drop(place);
        assert_eq!(gate.0.lock().free, 1);
    }

    struct Slow(mpsc::Sender<()>);

    impl PhotoReader for Slow {
        fn lines(&self, _: &Photo) -> Result<PhotoLines, OcrError> {
            self.0.send(()).unwrap();
            Ok(PhotoLines::default())
        }

        fn models(&self) -> Vec<ModelDto> {
            Vec::new()
        }
    }

    #[tokio::test(flavor = "multi_thread")]
    async fn bulk_reading_waits_for_a_worker() {
        let gate = Gate::new(1, 0);
        let Ok(worker) = gate.0.ask(For::Request) else {
            panic!("the only worker is free")
        };
        let (sender, reached) = mpsc::channel();
        let reader = BulkReader::new(gate.clone(), Arc::new(Slow(sender)));
        let picture = include_bytes!("../assets/self-check.png");
        let photo = Photo::decode(picture, &vetplate_ocr::Limits::default()).unwrap();
        let reading = tokio::task::spawn_blocking(move || reader.lines(&photo).is_ok());
        while gate.waiting().1 == 0 {
            tokio::time::sleep(Duration::from_millis(1)).await;
        }
        assert!(reached.try_recv().is_err());
        drop(worker);
        assert!(reading.await.unwrap());
        assert!(reached.try_recv().is_ok());
    }
}
