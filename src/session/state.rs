//! What there is to see at one moment: the last good picture, the one before it, what is wrong, the
//! knobs.

use std::sync::Arc;

use super::Notice;
use super::fault::Fault;
use super::given::Run;
use super::knobs::Knobs;
use super::made::Made;
use super::run_error::RunError;

/// The state at one moment.
#[derive(Debug, Clone, Default)]
pub struct State {
    /// Grows with every change.
    pub serial: u64,
    /// The last good picture.
    pub good: Option<Arc<Made>>,
    /// The good picture before it.
    pub former: Option<Arc<Made>>,
    /// Why the last run failed, where it did.
    pub fault: Option<Fault>,
    /// What the last run printed.
    pub printed: Vec<String>,
    /// What is to be known of the recipe, beside its panels.
    pub notices: Vec<Notice>,
    /// The knobs that the last run had.
    pub knobs: Knobs,
    /// The number of the last turn of a knob that the last run knew.
    pub answered: u64,
    /// Whether a run is at work.
    pub busy: bool,
    /// How many runs have begun. It grows in the same step that `busy` is set, so that no look at the
    /// state falls between the two.
    pub begun: u64,
    /// Grows with every change of the shortlist.
    pub shortlist: u64,
}

impl State {
    /// The picture of this number, where it is still one of the last two.
    #[must_use]
    pub fn picture(&self, id: u64) -> Option<Arc<Made>> {
        let both = [&self.good, &self.former].into_iter().flatten();
        both.into_iter().find(|made| made.id == id).map(Arc::clone)
    }

    /// The last good picture.
    ///
    /// # Errors
    /// When there is none yet.
    pub fn newest(&self) -> Result<Arc<Made>, String> {
        let good = self.good.clone();
        good.ok_or_else(|| "there is no picture yet".to_owned())
    }

    /// The last good picture, where it is still the one that somebody looks at.
    ///
    /// # Errors
    /// When it is another by now.
    pub fn current(&self, picture: u64) -> Result<Arc<Made>, String> {
        let made = self.newest()?;
        if made.id == picture {
            Ok(made)
        } else {
            Err("the picture has changed meanwhile: look at it, and keep it then".to_owned())
        }
    }

    /// Takes in what a run came to that knew of the turns up to `answered`. A picture that looks like
    /// the last one takes its place.
    ///
    /// # Errors
    /// Why there is no new picture; the last one stays.
    pub fn take(&mut self, run: Run, answered: u64) -> Result<Arc<Made>, RunError> {
        self.busy = false;
        self.knobs = run.knobs;
        self.answered = answered;
        self.printed = run.printed;
        self.notices = run.notices;
        match &run.result {
            Ok(new) => {
                let same = self.good.as_ref().is_some_and(|g| g.looks_like(new));
                if !same {
                    self.former = self.good.take();
                }
                self.good = Some(Arc::clone(new));
                self.fault = None;
            }
            Err(error) => self.fault = Some(Fault::of(error)),
        }
        run.result
    }
}
