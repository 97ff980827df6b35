//! What the page is started with, and how a recipe is carried out with some knobs.
//!
//! What was typed on the command line goes before what is pinned or packed, and what the knobs say
//! before both.

use std::path::PathBuf;
use std::sync::Arc;

use super::error::RunError;
use super::knobs::Knobs;
use crate::recipe::evaluate;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::store::Reach;
use crate::session::{Notice, Opened, Typed};

/// What the page is started with.
#[derive(Debug, Clone)]
pub struct Given {
    /// The recipe, or a choice pinned of one, as typed.
    pub recipe: PathBuf,
    /// How far a pinned choice may reach for its recipe.
    pub reach: Reach,
    /// What was typed, and the bounds of each run.
    pub typed: Typed,
}

impl Given {
    /// What is typed, with the knobs before it.
    fn with(&self, knobs: &Knobs) -> Typed {
        let mut typed = self.typed.clone();
        let turned = knobs.set.iter().map(|(n, v)| (n.clone(), v.clone()));
        typed.set.extend(turned);
        typed.seed = knobs.seed.or(typed.seed);
        typed
    }

    /// Carries a recipe out; a knob of a parameter that it no longer has is let go of.
    ///
    /// # Errors
    /// When the recipe fails, or makes no panel.
    pub(super) fn carry_out(
        &self,
        opened: &Opened,
        knobs: &mut Knobs,
        host: &Arc<dyn Host>,
        notices: &mut Vec<Notice>,
    ) -> Result<Outcome, RunError> {
        loop {
            let settings = opened.settings(self.with(knobs));
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
