//! What a service needs of a register: its store, its queue, and the bytes of its photos.

use crate::bulk::Bulk;
use crate::register::{Filter, Originals, Photos, PlateId, Store, StoreError, accept, judge_again};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The register of a service.
pub struct Desk {
    store: Arc<dyn Store>,
    photos: Arc<dyn Photos>,
    originals: Option<Arc<dyn Originals>>,
    bulk: Option<Arc<Bulk>>,
}

impl Desk {
    /// A desk on a register; its own copies of photos, if any, are in `originals`. Without
    /// them it takes no photos in.
    pub fn new<R: Store + Photos + 'static>(
        register: Arc<R>,
        originals: Option<Arc<dyn Originals>>,
    ) -> Self {
        Self {
            store: Arc::<R>::clone(&register),
            photos: register,
            originals,
            bulk: None,
        }
    }

    /// The same; it imports into the register at `path`, from what is sent and from the folder
    /// `allowed` alone. What an ended program left is marked as interrupted.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub fn with_imports(
        mut self,
        path: &Path,
        allowed: Option<PathBuf>,
    ) -> Result<Self, StoreError> {
        let bulk = Bulk::new(path, allowed);
        bulk.tidy(&self)?;
        bulk.sweep(&self)?;
        self.bulk = Some(Arc::new(bulk));
        Ok(self)
    }

    /// Where imports are started and seen.
    pub(crate) fn bulk(&self) -> Option<&Arc<Bulk>> {
        self.bulk.as_ref()
    }

    /// The queue of photos.
    pub fn photos(&self) -> &dyn Photos {
        self.photos.as_ref()
    }

    /// What keeps and finds.
    pub fn store(&self) -> &dyn Store {
        self.store.as_ref()
    }

    /// The register's own copies, where it keeps any.
    pub fn originals(&self) -> Option<&dyn Originals> {
        self.originals.as_deref()
    }

    /// Judges every plate of a location anew, whose place has changed: an old verdict must not
    /// stand for a new place.
    ///
    /// # Errors
    ///
    /// [`StoreError`]; what was judged until then stays, and the same call goes on.
    pub fn rejudge_location(&self, tag: &str, who: &str) -> Result<(), StoreError> {
        let filter = Filter {
            location: Some(tag.to_owned()),
            ..Filter::default()
        };
        self.store()
            .each_plate(&filter, &mut |record| self.rejudge(record.row.id, who))
    }

    /// Judges one plate anew.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub fn rejudge(&self, plate: PlateId, who: &str) -> Result<(), StoreError> {
        let rejudged = judge_again(self.store(), plate)?;
        if rejudged.differs() {
            accept(self.store(), &rejudged, "place changed", who)?;
        }
        Ok(())
    }
}
