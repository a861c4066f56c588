//! What the guard knows.

use super::Throttle;
use crate::config::ServeConfig;
use crate::problem::{Code, Problem};
use crate::register::People;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use tokio::sync::{Semaphore, SemaphorePermit};

/// Passwords that are hashed at the same time, 19 MiB each.
const HASHING: usize = 2;

/// What the guard knows.
pub(crate) struct AccessState {
    people: OnceLock<Arc<dyn People>>,
    /// Set once there is or was an account, or the address is not loopback; never taken back.
    closed: AtomicBool,
    throttle: Throttle,
    hashing: Semaphore,
    has_tls: bool,
    behind_proxy: bool,
}

impl AccessState {
    pub(crate) fn new(config: &ServeConfig) -> Self {
        Self {
            people: OnceLock::new(),
            closed: AtomicBool::new(false),
            throttle: Throttle::default(),
            hashing: Semaphore::new(HASHING),
            has_tls: config.tls_cert.is_some(),
            behind_proxy: config.behind_proxy,
        }
    }

    /// Gives the guard the accounts. Only the first ones count.
    pub(crate) fn install(&self, people: Arc<dyn People>) {
        // A second set is dropped: requests already rely on the first.
        let _ = self.people.set(people);
    }

    /// From now on nobody passes without an account.
    pub(crate) fn close(&self) {
        self.closed.store(true, Ordering::Relaxed);
    }

    /// Whether there are no accounts, and everyone at this machine may do everything. An
    /// account that is made while the service runs closes it at once.
    ///
    /// # Errors
    ///
    /// Where the register cannot be asked; then nobody passes.
    pub(crate) async fn is_open(&self) -> Result<bool, Problem> {
        if self.closed.load(Ordering::Relaxed) {
            return Ok(false);
        }
        if self.people.get().is_none() {
            return Ok(true);
        }
        let has_accounts = self.on_people(|people| Ok(people.has_accounts()?)).await?;
        if has_accounts {
            self.close();
        }
        Ok(!has_accounts)
    }

    /// Runs `work` on the accounts, away from the threads that serve requests.
    ///
    /// # Errors
    ///
    /// [`Code::NoAccounts`] where there can be none, and whatever `work` finds.
    pub(crate) async fn on_people<T: Send + 'static>(
        &self,
        work: impl FnOnce(&dyn People) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let people = self.people.get().cloned().ok_or_else(|| {
            Problem::new(
                Code::NoAccounts,
                "accounts are kept in the register; start the service with --register FILE",
            )
        })?;
        tokio::task::spawn_blocking(move || work(people.as_ref()))
            .await
            .map_err(|e| Problem::internal(&e))?
    }

    /// Room for hashing one more password. Whoever has it asks the throttle anew: many may have
    /// come at once.
    ///
    /// # Errors
    ///
    /// [`Code::Internal`], which no running service gives.
    pub(crate) async fn room(&self) -> Result<SemaphorePermit<'_>, Problem> {
        let room = self.hashing.acquire().await;
        room.map_err(|e| Problem::internal(&e))
    }

    /// Wrong passwords, by name and address.
    pub(crate) fn throttle(&self) -> &Throttle {
        &self.throttle
    }

    /// Whether the service itself speaks TLS.
    pub(super) fn has_tls(&self) -> bool {
        self.has_tls
    }

    /// Whether what a proxy says of the client counts.
    pub(super) fn behind_proxy(&self) -> bool {
        self.behind_proxy
    }
}
