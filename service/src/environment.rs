//! What the service takes from the world around it, so that tests can put it on rails.

use jiff::Timestamp;
use std::collections::hash_map::RandomState;
use std::hash::BuildHasher;
use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// Clocks, ids, and a say before each step that can fail.
#[derive(Clone)]
pub struct Environment {
    now: Arc<dyn Fn() -> Duration + Send + Sync>,
    request_id: Arc<dyn Fn() -> String + Send + Sync>,
    clock: Arc<dyn Fn() -> Timestamp + Send + Sync>,
    step: Arc<dyn Fn(&'static str) -> io::Result<()> + Send + Sync>,
}

impl Environment {
    /// `now` is the time since any fixed moment and never goes back; `request_id` gives a
    /// new name at each call. The calendar begins in 1970 with `now` until
    /// [`Self::with_clock`] says otherwise.
    pub fn new(
        now: impl Fn() -> Duration + Send + Sync + 'static,
        request_id: impl Fn() -> String + Send + Sync + 'static,
    ) -> Self {
        let now = Arc::new(now);
        let since = Arc::clone(&now);
        Self {
            now,
            request_id: Arc::new(request_id),
            clock: Arc::new(move || {
                let millis = i64::try_from(since().as_millis()).unwrap_or(i64::MAX);
                Timestamp::from_millisecond(millis).unwrap_or(Timestamp::MAX)
            }),
            step: Arc::new(|_| Ok(())),
        }
    }

    /// The clocks of the machine, and ids that differ between runs.
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
        .with_clock(Timestamp::now)
    }

    /// With another calendar.
    #[must_use]
    pub fn with_clock(mut self, clock: impl Fn() -> Timestamp + Send + Sync + 'static) -> Self {
        self.clock = Arc::new(clock);
        self
    }

    /// With a function that is asked before each step that writes, by the step's name. What it
    /// answers as an error is taken as the failure of that step, so that a test can make every
    /// one of them fail.
    #[must_use]
    pub fn with_steps(
        mut self,
        step: impl Fn(&'static str) -> io::Result<()> + Send + Sync + 'static,
    ) -> Self {
        self.step = Arc::new(step);
        self
    }

    /// Time since the service began.
    pub fn now(&self) -> Duration {
        (self.now)()
    }

    /// A name for one request.
    pub fn request_id(&self) -> String {
        (self.request_id)()
    }

    /// Date and time.
    pub fn clock(&self) -> Timestamp {
        (self.clock)()
    }

    /// Asked before each step that writes.
    ///
    /// # Errors
    ///
    /// What a test makes of it; none in use.
    pub fn step(&self, name: &'static str) -> io::Result<()> {
        (self.step)(name)
    }
}
