//! What every request shares.

use crate::access::AccessState;
use crate::answer::KeyError;
use crate::config::ServeConfig;
use crate::desk::Desk;
use crate::environment::Environment;
use crate::gate::{BulkReader, Gate};
use crate::pipeline::{GivenPlace, PhotoReader};
use crate::problem::{Code, Problem};
use crate::register::{People, StoreError};
use crate::site::Site;
use crate::vouched::Vouched;
use jiff::Timestamp;
use std::borrow::Cow;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::Duration;
use tokio::sync::{OwnedSemaphorePermit, Semaphore, watch};
use vetplate_ocr::Limits;
use vetplate_parser::place::PlaceFields;

/// Tables and reports that are written at the same time: each holds a thread, and a report
/// decodes photos.
const PAPERS: usize = 2;
/// Archives that are sent at the same time: each may fill so much of the disk.
const ARCHIVES: usize = 2;
/// Between two looks at whether an import has ended.
const LOOK: Duration = Duration::from_millis(20);
/// How long a proof that the register can be written is good.
const PROOF_LASTS: Duration = Duration::from_secs(5);

/// Built once, cheap to clone.
#[derive(Clone)]
pub struct AppState(Arc<Inner>);

struct Inner {
    reader: OnceLock<Result<Arc<Vouched>, String>>,
    desk: OnceLock<Arc<Desk>>,
    access: AccessState,
    gate: Gate,
    workers: usize,
    limits: Limits,
    import_bytes: u64,
    papers: Arc<Semaphore>,
    archives: Arc<Semaphore>,
    ending: watch::Sender<bool>,
    request_timeout: Duration,
    environment: Environment,
    site: OnceLock<Site>,
    proof: Mutex<Option<Proof>>,
}

/// When the register was last written to for proof, and what came of it.
type Proof = (Duration, Result<Option<Timestamp>, String>);

impl AppState {
    /// A service that cannot read photos yet and knows no site.
    pub fn new(config: &ServeConfig, environment: Environment) -> Self {
        Self(Arc::new(Inner {
            reader: OnceLock::new(),
            desk: OnceLock::new(),
            access: AccessState::new(config),
            gate: Gate::new(config.worker_count(), config.queue),
            workers: config.worker_count(),
            limits: config.limits(),
            import_bytes: config.max_import_mib << 20,
            papers: Arc::new(Semaphore::new(PAPERS)),
            archives: Arc::new(Semaphore::new(ARCHIVES)),
            ending: watch::Sender::new(false),
            request_timeout: config.request_timeout(),
            environment,
            site: OnceLock::new(),
            proof: Mutex::new(None),
        }))
    }

    /// Lets requests name the locations of a site, and holds plates against its certificates.
    /// Only the first call counts.
    pub fn install_site(&self, site: Site) {
        // A second site is dropped: the first is already in use.
        let _ = self.0.site.set(site);
    }

    /// The site; one without locations where none was named.
    pub(crate) fn site(&self) -> Cow<'_, Site> {
        self.0
            .site
            .get()
            .map_or_else(|| Cow::Owned(Site::default()), Cow::Borrowed)
    }

    /// The place that a request describes by its keys and by the tag of a location.
    ///
    /// # Errors
    ///
    /// [`Code::InvalidPlace`] with every key that cannot be used.
    pub fn place(
        &self,
        given: PlaceFields,
        location: Option<&str>,
    ) -> Result<Option<GivenPlace>, Problem> {
        let site = self.site();
        let tag = location.map(str::trim).filter(|tag| !tag.is_empty());
        let refused = |tag: &str, message: String| {
            Problem::place(vec![KeyError {
                key: "location".to_owned(),
                value: tag.to_owned(),
                message,
            }])
        };
        let location = match tag {
            None => None,
            Some(tag) if site.locations().is_empty() => {
                return Err(refused(
                    tag,
                    "location: this service knows no site; it is started with --site FILE"
                        .to_owned(),
                ));
            }
            Some(tag) => Some(
                site.location(tag)
                    .map_err(|e| refused(tag, format!("location: {}", e.without_path())))?,
            ),
        };
        site.place(given, location).map_err(Problem::place)
    }

    /// Takes the reader into service, and lets out what it reads once it has read the plate of the
    /// self-check, which is done before this comes back. Only the first call counts.
    pub fn install(&self, reader: Result<Arc<dyn PhotoReader>, String>) {
        // A second reader is dropped: the first is already in use.
        let installed = self
            .0
            .reader
            .get_or_init(|| reader.map(|reader| Arc::new(Vouched::new(reader))));
        let checked = installed.as_ref().map_err(Clone::clone);
        if let Err(reason) = checked.and_then(|reader| reader.check()) {
            tracing::error!(reason, "photos cannot be read");
        }
    }

    /// The reader of photos.
    ///
    /// # Errors
    ///
    /// [`Code::Starting`] before it is loaded, [`Code::Broken`] where it cannot be.
    pub fn reader(&self) -> Result<Arc<dyn PhotoReader>, Problem> {
        match self.0.reader.get() {
            Some(Ok(reader)) if !reader.has_failed() => {
                Ok(Arc::clone(reader) as Arc<dyn PhotoReader>)
            }
            Some(_) => Err(Problem::new(
                Code::Broken,
                "the models cannot be used; the log says why",
            )),
            None => Err(Problem::new(
                Code::Starting,
                "the models are being loaded; try again in a second",
            )),
        }
    }

    /// The reader for bulk work: each of its photos waits until no request does.
    ///
    /// # Errors
    ///
    /// As [`Self::reader`].
    pub fn bulk_reader(&self) -> Result<Arc<dyn PhotoReader>, Problem> {
        let reader = self.reader()?;
        Ok(Arc::new(BulkReader::new(self.0.gate.clone(), reader)))
    }

    /// How many photos are read at the same time.
    pub(crate) fn workers(&self) -> usize {
        self.0.workers
    }

    /// Gives the service its register. Only the first one counts.
    pub fn attach(&self, desk: Desk) {
        // A second register is dropped: requests already rely on the first.
        let _ = self.0.desk.set(Arc::new(desk));
    }

    /// Runs `work` on the register, away from the threads that serve requests.
    ///
    /// # Errors
    ///
    /// [`Code::NoRegister`] where there is none, and whatever `work` finds.
    pub(crate) async fn on_desk<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Desk) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let desk = self.desk()?;
        tokio::task::spawn_blocking(move || work(&desk))
            .await
            .map_err(|e| Problem::internal(&e))?
    }

    /// The register.
    ///
    /// # Errors
    ///
    /// [`Code::NoRegister`] where there is none.
    pub(crate) fn desk(&self) -> Result<Arc<Desk>, Problem> {
        self.0.desk.get().cloned().ok_or_else(|| {
            Problem::new(
                Code::NoRegister,
                "start the service with --register FILE to keep plates",
            )
        })
    }

    /// Gives the service the accounts of its register. Only the first ones count.
    pub fn admit(&self, people: Arc<dyn People>) {
        self.0.access.install(people);
    }

    /// From now on nobody passes without an account.
    pub fn close(&self) {
        self.0.access.close();
    }

    /// Who may do what.
    pub(crate) fn access(&self) -> &AccessState {
        &self.0.access
    }

    /// What came of `prove` a moment ago, or comes of it now: whoever asks must not be able to
    /// keep the disk busy.
    pub(crate) fn proof(
        &self,
        prove: impl FnOnce() -> Result<Option<Timestamp>, StoreError>,
    ) -> Result<Option<Timestamp>, String> {
        let now = self.0.environment.now();
        let mut kept = self.0.proof.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((at, proof)) = kept.as_ref()
            && now.saturating_sub(*at) < PROOF_LASTS
        {
            return proof.clone();
        }
        let proof = prove().map_err(|e| e.to_string());
        *kept = Some((now, proof.clone()));
        proof
    }

    /// The gate before the workers.
    pub(crate) fn gate(&self) -> &Gate {
        &self.0.gate
    }

    /// What a photo may cost.
    pub fn limits(&self) -> Limits {
        self.0.limits
    }

    /// Most bytes that may be sent for one import.
    pub(crate) fn import_bytes(&self) -> u64 {
        self.0.import_bytes
    }

    /// The right to write a table or a report.
    ///
    /// # Errors
    ///
    /// [`Code::Busy`] where as many are being written as may be.
    pub(crate) fn paper_permit(&self) -> Result<OwnedSemaphorePermit, Problem> {
        Arc::clone(&self.0.papers).try_acquire_owned().map_err(|_| {
            Problem::new(
                Code::Busy,
                "other tables or reports are being written; try again in a moment",
            )
        })
    }

    /// The right to send an archive or photos for an import.
    ///
    /// # Errors
    ///
    /// [`Code::Busy`] where as many are being sent as may be.
    pub(crate) fn archive_permit(&self) -> Result<OwnedSemaphorePermit, Problem> {
        Arc::clone(&self.0.archives)
            .try_acquire_owned()
            .map_err(|_| Problem::new(Code::Busy, "others are sending archives right now"))
    }

    /// Asks what does not end by itself to end: imports, and streams that follow them.
    pub fn end(&self) {
        self.0.ending.send_replace(true);
        if let Ok(desk) = self.desk()
            && let Some(bulk) = desk.bulk()
        {
            bulk.interrupt();
        }
    }

    /// Waits until an import has finished what it had in hand, at most so long.
    pub async fn ended(&self, at_most: Duration) {
        let ended = async {
            while self
                .desk()
                .is_ok_and(|desk| desk.bulk().is_some_and(|bulk| bulk.is_at_work()))
            {
                tokio::time::sleep(LOOK).await;
            }
        };
        if tokio::time::timeout(at_most, ended).await.is_err() {
            tracing::warn!("an import was cut off; it is listed as interrupted");
        }
    }

    /// Waits for [`Self::end`].
    pub(crate) async fn ending(&self) {
        // The sender lives as long as the state.
        let _ = self.0.ending.subscribe().wait_for(|ending| *ending).await;
    }

    /// Longest time that a request may take.
    pub fn request_timeout(&self) -> Duration {
        self.0.request_timeout
    }

    /// Clock and ids.
    pub fn environment(&self) -> &Environment {
        &self.0.environment
    }
}
