//! The recipe and options that a session is started with, and how the recipe is carried out with
//! some knobs.
//!
//! Values that were typed go before those that are pinned or packed, and values of knobs go before
//! both.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

use super::knobs::Knobs;
use super::run_error::RunError;
use super::run_result::RunResult;
use super::visible::visible;
use super::{Notice, Opened, Typed};
use crate::recipe::evaluate;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::Settings;
use crate::recipe::source::Source;
use crate::recipe::store::{Reach, Store};

/// How many printed lines are kept.
const MOST_LINES: usize = 50;

/// What a session is started with.
#[derive(Debug, Clone)]
pub struct Given {
    /// The recipe, or a choice pinned of one, as typed.
    pub recipe: PathBuf,
    /// How far a pinned choice may reach for its recipe.
    pub reach: Reach,
    /// What was typed, and the bounds of each run.
    pub typed: Typed,
}

/// One run of the recipe, to its end.
#[derive(Debug)]
pub struct Run {
    /// The panels, or why there are none.
    pub result: Result<Arc<RunResult>, RunError>,
    /// The knobs that it had, without those that the recipe has no parameter for.
    pub knobs: Knobs,
    /// What the recipe printed, its first 50 lines, safe to show.
    pub printed: Vec<String>,
    /// Notices about the recipe.
    pub notices: Vec<Notice>,
    /// The text that it was, where the recipe could be read and stands in its file as it is.
    pub text: Option<Arc<Source>>,
}

impl Given {
    /// Another recipe in the place of this one, with values of its own.
    #[must_use]
    pub fn another(&self, recipe: PathBuf) -> Self {
        let typed = Typed {
            set: Vec::new(),
            seed: None,
            ..self.typed.clone()
        };
        Self {
            recipe,
            reach: self.reach,
            typed,
        }
    }

    /// What a run with these knobs is given.
    pub fn settings(&self, opened: &Opened, knobs: &Knobs) -> Settings {
        let mut typed = self.typed.clone();
        let turned = knobs.set.iter().map(|(n, v)| (n.clone(), v.clone()));
        typed.set.extend(turned);
        typed.seed = knobs.seed.or(typed.seed);
        opened.settings(typed)
    }

    /// Reads the recipe and carries it out; the picture that it gives gets the number `id`. What it
    /// prints goes to `print`, and its door through `door`, which may end the run.
    pub fn run(
        &self,
        id: u64,
        mut knobs: Knobs,
        store: &dyn Store,
        print: impl Fn(&str) + Send + Sync + 'static,
        door: impl FnOnce(Arc<dyn Host>) -> Arc<dyn Host>,
    ) -> Run {
        let printed = Arc::new(Mutex::new(Vec::new()));
        let mut notices = Vec::new();
        let opened = Opened::read(&self.recipe, self.reach, store).map_err(RunError::from);
        let plain = opened.as_ref().ok().filter(|opened| opened.is_plain());
        let text = plain.map(|opened| Arc::clone(&opened.source));
        let result = opened.and_then(|opened| {
            let lines = Arc::clone(&printed);
            let print = move |line: &str| {
                print(line);
                let mut lines = lines.lock().unwrap_or_else(PoisonError::into_inner);
                if lines.len() < MOST_LINES {
                    lines.push(visible(line));
                }
            };
            let host = door(opened.host(store, Box::new(print)));
            let outcome = self.carry_out(&opened, &mut knobs, &host, &mut notices)?;
            notices.extend(Notice::doubts(&outcome));
            Ok(Arc::new(RunResult::new(id, opened, outcome)))
        });
        let printed = std::mem::take(&mut *printed.lock().unwrap_or_else(PoisonError::into_inner));
        Run {
            result,
            knobs,
            printed,
            notices,
            text,
        }
    }

    /// Carries out a recipe that was read; a knob of a parameter that it no longer has is let go of.
    ///
    /// # Errors
    /// When the recipe fails, or makes no panel.
    pub fn carry_out(
        &self,
        opened: &Opened,
        knobs: &mut Knobs,
        host: &Arc<dyn Host>,
        notices: &mut Vec<Notice>,
    ) -> Result<Outcome, RunError> {
        loop {
            let settings = self.settings(opened, knobs);
            let result = evaluate(&opened.source, &settings, Arc::clone(host));
            let lost = result.as_ref().err().and_then(|f| knobs.lost_by(f));
            if let Some(name) = lost.map(str::to_owned) {
                knobs.set.remove(&name);
                continue;
            }
            notices.extend(opened.notice().into_iter().chain(opened.notice_of(&result)));
            let outcome = result.map_err(|failure| RunError::Recipe(Box::new(failure)))?;
            if outcome.panels.is_empty() {
                return Err(RunError::NoPanel {
                    recipe: opened.path.display().to_string(),
                });
            }
            return Ok(outcome);
        }
    }
}
