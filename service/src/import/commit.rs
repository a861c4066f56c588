//! The thread that commits: every result in the order of the walk, every file counted once.

use super::count::Count;
use super::order::{Sequence, Window};
use super::run::{Done, Import, ImportError, Joins, Progress, Settings};
use crate::register::{Accounts, ImportId, Joined, PhotoState, Problem, Sorted, StoreError};
use std::collections::VecDeque;
use std::sync::mpsc::Receiver;
use std::time::Duration;

/// What the committing thread knows.
pub(super) struct Committer<'a> {
    pub(super) import: &'a Import<'a>,
    pub(super) settings: &'a Settings,
    pub(super) id: ImportId,
    pub(super) window: &'a Window,
    pub(super) count: &'a Count,
    pub(super) begun: Duration,
    pub(super) accounts: Accounts,
    pub(super) joins: &'a mut Joins,
    /// What was not read of late, by hash. A twin was offered while its like was under way,
    /// so it is never further behind than the window is wide.
    pub(super) recent: VecDeque<(String, Sorted)>,
}

impl Committer<'_> {
    /// Commits in the order of the walk. After a fault the walk is stopped and what still comes
    /// is dropped: it was never counted, and the next run takes it.
    pub(super) fn run(&mut self, results: &Receiver<(u64, Done)>) -> Result<(), ImportError> {
        let mut sequence = Sequence::new();
        let mut broken = None;
        while let Ok((number, item)) = results.recv() {
            sequence.put(number, item);
            while let Some(item) = sequence.next() {
                if broken.is_none() {
                    match self.commit(item) {
                        Ok(()) => self.import.observer.progress(&Progress {
                            accounts: self.accounts,
                            total: self.count.total(),
                            elapsed: self.import.environment.now().saturating_sub(self.begun),
                        }),
                        Err(error) => {
                            broken = Some(error);
                            self.import.control.stop();
                        }
                    }
                }
                self.window.leave();
            }
        }
        broken.map_or(Ok(()), Err)
    }

    fn commit(&mut self, item: Done) -> Result<(), ImportError> {
        let photos = self.import.photos;
        let import = self.id;
        let (source, sorted) = match item {
            Done::Broken(error) => return Err(error),
            Done::Read {
                lease,
                source,
                readings,
                kept,
            } => {
                let who = &self.settings.who;
                match photos.finish(&lease, &readings, kept, Some(import), who) {
                    Ok(joined) => {
                        self.accounts.seen += 1;
                        self.accounts.taken += 1;
                        for one in joined {
                            match one {
                                Joined::New(_) => self.joins.new += 1,
                                Joined::ByIdentity(_) => self.joins.by_identity += 1,
                                Joined::ByLook(_) => self.joins.by_look += 1,
                            }
                        }
                        return Ok(());
                    }
                    Err(error @ StoreError::LeaseLost { .. }) => {
                        let sorted = Sorted::Failed(error.to_string());
                        photos.count(import, &source, &sorted)?;
                        (source, sorted)
                    }
                    Err(error) => return Err(error.into()),
                }
            }
            Done::NotRead {
                lease,
                source,
                sorted,
            } => {
                if self.recent.len() >= self.window.width() {
                    self.recent.pop_front();
                }
                self.recent
                    .push_back((lease.sha256.clone(), sorted.clone()));
                photos.give_up(&lease, &source, &sorted, Some(import))?;
                (source, sorted)
            }
            Done::Counted { source, sorted } => {
                photos.count(import, &source, &sorted)?;
                (source, sorted)
            }
            Done::Twin { source, sha256 } => {
                let sorted = self.like_its_twin(&sha256)?;
                photos.count(import, &source, &sorted)?;
                (source, sorted)
            }
        };
        add(&mut self.accounts, &sorted);
        let (failed, reason) = match sorted {
            Sorted::Refused(reason) => (false, reason),
            Sorted::Failed(reason) => (true, reason),
            Sorted::Held | Sorted::Left => return Ok(()),
        };
        self.import.observer.problem(&Problem {
            source,
            failed,
            reason,
        });
        Ok(())
    }

    fn like_its_twin(&self, sha256: &str) -> Result<Sorted, StoreError> {
        let recent = self.recent.iter().rev().find(|(hash, _)| hash == sha256);
        if let Some((_, sorted)) = recent {
            return Ok(sorted.clone());
        }
        Ok(match self.import.photos.state(sha256)? {
            Some((PhotoState::Read, _)) => Sorted::Held,
            Some((PhotoState::Refused, reason)) => Sorted::Refused(reason.unwrap_or_default()),
            Some((PhotoState::Failed, reason)) => Sorted::Failed(reason.unwrap_or_default()),
            Some((PhotoState::Waiting, _)) | None => Sorted::Failed(
                "another worker was reading the same photo; run the same command again".to_owned(),
            ),
        })
    }
}

/// Counts a file that was not read.
pub(super) fn add(accounts: &mut Accounts, sorted: &Sorted) {
    match sorted {
        Sorted::Left => {
            accounts.left += 1;
            return;
        }
        Sorted::Held => accounts.held += 1,
        Sorted::Refused(_) => accounts.refused += 1,
        Sorted::Failed(_) => accounts.failed += 1,
    }
    accounts.seen += 1;
}
