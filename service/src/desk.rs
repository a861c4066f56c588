//! What a service needs of a register: its store, and the bytes of its photos.

use crate::register::{Filter, Originals, PlateId, Store, StoreError, accept, judge_again};
use std::sync::Arc;

/// The register of a service.
pub struct Desk {
    store: Arc<dyn Store>,
    originals: Option<Arc<dyn Originals>>,
}

impl Desk {
    /// A desk on a register; its own copies of photos, if any, are in `originals`.
    pub fn new(store: Arc<dyn Store>, originals: Option<Arc<dyn Originals>>) -> Self {
        Self { store, originals }
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
