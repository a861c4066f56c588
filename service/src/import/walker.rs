//! The thread that walks the sources and offers what it finds.

use super::fetch::fetch;
use super::order::Window;
use super::run::{Done, Import, ImportError, Job, Settings};
use super::sources::{Flow, Found};
use super::work::{failed_before, sha256};
use crate::pipeline::GivenPlace;
use crate::register::{
    NewPhoto, Offered, Originals, PhotoId, Photos, Sighting, Sorted, StoreError, place_of,
};
use std::collections::HashMap;
use std::sync::Arc;
use std::sync::mpsc::{Sender, SyncSender};

/// How long a worker has a photo, seconds. It is not renewed: while the import's lock is held
/// nobody else takes photos over, and a reading counts until somebody has.
const LEASE_S: u32 = 900;

/// The thread that walks and offers.
pub(super) struct Walker<'a> {
    pub(super) import: &'a Import<'a>,
    pub(super) settings: &'a Settings,
    pub(super) window: &'a Window,
    pub(super) to_read: SyncSender<Job>,
    pub(super) done: Sender<(u64, Done)>,
}

impl Walker<'_> {
    pub(super) fn run(self) {
        let worker = format!("import-{}", self.import.environment.request_id());
        let mut state = Walking {
            number: 0,
            places: HashMap::new(),
            worker,
        };
        if self.settings.retry_failed && self.settings.sources.is_empty() {
            self.failed_ones(&mut state);
            return;
        }
        let walk = self.import.walk(self.settings);
        for source in &self.settings.sources {
            if !self.import.control.goes_on() {
                return;
            }
            let flow = walk.source(source, &mut |found| self.found(found, &mut state));
            if flow.is_break() {
                return;
            }
        }
    }

    fn found(&self, found: Found, state: &mut Walking) -> Flow {
        if !self.import.control.goes_on() {
            return Flow::Break(());
        }
        match found {
            Found::Sorted { source, sorted } => self.send(state, Done::Counted { source, sorted }),
            Found::Bytes {
                sighting,
                path,
                bytes,
            } => {
                let located = self.import.locator.locate(&path);
                let photo = NewPhoto {
                    sha256: sha256(&bytes),
                    bytes: bytes.len() as u64,
                    sighting,
                    kept: false,
                    location: located.location,
                    tag: located.tag,
                };
                self.offer(&photo, bytes, self.settings.retry_failed, state)
            }
        }
    }

    fn offer(&self, photo: &NewPhoto, bytes: Vec<u8>, retry: bool, state: &mut Walking) -> Flow {
        let source = photo.sighting.source.clone();
        self.window.enter();
        let number = state.number;
        state.number += 1;
        let photos = self.import.photos;
        let offered = photos.offer(photo, &state.worker, LEASE_S, retry);
        let item = match offered {
            Err(error) => Done::Broken(error.into()),
            Ok(Offered::FailedBefore { reason }) => Done::Counted {
                source,
                sorted: Sorted::Failed(failed_before(&reason)),
            },
            Ok(Offered::Held { plate: None, .. }) => Done::Twin {
                source,
                sha256: photo.sha256.clone(),
            },
            Ok(Offered::Held { .. }) => match self.keep_held(photo, &bytes, &state.worker) {
                Ok(()) => Done::Counted {
                    source,
                    sorted: Sorted::Held,
                },
                Err(error) => Done::Broken(error),
            },
            Ok(Offered::ToRead(lease)) => match self.place(photo.location.as_deref(), state) {
                Err(error) => Done::Broken(error.into()),
                Ok(place) => {
                    let job = Job {
                        number,
                        lease,
                        source,
                        bytes,
                        place,
                    };
                    return match self.to_read.send(job) {
                        Ok(()) => Flow::Continue(()),
                        Err(_) => Flow::Break(()),
                    };
                }
            },
        };
        let broken = matches!(item, Done::Broken(_));
        if self.done.send((number, item)).is_err() || broken {
            return Flow::Break(());
        }
        Flow::Continue(())
    }

    fn keep_held(&self, photo: &NewPhoto, bytes: &[u8], worker: &str) -> Result<(), ImportError> {
        match self.import.originals {
            None => Ok(()),
            Some(originals) => keep_held(self.import.photos, originals, photo, bytes, worker),
        }
    }

    fn send(&self, state: &mut Walking, item: Done) -> Flow {
        self.window.enter();
        let number = state.number;
        state.number += 1;
        match self.done.send((number, item)) {
            Ok(()) => Flow::Continue(()),
            Err(_) => Flow::Break(()),
        }
    }

    fn place(
        &self,
        location: Option<&str>,
        state: &mut Walking,
    ) -> Result<Option<Arc<GivenPlace>>, StoreError> {
        let Some(tag) = location else {
            return Ok(None);
        };
        if let Some(known) = state.places.get(tag) {
            return Ok(known.clone());
        }
        let place = place_of(self.import.store, Some(tag))?.map(Arc::new);
        state.places.insert(tag.to_owned(), place.clone());
        Ok(place)
    }

    /// Every photo that failed before, from where it was seen.
    fn failed_ones(&self, state: &mut Walking) {
        let mut after: Option<PhotoId> = None;
        loop {
            let page = match self.import.photos.failed(after, 100) {
                Ok(page) => page,
                Err(error) => {
                    // There is nobody else to tell.
                    let _ = self.send(state, Done::Broken(error.into()));
                    return;
                }
            };
            let Some((last, _)) = page.last() else { return };
            after = Some(*last);
            for (_, claimed) in page {
                if !self.import.control.goes_on() {
                    return;
                }
                let hash = claimed.lease.sha256;
                let sighting = claimed
                    .sightings
                    .first()
                    .cloned()
                    .unwrap_or_else(|| Sighting::new(hash.clone()));
                let copy = self
                    .import
                    .originals
                    .filter(|_| claimed.kept)
                    .and_then(|originals| originals.read(&hash).ok());
                let largest = self.settings.limits.bytes as u64;
                let bytes = match copy {
                    Some(bytes) => Ok(bytes),
                    None => fetch(&claimed.sightings, &hash, largest),
                };
                let flow = match bytes {
                    Err(error) => {
                        let sorted = Sorted::Failed(error.to_string());
                        let source = sighting.source;
                        self.send(state, Done::Counted { source, sorted })
                    }
                    Ok(bytes) => {
                        let photo = NewPhoto {
                            sha256: hash,
                            bytes: bytes.len() as u64,
                            sighting,
                            kept: false,
                            location: claimed.location,
                            tag: None,
                        };
                        self.offer(&photo, bytes, true, state)
                    }
                };
                if flow.is_break() {
                    return;
                }
            }
        }
    }
}

/// A photo that is held by reference is copied, too, where copies are asked for now.
pub(super) fn keep_held(
    photos: &dyn Photos,
    originals: &dyn Originals,
    photo: &NewPhoto,
    bytes: &[u8],
    worker: &str,
) -> Result<(), ImportError> {
    originals.keep(&photo.sha256, bytes)?;
    let kept = NewPhoto {
        kept: true,
        ..photo.clone()
    };
    photos.offer(&kept, worker, LEASE_S, false)?;
    Ok(())
}

/// What the walk keeps from file to file.
struct Walking {
    number: u64,
    places: HashMap<String, Option<Arc<GivenPlace>>>,
    worker: String,
}
