//! Ending a run that nobody waits for any more: a knob was turned meanwhile, a file that the run read
//! was saved, the page that asked for it has left, or the program is to end.
//!
//! Short runs are left alone: while a slider is drawn along, the pictures on the way are wanted too.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use super::opened::Home;
use crate::files::{DiskHost, Witness};
use crate::recipe::host::{Host, HostError};
use crate::recipe::source::Source;

/// A run that has lasted less than this goes on to its end.
const SHORT: Duration = Duration::from_millis(400);
/// How often the files are looked at.
const EVERY: Duration = Duration::from_millis(50);

/// The door of a run that may be recalled.
pub(super) struct Recallable {
    door: Arc<dyn Host>,
    folder: Option<Arc<DiskHost>>,
    /// What was read before the run began.
    read: Vec<Witness>,
    /// Whether something newer is wanted, the files aside.
    newer: Box<dyn Fn() -> bool + Send + Sync>,
    look: Mutex<Instant>,
    recalled: AtomicBool,
}

impl Recallable {
    /// A run through the door of `home`, of files that looked like `read` when they were read.
    pub(super) fn new(
        home: &Home,
        read: Vec<Witness>,
        newer: impl Fn() -> bool + Send + Sync + 'static,
    ) -> Self {
        Self {
            door: Arc::clone(&home.door),
            folder: home.folder.clone(),
            read,
            newer: Box::new(newer),
            look: Mutex::new(Instant::now() + SHORT),
            recalled: AtomicBool::new(false),
        }
    }

    pub(super) fn door(self) -> Arc<dyn Host> {
        Arc::new(self)
    }

    fn is_changed(&self) -> bool {
        let modules = self.folder.as_ref().map(|f| f.witnesses());
        let mut all = self.read.iter().chain(modules.iter().flatten());
        all.any(|w| w.seen.marks_differ(&w.path))
    }
}

impl Host for Recallable {
    fn module(&self, name: &str) -> Result<Source, HostError> {
        self.door.module(name)
    }

    fn library(&self, name: &str) -> Option<Source> {
        self.door.library(name)
    }

    fn printed(&self, line: &str) {
        self.door.printed(line);
    }

    fn is_wanted(&self) -> bool {
        // Once recalled, a run stays so, whatever the files look like later.
        if self.recalled.load(Ordering::SeqCst) {
            return false;
        }
        let mut look = self.look.lock().unwrap_or_else(PoisonError::into_inner);
        if Instant::now() < *look {
            return true;
        }
        *look = Instant::now() + EVERY;
        drop(look);
        let recalled = (self.newer)() || self.is_changed();
        self.recalled.store(recalled, Ordering::SeqCst);
        !recalled
    }
}
