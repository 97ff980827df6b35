//! The recipe that the page shows, as it is on the disk now: read, and carried out with some knobs.
//!
//! A pinned choice stands for a recipe with seed and parameters. What was typed on the command line
//! goes before what is pinned, and what the knobs say before both.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::error::RunError;
use super::knobs::Knobs;
use crate::explore::pinned::{ENDING, Pinned};
use crate::files::{DiskHost, Witness, read_recipe, read_text_file};
use crate::recipe::evaluate;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::{Budget, Settings, all_cores};
use crate::recipe::source::Source;

/// What the page is started with.
#[derive(Debug, Clone)]
pub struct Given {
    /// The recipe, or a choice pinned of one, as typed.
    pub recipe: PathBuf,
    /// Parameters as typed.
    pub set: Vec<(String, String)>,
    /// The seed as typed.
    pub seed: Option<u64>,
    /// The bounds of each run.
    pub budget: Budget,
}

/// A recipe, read.
#[derive(Debug, Clone)]
pub(super) struct Opened {
    /// The recipe's own path.
    pub(super) path: PathBuf,
    /// Its text.
    pub(super) source: Arc<Source>,
    /// The choice that named it, where one did.
    pub(super) pinned: Option<Pinned>,
}

impl Opened {
    /// Reads the recipe or the choice at `path`, and tells what was looked at for it.
    pub(super) fn read(path: &Path) -> (Result<Self, RunError>, Vec<Witness>) {
        let is_choice = path
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case(ENDING));
        if !is_choice {
            let (source, witness) = read_recipe(path);
            let opened = source.map_err(RunError::from).map(|source| Self {
                path: path.to_owned(),
                source,
                pinned: None,
            });
            return (opened, vec![witness]);
        }
        let (text, witness) = read_text_file(path);
        let mut witnesses = vec![witness];
        let choice = path.display().to_string();
        let pinned = text.map_err(RunError::from).and_then(|text| {
            Pinned::read(&text).map_err(|error| RunError::Choice {
                choice,
                reason: error.to_string(),
            })
        });
        let opened = pinned.and_then(|pinned| {
            let recipe = path.parent().unwrap_or(Path::new("")).join(&pinned.recipe);
            let (source, witness) = read_recipe(&recipe);
            witnesses.push(witness);
            Ok(Self {
                path: recipe,
                source: source?,
                pinned: Some(pinned),
            })
        });
        (opened, witnesses)
    }

    /// The recipe's folder; what the recipe prints goes to `print`.
    pub(super) fn host(&self, print: impl Fn(&str) + Send + Sync + 'static) -> Arc<DiskHost> {
        Arc::new(DiskHost::new(&self.path, print))
    }

    /// What is pinned, then what was typed, then the knobs.
    pub(super) fn settings(&self, given: &Given, knobs: &Knobs) -> Settings {
        let pinned = self.pinned.iter().flat_map(|p| &p.parameters);
        let turned = knobs.set.iter().map(|(n, v)| (n.clone(), v.clone()));
        Settings {
            seed: knobs
                .seed
                .or(given.seed)
                .or(self.pinned.as_ref().map(|p| p.seed)),
            values: pinned.map(|p| (p.name.clone(), p.value.clone())).collect(),
            set: given.set.iter().cloned().chain(turned).collect(),
            budget: given.budget.clone(),
            threads: all_cores(),
        }
    }

    /// Carries the recipe out; a knob of a parameter that the recipe no longer has is let go of.
    ///
    /// # Errors
    /// When the recipe fails, or makes no panel.
    pub(super) fn carried_out(
        &self,
        given: &Given,
        knobs: &mut Knobs,
        host: &Arc<dyn Host>,
    ) -> Result<Outcome, RunError> {
        loop {
            let settings = self.settings(given, knobs);
            match evaluate(&self.source, &settings, Arc::clone(host)) {
                Ok(outcome) if outcome.panels.is_empty() => {
                    return Err(RunError::NoPanel {
                        recipe: self.path.display().to_string(),
                    });
                }
                Ok(outcome) => return Ok(outcome),
                Err(failure) => {
                    let lost = knobs.lost_by(&failure).map(str::to_owned);
                    let Some(name) = lost else {
                        return Err(RunError::Recipe(Box::new(failure)));
                    };
                    knobs.set.remove(&name);
                }
            }
        }
    }
}
