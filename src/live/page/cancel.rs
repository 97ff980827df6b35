//! Ending a run whose result is not wanted any more: a knob was turned meanwhile, a file that the run
//! read was saved, the page that asked for it has left, or the program is to end.
//!
//! Short runs are not ended: while a slider is dragged, the pictures in between are wanted too.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use crate::files::DiskStore;
use crate::recipe::host::{Host, HostError};
use crate::recipe::source::Source;

/// A run that has lasted less than this is never ended.
const SHORT: Duration = Duration::from_millis(400);
/// How often the files are looked at.
const EVERY: Duration = Duration::from_millis(50);

/// The door of a run that may be recalled.
pub(super) struct Recallable {
    door: Arc<dyn Host>,
    /// What the run reads.
    store: Arc<DiskStore>,
    /// Whether something newer is wanted, the files aside.
    newer: Box<dyn Fn() -> bool + Send + Sync>,
    look: Mutex<Instant>,
    recalled: AtomicBool,
}

impl Recallable {
    /// A run through a door, of files that `store` has read.
    pub(super) fn new(
        door: Arc<dyn Host>,
        store: Arc<DiskStore>,
        newer: impl Fn() -> bool + Send + Sync + 'static,
    ) -> Self {
        Self {
            door,
            store,
            newer: Box::new(newer),
            look: Mutex::new(Instant::now() + SHORT),
            recalled: AtomicBool::new(false),
        }
    }

    pub(super) fn door(self) -> Arc<dyn Host> {
        Arc::new(self)
    }
}

impl Host for Recallable {
    fn module(&self, name: &str) -> Result<Source, HostError> {
        self.door.module(name)
    }

    fn drawing(&self, name: &str) -> Result<Source, HostError> {
        self.door.drawing(name)
    }

    fn library(&self, name: &str) -> Option<Source> {
        self.door.library(name)
    }

    fn printed(&self, line: &str) {
        self.door.printed(line);
    }

    fn is_wanted(&self) -> bool {
        // Once cancelled, a run stays cancelled, whatever the files look like later.
        if self.recalled.load(Ordering::SeqCst) {
            return false;
        }
        let mut look = self.look.lock().unwrap_or_else(PoisonError::into_inner);
        if Instant::now() < *look {
            return true;
        }
        *look = Instant::now() + EVERY;
        drop(look);
        let recalled = (self.newer)() || self.store.marks_differ();
        self.recalled.store(recalled, Ordering::SeqCst);
        !recalled
    }
}
