//! What the service takes from the world around it, so that tests can put it on rails.

use std::collections::hash_map::RandomState;
use std::hash::BuildHasher;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// Clock and ids.
#[derive(Clone)]
pub struct Environment {
    now: Arc<dyn Fn() -> Duration + Send + Sync>,
    request_id: Arc<dyn Fn() -> String + Send + Sync>,
}

impl Environment {
    /// `now` is the time since any fixed moment and never goes back; `request_id` gives a
    /// new name at each call.
    pub fn new(
        now: impl Fn() -> Duration + Send + Sync + 'static,
        request_id: impl Fn() -> String + Send + Sync + 'static,
    ) -> Self {
        Self {
            now: Arc::new(now),
            request_id: Arc::new(request_id),
        }
    }

    /// The clock of the machine, and ids that differ between runs.
    pub fn system() -> Self {
        let start = Instant::now();
        let seed = RandomState::new();
        let count = AtomicU64::new(0);
        Self::new(
            move || start.elapsed(),
            move || {
                let number = count.fetch_add(1, Ordering::Relaxed);
                format!("{:016x}", seed.hash_one(number))
            },
        )
    }

    /// Time since the service began.
    pub fn now(&self) -> Duration {
        (self.now)()
    }

    /// A name for one request.
    pub fn request_id(&self) -> String {
        (self.request_id)()
    }
}
