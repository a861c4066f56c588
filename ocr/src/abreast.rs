//! Work on the lines of a photo, side by side where processors are idle.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// More threads for one photo gain little: its places are found by one.
const MOST: usize = 4;

/// How many processors there are.
pub(crate) fn processors() -> usize {
    thread::available_parallelism().map_or(1, usize::from)
}

/// Counts the photos that are read at a time, so that their lines share the processors.
#[derive(Debug)]
pub(crate) struct Crew {
    processors: usize,
    photos: AtomicUsize,
}

impl Default for Crew {
    fn default() -> Self {
        Self {
            processors: processors(),
            photos: AtomicUsize::new(0),
        }
    }
}

impl Crew {
    /// Says that a photo is read, until the answer is dropped.
    pub(crate) fn begin(&self) -> Begun<'_> {
        self.photos.fetch_add(1, Ordering::Relaxed);
        Begun(self)
    }

    /// Whether there is another processor at all.
    pub(crate) fn is_alone(&self) -> bool {
        self.processors == 1
    }
}

/// A photo that is read.
#[derive(Debug)]
pub(crate) struct Begun<'a>(&'a Crew);

impl Drop for Begun<'_> {
    fn drop(&mut self) {
        self.0.photos.fetch_sub(1, Ordering::Relaxed);
    }
}

impl Begun<'_> {
    /// `work` on each of `items`, in as many threads as this photo's share of the processors, with the
    /// answers in the order of the items.
    ///
    /// # Errors
    ///
    /// The first one of `work`, by the order of the items.
    pub(crate) fn each<T: Sync, R: Send, E: Send>(
        &self,
        items: &[T],
        work: impl Fn(&T) -> Result<R, E> + Sync,
    ) -> Result<Vec<R>, E> {
        let photos = self.0.photos.load(Ordering::Relaxed).max(1);
        let threads = (self.0.processors / photos).min(MOST).min(items.len());
        if threads < 2 {
            return items.iter().map(work).collect();
        }
        let next = AtomicUsize::new(0);
        let take = || {
            let mut done = Vec::new();
            loop {
                let at = next.fetch_add(1, Ordering::Relaxed);
                let Some(item) = items.get(at) else {
                    return done;
                };
                done.push((at, work(item)));
            }
        };
        let mut done = thread::scope(|scope| {
            let others: Vec<_> = (1..threads).map(|_| scope.spawn(take)).collect();
            let mut done = take();
            for other in others {
                let theirs = other.join();
                done.extend(theirs.unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
            }
            done
        });
        done.sort_by_key(|(at, _)| *at);
        done.into_iter().map(|(_, answer)| answer).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn crew(processors: usize) -> Crew {
        Crew {
            processors,
            photos: AtomicUsize::new(0),
        }
    }

    #[test]
    fn answers_come_in_the_order_of_the_items() {
        let items: Vec<usize> = (0..50).collect();
        for processors in [1, 2, 8] {
            let crew = crew(processors);
            let doubled = crew.begin().each(&items, |i| Ok::<_, ()>(2 * i));
            assert!(doubled.unwrap().into_iter().eq((0..50).map(|i| 2 * i)));
        }
        let none: Result<Vec<usize>, ()> = crew(2).begin().each(&[], |i: &usize| Ok(*i));
        assert_eq!(none, Ok(Vec::new()));
    }

    #[test]
    fn the_first_error_by_order_is_told() {
        let items = [1, 2, 3, 4];
        let odd = |i: &i32| if i % 2 == 0 { Err(*i) } else { Ok(()) };
        for processors in [1, 4] {
            assert_eq!(crew(processors).begin().each(&items, odd), Err(2));
        }
    }

    #[test]
    fn photos_at_a_time_share_the_processors() {
        let crew = crew(2);
        let threads = |photo: &Begun<'_>, together: usize| {
            // Two threads meet here, or one passes by itself.
            let meeting = std::sync::Barrier::new(together);
            let seen = photo.each(&[(); 2], |()| {
                meeting.wait();
                Ok::<_, ()>(thread::current().id())
            });
            let seen: std::collections::HashSet<_> = seen.unwrap().into_iter().collect();
            seen.len()
        };
        let first = crew.begin();
        assert_eq!(threads(&first, 2), 2);
        let second = crew.begin();
        assert_eq!(threads(&second, 1), 1);
        drop(first);
        assert_eq!(threads(&second, 2), 2);
    }

    #[test]
    #[should_panic(expected = "what went wrong")]
    fn a_panic_is_the_callers() {
        let work = |i: &i32| {
            assert!(*i < 3, "what went wrong");
            Ok::<_, ()>(())
        };
        let _ = crew(2).begin().each(&[1, 2, 3, 4], work);
    }
}
