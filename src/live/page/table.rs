//! What lies on the table: the last good picture, the one before it, what is wrong, the knobs.
//!
//! One table, however many pages look at it. The thread that carries out the recipe writes; it never
//! waits for a page. A page sees the newest state when it looks, and none of those that it missed.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tokio::sync::watch;

use super::error::RunError;
use super::fault::Fault;
use super::given::Given;
use super::knobs::{Knobs, Turn};
use super::made::Made;
use super::recall::Recallable;
use crate::files::{DiskStore, Witness};
use crate::live::watch::Stop;
use crate::session::visible::visible;
use crate::session::{Notice, Opened};

/// How many printed lines are shown.
const MOST_LINES: usize = 50;

/// The state at one moment.
#[derive(Debug, Clone, Default)]
pub(super) struct Shown {
    /// Grows with every change.
    pub(super) serial: u64,
    /// The last good picture.
    pub(super) good: Option<Arc<Made>>,
    /// The good picture before it.
    pub(super) former: Option<Arc<Made>>,
    /// Why the last run failed, where it did.
    pub(super) fault: Option<Fault>,
    /// What the last run printed.
    pub(super) printed: Vec<String>,
    /// What is to be known of the recipe, beside its panels.
    pub(super) notices: Vec<Notice>,
    /// The knobs that the last run had.
    pub(super) knobs: Knobs,
    /// The number of the last turn of a knob that the last run knew.
    pub(super) answered: u64,
    /// Whether a run is at work.
    pub(super) busy: bool,
    /// How many runs have begun. It grows in the same step that `busy` is set, so that no look at the
    /// table falls between the two.
    begun: u64,
    /// Grows with every change of the shortlist.
    pub(super) shortlist: u64,
}

/// The knobs as they were last turned.
#[derive(Debug, Default)]
struct Wish {
    knobs: Knobs,
    number: u64,
}

/// The table.
#[derive(Debug)]
pub(super) struct Table {
    given: Given,
    wish: Mutex<Wish>,
    /// The number of the last turn, for whoever must not wait.
    turns: Arc<AtomicU64>,
    shown: watch::Sender<Arc<Shown>>,
    bell: Stop,
}

impl Table {
    pub(super) fn new(given: Given, bell: Stop) -> Self {
        Self {
            given,
            wish: Mutex::default(),
            turns: Arc::default(),
            shown: watch::Sender::new(Arc::default()),
            bell,
        }
    }

    pub(super) fn given(&self) -> &Given {
        &self.given
    }

    /// The state now.
    pub(super) fn now(&self) -> Arc<Shown> {
        Arc::clone(&self.shown.borrow())
    }

    /// The state as it changes.
    pub(super) fn changes(&self) -> watch::Receiver<Arc<Shown>> {
        self.shown.subscribe()
    }

    /// The picture of this number, where it still lies on the table.
    pub(super) fn picture(&self, id: u64) -> Option<Arc<Made>> {
        let now = self.now();
        [&now.good, &now.former]
            .into_iter()
            .flatten()
            .find(|made| made.id == id)
            .map(Arc::clone)
    }

    /// The state as soon as no run is at work. Whatever is made of it asks by [`Self::overtook`]
    /// whether it still stands.
    pub(super) async fn settled(&self) -> Arc<Shown> {
        let mut changes = self.changes();
        let settled = changes.wait_for(|shown| !shown.busy).await;
        // The table has its own end of the line, so it is never closed here.
        settled.map_or_else(|_| self.now(), |shown| Arc::clone(&shown))
    }

    /// Whether a run has begun since the table looked like this.
    pub(super) fn overtook(&self, shown: &Shown) -> bool {
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
    /// where the run was recalled: another is to follow at once.
    pub(super) fn carry_out(
        &self,
        print: impl Fn(&str) + Send + Sync + 'static,
    ) -> (Option<Result<Arc<Made>, RunError>>, Vec<Witness>) {
        let (mut knobs, number) = {
            let wish = self.wish();
            (wish.knobs.clone(), wish.number)
        };
        self.change(|shown| {
            shown.busy = true;
            shown.begun += 1;
        });
        let store = Arc::new(DiskStore::new());
        let opened = Opened::read(&self.given.recipe, self.given.reach, &*store);
        let mut notices = Vec::new();
        let printed = Arc::new(Mutex::new(Vec::new()));
        let result = opened.map_err(RunError::from).and_then(|opened| {
            let lines = Arc::clone(&printed);
            let print = move |line: &str| {
                print(line);
                let mut lines = lines.lock().unwrap_or_else(PoisonError::into_inner);
                if lines.len() < MOST_LINES {
                    lines.push(visible(line));
                }
            };
            let host = opened.host(&*store, Box::new(print));
            let before = knobs.clone();
            let (turns, bell) = (Arc::clone(&self.turns), self.bell.clone());
            let newer = move || turns.load(Ordering::SeqCst) != number || bell.is_stopped();
            let door = Recallable::new(host, Arc::clone(&store), newer).door();
            let outcome = (self.given).carry_out(&opened, &mut knobs, &door, &mut notices);
            if knobs != before {
                self.let_go(&before, &knobs);
            }
            Ok((opened, outcome?))
        });
        if result.as_ref().is_err_and(RunError::is_recall) {
            return (None, store.witnesses());
        }
        let printed = std::mem::take(&mut *printed.lock().unwrap_or_else(PoisonError::into_inner));
        let mut made = None;
        let mut trouble = None;
        // Only this thread makes pictures, so the number is free.
        let id = self.now().serial + 1;
        let result = result.map(|(opened, outcome)| {
            let new = Arc::new(Made::new(id, opened, outcome));
            // Worked out here, so that no page waits for it.
            new.told();
            new
        });
        self.change(|shown| {
            shown.busy = false;
            shown.knobs = knobs;
            shown.answered = number;
            shown.printed = printed;
            shown.notices = notices;
            match result {
                Ok(new) => {
                    let same = shown.good.as_ref().is_some_and(|g| g.looks_like(&new));
                    if !same {
                        shown.former = shown.good.take();
                    }
                    shown.good = Some(Arc::clone(&new));
                    shown.fault = None;
                    made = Some(new);
                }
                Err(error) => {
                    shown.fault = Some(Fault::of(&error));
                    trouble = Some(error);
                }
            }
        });
        let result = match (made, trouble) {
            (Some(made), _) => Ok(made),
            (None, trouble) => {
                Err(trouble.expect("invariant: a run without a picture has a reason"))
            }
        };
        (Some(result), store.witnesses())
    }

    /// Takes knobs back that the recipe has no use for, unless they were turned meanwhile.
    fn let_go(&self, before: &Knobs, after: &Knobs) {
        let mut wish = self.wish();
        for (name, value) in &before.set {
            if !after.set.contains_key(name) && wish.knobs.set.get(name) == Some(value) {
                wish.knobs.set.remove(name);
            }
        }
    }

    fn change(&self, change: impl FnOnce(&mut Shown)) {
        self.shown.send_modify(|shown| {
            let mut next = Shown::clone(shown);
            next.serial += 1;
            change(&mut next);
            *shown = Arc::new(next);
        });
    }

    /// A panic elsewhere leaves the knobs as good as they were.
    fn wish(&self) -> MutexGuard<'_, Wish> {
        self.wish.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
