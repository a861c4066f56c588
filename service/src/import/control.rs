//! Pause, go on, stop.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::Duration;

/// A hand on a running import. Clones hold the same import.
#[derive(Clone, Default)]
pub struct Control(Arc<Inner>);

#[derive(Default)]
struct Inner {
    stopped: Arc<AtomicBool>,
    interrupted: AtomicBool,
    paused: Mutex<bool>,
    changed: Condvar,
}

impl Control {
    /// A hand on an import that begins at once.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes nothing new until [`Self::resume`]; what is in hand is finished.
    pub fn pause(&self) {
        *self.0.paused.lock().unwrap_or_else(PoisonError::into_inner) = true;
    }

    /// Goes on.
    pub fn resume(&self) {
        *self.0.paused.lock().unwrap_or_else(PoisonError::into_inner) = false;
        self.0.changed.notify_all();
    }

    /// Takes nothing new any more; what is in hand is finished. A paused import stops, too.
    pub fn stop(&self) {
        self.0.stopped.store(true, Ordering::SeqCst);
        self.0.changed.notify_all();
    }

    /// Stops because the program ends: nobody decided against the import.
    pub fn interrupt(&self) {
        self.0.interrupted.store(true, Ordering::SeqCst);
        self.stop();
    }

    /// True once it was interrupted.
    pub fn is_interrupted(&self) -> bool {
        self.0.interrupted.load(Ordering::SeqCst)
    }

    /// True once it was stopped.
    pub fn is_stopped(&self) -> bool {
        self.0.stopped.load(Ordering::SeqCst)
    }

    /// True while it is paused.
    pub fn is_paused(&self) -> bool {
        *self.0.paused.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The flag that a signal may set; setting it is [`Self::stop`].
    pub fn flag(&self) -> Arc<AtomicBool> {
        Arc::clone(&self.0.stopped)
    }

    /// Waits while it is paused; false where it was stopped.
    pub(super) fn goes_on(&self) -> bool {
        let mut paused = self.0.paused.lock().unwrap_or_else(PoisonError::into_inner);
        while *paused && !self.is_stopped() {
            // A signal sets the flag without waking anybody, so a look now and then.
            (paused, _) = self
                .0
                .changed
                .wait_timeout(paused, Duration::from_millis(200))
                .unwrap_or_else(PoisonError::into_inner);
        }
        !self.is_stopped()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_paused_import_waits_and_a_stopped_one_does_not() {
        let control = Control::new();
        assert!(control.goes_on());
        control.pause();
        let other = control.clone();
        let waiting = std::thread::spawn(move || other.goes_on());
        assert!(control.is_paused());
        control.resume();
        assert!(waiting.join().unwrap());
        control.pause();
        control.flag().store(true, Ordering::SeqCst);
        assert!(!control.goes_on());
    }
}
