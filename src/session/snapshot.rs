//! The state that is shown at one moment: the last good picture, the one before it, what is wrong,
//! the knobs.

use std::collections::VecDeque;
use std::sync::Arc;

use super::Notice;
use super::Opened;
use super::edit::mark;
use super::fault::FaultReport;
use super::given::Run;
use super::knobs::Knobs;
use super::run_error::RunError;
use super::run_result::RunResult;
use crate::recipe::outcome::Outcome;
use crate::recipe::source::Source;

/// How many texts of the recipe are remembered.
const MOST_TEXTS: usize = 32;
/// How many extra pictures are kept, and the number before that of the first, which runs never
/// reach.
const MOST_ASIDE: usize = 3;
const FIRST_ASIDE: u64 = 1 << 40;

/// The state at one moment.
#[derive(Debug, Clone, Default)]
pub struct Snapshot {
    /// Grows with every change.
    pub serial: u64,
    /// The last good picture.
    pub good: Option<Arc<RunResult>>,
    /// The good picture before it.
    pub former: Option<Arc<RunResult>>,
    /// Why the last run failed, where it did.
    pub fault: Option<FaultReport>,
    /// What the last run printed.
    pub printed: Vec<String>,
    /// Notices about the recipe.
    pub notices: Vec<Notice>,
    /// The mark of the text that the last run read; none where that is no plain recipe.
    pub own: Option<String>,
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
    /// Texts that runs read of late, by their marks.
    pub(super) texts: VecDeque<(String, Arc<Source>)>,
    /// Pictures to be looked at beside what is shown, the oldest first, and how many there were.
    pub(super) aside: VecDeque<Arc<RunResult>>,
    pub(super) asides: u64,
}

impl Snapshot {
    /// The picture of this number, where it is still one of the last two, or lies aside.
    pub fn picture(&self, id: u64) -> Option<Arc<RunResult>> {
        let both = [&self.good, &self.former].into_iter().flatten();
        let mut all = both.chain(&self.aside);
        all.find(|made| made.id == id).map(Arc::clone)
    }

    /// Lays a picture beside what is shown, in the place of the one that lies there longest.
    pub fn lay_aside(&mut self, opened: Opened, outcome: Outcome) -> Arc<RunResult> {
        self.asides += 1;
        let made = Arc::new(RunResult::new(FIRST_ASIDE + self.asides, opened, outcome));
        self.aside.push_back(Arc::clone(&made));
        while self.aside.len() > MOST_ASIDE {
            self.aside.pop_front();
        }
        made
    }

    /// The text of this mark, where a run read it of late.
    pub fn text(&self, mark: &str) -> Option<String> {
        let found = self.texts.iter().find(|(known, _)| known == mark);
        found.map(|(_, source)| source.text.clone())
    }

    fn keep_text(&mut self, source: Arc<Source>) -> String {
        let mark = mark(&source.text);
        self.texts.retain(|(known, _)| *known != mark);
        self.texts.push_back((mark.clone(), source));
        while self.texts.len() > MOST_TEXTS {
            self.texts.pop_front();
        }
        mark
    }

    /// The last good picture.
    ///
    /// # Errors
    /// When there is none yet.
    pub fn newest(&self) -> Result<Arc<RunResult>, String> {
        let good = self.good.clone();
        good.ok_or_else(|| "there is no picture yet".to_owned())
    }

    /// The last good picture, where it still has this number.
    ///
    /// # Errors
    /// When it is another by now.
    pub fn current(&self, picture: u64) -> Result<Arc<RunResult>, String> {
        let made = self.newest()?;
        if made.id == picture {
            Ok(made)
        } else {
            Err("the picture has changed meanwhile: look at it, and keep it then".to_owned())
        }
    }

    /// Takes in the result of a run that knew of the turns up to `answered`. A picture that looks
    /// like the last one takes its place.
    ///
    /// # Errors
    /// Why there is no new picture; the last one stays.
    pub fn take(&mut self, run: Run, answered: u64) -> Result<Arc<RunResult>, RunError> {
        self.busy = false;
        self.knobs = run.knobs;
        self.answered = answered;
        self.printed = run.printed;
        self.notices = run.notices;
        self.own = run.text.map(|text| self.keep_text(text));
        match &run.result {
            Ok(new) => {
                let same = self.good.as_ref().is_some_and(|g| g.looks_like(new));
                if !same {
                    self.former = self.good.take();
                }
                self.good = Some(Arc::clone(new));
                self.fault = None;
            }
            Err(error) => self.fault = Some(FaultReport::of(error)),
        }
        run.result
    }
}
