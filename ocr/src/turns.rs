//! Work that takes much memory for a moment, and waits for its turn.

use std::sync::{Condvar, Mutex, PoisonError};

use crate::abreast::processors;

/// Lets half of the processors do such work at a time, and one at least.
#[derive(Debug)]
pub(crate) struct Turns {
    most: usize,
    taken: Mutex<usize>,
    freed: Condvar,
}

impl Default for Turns {
    fn default() -> Self {
        Self::of(processors() / 2)
    }
}

impl Turns {
    fn of(most: usize) -> Self {
        Self {
            most: most.max(1),
            taken: Mutex::new(0),
            freed: Condvar::new(),
        }
    }

    /// Waits for a turn, which lasts until the answer is dropped.
    pub(crate) fn take(&self) -> Turn<'_> {
        let taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        let waited = self.freed.wait_while(taken, |taken| *taken >= self.most);
        *waited.unwrap_or_else(PoisonError::into_inner) += 1;
        Turn(self)
    }
}

/// A turn that was taken.
#[derive(Debug)]
pub(crate) struct Turn<'a>(&'a Turns);

impl Drop for Turn<'_> {
    fn drop(&mut self) {
        let mut taken = self.0.taken.lock().unwrap_or_else(PoisonError::into_inner);
        *taken -= 1;
        self.0.freed.notify_one();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::thread;

    #[test]
    fn no_more_work_at_a_time_than_there_are_turns() {
        for most in [1, 2] {
            let turns = Turns::of(most);
            let [now, highest, done] = [0; 3].map(AtomicUsize::new);
            thread::scope(|scope| {
                for _ in 0..6 {
                    scope.spawn(|| {
                        for _ in 0..50 {
                            let _turn = turns.take();
                            highest.fetch_max(
                                now.fetch_add(1, Ordering::SeqCst) + 1,
                                Ordering::SeqCst,
                            );
                            thread::yield_now();
                            now.fetch_sub(1, Ordering::SeqCst);
                            done.fetch_add(1, Ordering::SeqCst);
                        }
                    });
                }
            });
            assert_eq!(done.into_inner(), 300);
            assert!(highest.into_inner() <= most);
        }
    }

    #[test]
    fn a_turn_ends_when_the_work_panics() {
        let turns = Turns::of(1);
        let work = std::panic::AssertUnwindSafe(|| {
            let _turn = turns.take();
            panic!("on purpose");
        });
        assert!(std::panic::catch_unwind(work).is_err());
        drop(turns.take());
    }
}
