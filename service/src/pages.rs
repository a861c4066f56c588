//! Large pages of memory, where the system has them.
//!
//! Being given small ones is a tenth of a reading. At rest the system fills every large page again that holds
//! a little, and a service would keep twice what it needs.

use std::sync::atomic::{AtomicBool, Ordering};

/// Whether they are wanted now.
static WANTED: AtomicBool = AtomicBool::new(true);

/// Wants large pages from now on, or does not. A system without them changes nothing, and what fails costs
/// memory or time alone.
pub fn want_large(wanted: bool) {
    if WANTED.swap(wanted, Ordering::Relaxed) == wanted {
        return;
    }
    #[cfg(target_os = "linux")]
    if let Err(fault) = rustix::thread::disable_transparent_huge_pages(!wanted) {
        tracing::debug!(%fault, wanted, "large pages of memory stay as they are");
    }
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;
    use rustix::thread::transparent_huge_pages_are_disabled;

    #[test]
    fn what_is_wanted_is_had() {
        for wanted in [false, false, true] {
            want_large(wanted);
            assert_eq!(transparent_huge_pages_are_disabled().unwrap(), !wanted);
        }
    }
}
