//! What an import would come to, without changing anything.

use super::commit::add;
use super::control::Control;
use super::run::{Observer, Progress, Settings};
use super::sources::{Flow, Found, Walk};
use super::work::{failed_before, sha256, try_out};
use crate::environment::Environment;
use crate::register::{Accounts, PhotoState, Photos, Problem, Sorted, StoreError};
use std::collections::HashSet;

/// What an import would come to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tried {
    /// What would be counted; `taken` are those that would be read.
    pub accounts: Accounts,
    /// False where it was stopped.
    pub whole: bool,
}

/// Says what an import would do, and changes nothing. Photos are decoded, not read.
///
/// `photos` is the register, where there is one already.
///
/// # Errors
///
/// [`StoreError`] where the register cannot be asked.
pub fn dry_run(
    settings: &Settings,
    photos: Option<&dyn Photos>,
    environment: &Environment,
    control: &Control,
    observer: &dyn Observer,
) -> Result<Tried, StoreError> {
    let walk = Walk {
        control,
        limits: settings.archives,
        largest: settings.limits.bytes as u64,
        pixels: settings.limits.pixels,
        own: &settings.own,
        environment,
    };
    let begun = environment.now();
    let mut accounts = Accounts::default();
    let mut seen: HashSet<String> = HashSet::new();
    let mut fault = None;
    for source in &settings.sources {
        let flow = walk.source(source, &mut |found| {
            if !control.goes_on() {
                return Flow::Break(());
            }
            let (source, sorted) = match found {
                Found::Sorted { source, sorted } => (source, Some(sorted)),
                Found::Bytes {
                    sighting, bytes, ..
                } => match would_be(settings, photos, &bytes, &mut seen) {
                    Ok(sorted) => (sighting.source, sorted),
                    Err(error) => {
                        fault = Some(error);
                        return Flow::Break(());
                    }
                },
            };
            match sorted {
                None => {
                    accounts.seen += 1;
                    accounts.taken += 1;
                }
                Some(sorted) => {
                    add(&mut accounts, &sorted);
                    if let Sorted::Refused(reason) | Sorted::Failed(reason) = &sorted {
                        observer.problem(&Problem {
                            source,
                            failed: matches!(sorted, Sorted::Failed(_)),
                            reason: reason.clone(),
                        });
                    }
                }
            }
            observer.progress(&Progress {
                accounts,
                total: None,
                elapsed: environment.now().saturating_sub(begun),
            });
            Flow::Continue(())
        });
        if flow.is_break() {
            break;
        }
    }
    match fault {
        Some(error) => Err(error),
        None => Ok(Tried {
            accounts,
            whole: !control.is_stopped(),
        }),
    }
}

/// Where a file would go in the accounts; none where it would be read.
fn would_be(
    settings: &Settings,
    photos: Option<&dyn Photos>,
    bytes: &[u8],
    seen: &mut HashSet<String>,
) -> Result<Option<Sorted>, StoreError> {
    let hash = sha256(bytes);
    let state = match photos {
        Some(photos) => photos.state(&hash)?,
        None => None,
    };
    Ok(match state {
        Some((PhotoState::Read, _)) => Some(Sorted::Held),
        Some((PhotoState::Failed, reason)) if !settings.retry_failed => {
            Some(Sorted::Failed(failed_before(&reason.unwrap_or_default())))
        }
        _ => match try_out(bytes, &settings.limits) {
            Err(sorted) => Some(sorted),
            Ok(()) if seen.insert(hash) => None,
            Ok(()) => Some(Sorted::Held),
        },
    })
}
