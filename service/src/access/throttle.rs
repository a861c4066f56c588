//! Slows guessing of passwords down.
//!
//! Every wrong password costs a try of the name and of the address; tries come back with time.
//! The name has more of them, so that nobody locks a person out from one address.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// Tries that an address has at once, and after how long one comes back.
const ADDRESS: (u32, Duration) = (8, Duration::from_secs(30));
/// Tries that a name has at once from all addresses together.
const NAME: (u32, Duration) = (24, Duration::from_secs(10));
/// Most addresses and names that are remembered.
const MAX_KEPT: usize = 10_000;

#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum Of {
    Address(Option<IpAddr>),
    Name(String),
}

impl Of {
    fn allowance(&self) -> (u32, Duration) {
        match self {
            Self::Address(_) => ADDRESS,
            Self::Name(_) => NAME,
        }
    }
}

/// What was tried and failed, by address and by name.
#[derive(Debug, Default)]
pub(crate) struct Throttle {
    /// When all tries will have come back.
    full_at: Mutex<HashMap<Of, Duration>>,
}

impl Throttle {
    fn both(name: &str, address: Option<IpAddr>) -> [Of; 2] {
        [Of::Address(address), Of::Name(name.to_lowercase())]
    }

    /// How long to wait before another try; none where it may be made now.
    pub(crate) fn wait(
        &self,
        now: Duration,
        name: &str,
        address: Option<IpAddr>,
    ) -> Option<Duration> {
        let kept = self.full_at.lock().unwrap_or_else(PoisonError::into_inner);
        Self::both(name, address)
            .iter()
            .filter_map(|of| {
                let (tries, each) = of.allowance();
                let missing = kept.get(of)?.checked_sub(now)?;
                missing
                    .checked_sub(each * (tries - 1))
                    .filter(|w| !w.is_zero())
            })
            .max()
    }

    /// Counts a wrong password.
    pub(crate) fn failed(&self, now: Duration, name: &str, address: Option<IpAddr>) {
        let mut kept = self.full_at.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() + 2 > MAX_KEPT {
            kept.retain(|_, full_at| *full_at > now);
        }
        // Still full: somebody tries from, or for, thousands at once. The oldest half goes.
        if kept.len() + 2 > MAX_KEPT {
            let mut times: Vec<Duration> = kept.values().copied().collect();
            let middle = times.len() / 2;
            let (_, median, _) = times.select_nth_unstable(middle);
            let median = *median;
            kept.retain(|_, full_at| *full_at > median);
        }
        for of in Self::both(name, address) {
            let (tries, each) = of.allowance();
            let full_at = kept.entry(of).or_insert(now);
            *full_at = (*full_at).max(now).min(now + each * tries) + each;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HERE: Option<IpAddr> = Some(IpAddr::V4(std::net::Ipv4Addr::new(192, 0, 2, 1)));
    const THERE: Option<IpAddr> = Some(IpAddr::V4(std::net::Ipv4Addr::new(192, 0, 2, 2)));

    #[test]
    fn an_address_that_guesses_waits_and_others_do_not() {
        let throttle = Throttle::default();
        let now = Duration::from_secs(1000);
        for _ in 0..ADDRESS.0 {
            assert_eq!(throttle.wait(now, "Ailsa", HERE), None);
            throttle.failed(now, "Ailsa", HERE);
        }
        assert_eq!(throttle.wait(now, "other", HERE), Some(ADDRESS.1));
        assert_eq!(throttle.wait(now, "Ailsa", THERE), None);
        assert_eq!(throttle.wait(now + ADDRESS.1, "Ailsa", HERE), None);
        throttle.failed(now + ADDRESS.1, "Ailsa", HERE);
        assert!(throttle.wait(now + ADDRESS.1, "Ailsa", HERE).is_some());
    }

    #[test]
    fn a_name_that_is_guessed_from_everywhere_waits() {
        let throttle = Throttle::default();
        let now = Duration::from_secs(1000);
        for i in 0..NAME.0 {
            let from = Some(IpAddr::from(i.to_be_bytes()));
            assert_eq!(throttle.wait(now, "Ailsa", from), None, "{i}");
            throttle.failed(now, "AILSA", from);
        }
        assert!(throttle.wait(now, "ailsa", THERE).is_some());
        assert_eq!(throttle.wait(now, "Bridget", THERE), None);
    }

    #[test]
    fn memory_is_bounded_and_the_latest_are_remembered() {
        let throttle = Throttle::default();
        for i in 0..20_000_u32 {
            let now = Duration::from_millis(u64::from(i));
            throttle.failed(now, &i.to_string(), Some(IpAddr::from(i.to_be_bytes())));
        }
        let kept = throttle.full_at.lock().unwrap();
        assert!(kept.len() <= MAX_KEPT);
        assert!(kept.contains_key(&Of::Name("19999".to_owned())));
    }
}
