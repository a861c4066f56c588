//! Results in the order of the walk, and how far the walk may run ahead.

use std::collections::BTreeMap;
use std::sync::{Condvar, Mutex, PoisonError};

/// Lets so many numbers be under way at once.
#[derive(Debug)]
pub(super) struct Window {
    open: Mutex<usize>,
    most: usize,
    freed: Condvar,
}

impl Window {
    /// At most `most` at once.
    pub(super) fn new(most: usize) -> Self {
        Self {
            open: Mutex::new(0),
            most,
            freed: Condvar::new(),
        }
    }

    /// How many may be under way at once.
    pub(super) fn width(&self) -> usize {
        self.most
    }

    /// Waits for room and takes it.
    pub(super) fn enter(&self) {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        while *open >= self.most {
            open = self
                .freed
                .wait(open)
                .unwrap_or_else(PoisonError::into_inner);
        }
        *open += 1;
    }

    /// Gives room back.
    pub(super) fn leave(&self) {
        *self.open.lock().unwrap_or_else(PoisonError::into_inner) -= 1;
        self.freed.notify_one();
    }
}

/// Holds back what came too early.
#[derive(Debug)]
pub(super) struct Sequence<T> {
    next: u64,
    early: BTreeMap<u64, T>,
}

impl<T> Sequence<T> {
    /// Begins with number 0.
    pub(super) fn new() -> Self {
        Self {
            next: 0,
            early: BTreeMap::new(),
        }
    }

    /// Takes one in, whatever its number.
    pub(super) fn put(&mut self, number: u64, item: T) {
        self.early.insert(number, item);
    }

    /// The next one, if it is there.
    pub(super) fn next(&mut self) -> Option<T> {
        let item = self.early.remove(&self.next)?;
        self.next += 1;
        Some(item)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_early_waits() {
        let mut sequence = Sequence::new();
        sequence.put(1, 'b');
        assert_eq!(sequence.next(), None);
        sequence.put(0, 'a');
        assert_eq!(
            [sequence.next(), sequence.next(), sequence.next()],
            [Some('a'), Some('b'), None]
        );
    }

    #[test]
    fn the_window_opens_when_one_leaves() {
        let window = Window::new(1);
        window.enter();
        std::thread::scope(|scope| {
            let second = scope.spawn(|| window.enter());
            window.leave();
            second.join().unwrap();
        });
    }
}
