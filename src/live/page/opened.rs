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
use crate::parcel::{PackedHost, Parcel, is_pack};
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
    /// What the file holds, where it is a pack.
    parcel: Option<Arc<Parcel>>,
}

impl Opened {
    /// Reads the recipe or the choice at `path`, and tells what was looked at for it.
    pub(super) fn read(path: &Path) -> (Result<Self, RunError>, Vec<Witness>) {
        let is_choice = path
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case(ENDING));
        if !is_choice {
            let (opened, witness) = Self::straight(path);
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
            let (opened, witness) = Self::straight(&recipe);
            witnesses.push(witness);
            Ok(Self {
                pinned: Some(pinned),
                ..opened?
            })
        });
        (opened, witnesses)
    }

    /// Reads a recipe, packed or not.
    fn straight(path: &Path) -> (Result<Self, RunError>, Witness) {
        let (source, witness) = read_recipe(path);
        let opened = source.map_err(RunError::from).and_then(|source| {
            let (source, parcel) = unpacked(path, source)?;
            Ok(Self {
                path: path.to_owned(),
                source,
                pinned: None,
                parcel,
            })
        });
        (opened, witness)
    }

    /// Whether the recipe stands in its file as it is, so that its text can be changed there.
    pub(super) fn is_plain(&self) -> bool {
        self.pinned.is_none() && self.parcel.is_none()
    }

    /// Where its modules come from; what the recipe prints goes to `print`.
    pub(super) fn home(&self, print: impl Fn(&str) + Send + Sync + 'static) -> Home {
        if let Some(parcel) = &self.parcel {
            return Home {
                door: Arc::new(PackedHost::new(
                    Arc::clone(parcel),
                    &self.source.name,
                    print,
                )),
                folder: None,
            };
        }
        let folder = Arc::new(DiskHost::new(&self.path, print));
        Home {
            door: Arc::clone(&folder) as _,
            folder: Some(folder),
        }
    }

    /// What is packed, then what is pinned, then what was typed, then the knobs.
    pub(super) fn settings(&self, given: &Given, knobs: &Knobs) -> Settings {
        let (packed, pinned) = (self.parcel.as_ref(), self.pinned.as_ref());
        let packed_values = packed.iter().flat_map(|p| p.values.iter().cloned());
        let pinned_values = pinned.iter().flat_map(|p| &p.parameters);
        let turned = knobs.set.iter().map(|(n, v)| (n.clone(), v.clone()));
        Settings {
            seed: knobs
                .seed
                .or(given.seed)
                .or(pinned.map(|p| p.seed))
                .or(packed.and_then(|p| p.seed)),
            values: packed_values
                .chain(pinned_values.map(|p| (p.name.clone(), p.value.clone())))
                .collect(),
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

/// The door of a recipe.
pub(super) struct Home {
    /// The door itself.
    pub(super) door: Arc<dyn Host>,
    pub(super) folder: Option<Arc<DiskHost>>,
}

impl Home {
    /// Every file that was read or looked for in vain.
    pub(super) fn witnesses(&self) -> Vec<Witness> {
        self.folder
            .as_ref()
            .map_or_else(Vec::new, |f| f.witnesses())
    }
}

/// A recipe that was packed, unpacked; any other as it is.
fn unpacked(
    path: &Path,
    source: Arc<Source>,
) -> Result<(Arc<Source>, Option<Arc<Parcel>>), RunError> {
    if !is_pack(&source.text) {
        return Ok((source, None));
    }
    let read = Parcel::read(&source.text).map_err(|error| RunError::Pack {
        pack: path.display().to_string(),
        reason: error.to_string(),
    })?;
    let recipe = Source::new(source.name.clone(), read.parcel.recipe.as_str());
    Ok((Arc::new(recipe), Some(Arc::new(read.parcel))))
}
