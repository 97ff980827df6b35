//! The table, the state that all pages look at: the last good picture, the one before it, the
//! fault, the knobs.
//!
//! One table, however many pages look at it. The thread that carries out the recipe writes; it never
//! waits for a page. A page sees the newest state when it looks, and none of those that it missed.

use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tokio::sync::watch;

use super::cancel::Recallable;
use crate::files::{DiskStore, FileStamp};
use crate::live::watch::Stop;
use crate::recipe::outcome::Outcome;
use crate::session::Given;
use crate::session::Opened;
use crate::session::RunError;
use crate::session::Snapshot;
use crate::session::knobs::{Knobs, Turn};
use crate::session::run_result::RunResult;

/// The knobs as they were last turned.
#[derive(Debug, Default)]
struct Wish {
    knobs: Knobs,
    number: u64,
}

/// The table.
#[derive(Debug)]
pub(super) struct Table {
    given: Mutex<Arc<Given>>,
    wish: Mutex<Wish>,
    /// The number of the last turn, to be read without waiting for the lock.
    turns: Arc<AtomicU64>,
    shown: watch::Sender<Arc<Snapshot>>,
    bell: Stop,
}

impl Table {
    pub(super) fn new(given: Given, bell: Stop) -> Self {
        Self {
            given: Mutex::new(Arc::new(given)),
            wish: Mutex::default(),
            turns: Arc::default(),
            shown: watch::Sender::new(Arc::default()),
            bell,
        }
    }

    /// The recipe that is open.
    pub(super) fn given(&self) -> Arc<Given> {
        let given = self.given.lock().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(&given)
    }

    /// Opens another recipe in the place of the one that is shown: with its own values.
    pub(super) fn open(&self, recipe: PathBuf) {
        let new = self.given().another(recipe);
        let mut wish = self.wish();
        *self.given.lock().unwrap_or_else(PoisonError::into_inner) = Arc::new(new);
        wish.knobs = Knobs::default();
        wish.number += 1;
        self.turns.store(wish.number, Ordering::SeqCst);
        drop(wish);
        self.change(|shown| {
            shown.good = None;
            shown.former = None;
            shown.fault = None;
            shown.own = None;
            shown.knobs = Knobs::default();
        });
        self.bell.ask();
    }

    /// The state now.
    pub(super) fn now(&self) -> Arc<Snapshot> {
        Arc::clone(&self.shown.borrow())
    }

    /// The state as it changes.
    pub(super) fn changes(&self) -> watch::Receiver<Arc<Snapshot>> {
        self.shown.subscribe()
    }

    /// The picture of this number, where it still lies on the table.
    pub(super) fn picture(&self, id: u64) -> Option<Arc<RunResult>> {
        self.now().picture(id)
    }

    /// Lays a picture beside what is shown.
    pub(super) fn lay_aside(&self, opened: Opened, outcome: Outcome) -> Arc<RunResult> {
        let mut made = None;
        self.change(|shown| made = Some(shown.lay_aside(opened, outcome)));
        made.expect("invariant: a change is carried out")
    }

    /// The state as soon as no run is at work. Whatever is made of it asks by [`Self::overtook`]
    /// whether it still stands.
    pub(super) async fn settled(&self) -> Arc<Snapshot> {
        let mut changes = self.changes();
        let settled = changes.wait_for(|shown| !shown.busy).await;
        // The table has its own end of the line, so it is never closed here.
        settled.map_or_else(|_| self.now(), |shown| Arc::clone(&shown))
    }

    /// Whether a run has begun since the table looked like this.
    pub(super) fn overtook(&self, shown: &Snapshot) -> bool {
        self.shown.borrow().begun != shown.begun
    }

    /// Turns knobs and asks for a run; the number of the turn.
    ///
    /// # Errors
    /// When the turn is none.
    pub(super) fn turn(&self, turn: Turn) -> Result<u64, String> {
        let mut wish = self.wish();
        wish.knobs = wish.knobs.turned(turn)?;
        wish.number += 1;
        self.turns.store(wish.number, Ordering::SeqCst);
        self.bell.ask();
        Ok(wish.number)
    }

    /// Tells all pages that the shortlist is another.
    pub(super) fn shortlist_changed(&self) {
        self.change(|shown| shown.shortlist += 1);
    }

    /// Carries the recipe out as it is on the disk now, and lays the result on the table. No result
    /// where the run was cancelled: another is to follow at once.
    pub(super) fn carry_out(
        &self,
        print: impl Fn(&str) + Send + Sync + 'static,
    ) -> (Option<Result<Arc<RunResult>, RunError>>, Vec<FileStamp>) {
        let (before, number, given) = {
            let wish = self.wish();
            (wish.knobs.clone(), wish.number, self.given())
        };
        self.change(|shown| {
            shown.busy = true;
            shown.begun += 1;
        });
        let store = Arc::new(DiskStore::new());
        let (turns, bell) = (Arc::clone(&self.turns), self.bell.clone());
        let newer = move || turns.load(Ordering::SeqCst) != number || bell.is_stopped();
        let door = |host| Recallable::new(host, Arc::clone(&store), newer).door();
        // Only this thread makes pictures, so the number is free.
        let id = self.now().serial + 1;
        let run = given.run(id, before.clone(), &*store, print, door);
        self.let_go(&before, &run.knobs);
        // What was opened meanwhile is to be run in its place.
        let other = !Arc::ptr_eq(&given, &self.given());
        if other || run.result.as_ref().is_err_and(RunError::is_recall) {
            return (None, store.witnesses());
        }
        let mut result = None;
        self.change(|shown| result = Some(shown.take(run, number)));
        (result, store.witnesses())
    }

    /// Drops knobs that the recipe has no parameter for, unless they were turned meanwhile.
    fn let_go(&self, before: &Knobs, after: &Knobs) {
        let mut wish = self.wish();
        for (name, value) in &before.set {
            if !after.set.contains_key(name) && wish.knobs.set.get(name) == Some(value) {
                wish.knobs.set.remove(name);
            }
        }
    }

    fn change(&self, change: impl FnOnce(&mut Snapshot)) {
        self.shown.send_modify(|shown| {
            let mut next = Snapshot::clone(shown);
            next.serial += 1;
            change(&mut next);
            *shown = Arc::new(next);
        });
    }

    /// A panic elsewhere does no harm to the knobs.
    fn wish(&self) -> MutexGuard<'_, Wish> {
        self.wish.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
