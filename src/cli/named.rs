//! The recipe that a command line names: straight, or through a pinned choice.
//!
//! A pinned choice (`NAME.pick`) stands for a recipe with a seed and parameters. What is typed with
//! `--set` and `--seed` goes before what is pinned.

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::recipe_args::RecipeArgs;
use super::terminal::tell;
use super::trouble::Trouble;
use super::visible::on_one_line;
use crate::explore::pinned::{ENDING, Pinned, digest};
use crate::files::{DiskHost, Witness, read_recipe, read_text_file};
use crate::recipe::evaluate;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::Settings;
use crate::recipe::source::Source;

/// A recipe, read.
#[derive(Debug, Clone)]
pub(super) struct Named {
    /// The recipe's own path.
    pub(super) path: PathBuf,
    /// Its text.
    pub(super) source: Arc<Source>,
    /// The choice that named it, where one did.
    pub(super) pinned: Option<Pinned>,
}

impl Named {
    /// Reads the recipe or the choice at `path`, and tells what was looked at for it.
    pub(super) fn read(path: &Path) -> (Result<Self, Trouble>, Vec<Witness>) {
        if !path
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case(ENDING))
        {
            let (source, witness) = read_recipe(path);
            let named = source.map_err(Trouble::from).map(|source| Self {
                path: path.to_owned(),
                source,
                pinned: None,
            });
            return (named, vec![witness]);
        }
        let (text, witness) = read_text_file(path);
        let mut witnesses = vec![witness];
        let pinned = text
            .map_err(Trouble::from)
            .and_then(|text| pinned(path, &text));
        let named = pinned.and_then(|pinned| {
            let recipe = path.parent().unwrap_or(Path::new("")).join(&pinned.recipe);
            let (source, witness) = read_recipe(&recipe);
            witnesses.push(witness);
            Ok(Self {
                path: recipe,
                source: source?,
                pinned: Some(pinned),
            })
        });
        (named, witnesses)
    }

    /// The recipe's folder, with what the recipe prints told on the error stream: it is no part of
    /// the result and must not end up between the lines of JSON.
    pub(super) fn host(&self) -> Arc<DiskHost> {
        Arc::new(DiskHost::new(&self.path, |line| {
            tell(&format!("{}\n", on_one_line(line)));
        }))
    }

    /// What is pinned, then what is typed.
    pub(super) fn settings(&self, args: &RecipeArgs) -> Settings {
        Settings {
            seed: args.run.seed.or(self.pinned.as_ref().map(|p| p.seed)),
            set: self
                .pinned_set()
                .chain(args.run.set.iter().cloned())
                .collect(),
            budget: args.run.limits.budget(),
            threads: std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN),
        }
    }

    /// The pinned parameters as they would be typed.
    pub(super) fn pinned_set(&self) -> impl Iterator<Item = (String, String)> + '_ {
        let all = self.pinned.iter().flat_map(|p| &p.parameters);
        all.map(|p| (p.name.clone(), p.value.to_string()))
    }

    /// Carries the recipe out, and tells when it is no longer what was pinned.
    ///
    /// # Errors
    /// When the recipe fails.
    pub(super) fn carried_out(
        &self,
        settings: &Settings,
        host: Arc<dyn Host>,
    ) -> Result<Outcome, Trouble> {
        let result = evaluate(&self.source, settings, host);
        let sources = match &result {
            Ok(outcome) => &outcome.sources,
            Err(failure) => &failure.sources,
        };
        if let Some(pinned) = &self.pinned
            && pinned.recipe_sha256 != digest(sources.iter().map(AsRef::as_ref))
        {
            // A recipe that fails may do so before it has read all its modules.
            let words = if result.is_ok() {
                "has changed since this choice was pinned"
            } else {
                "may have changed since this choice was pinned"
            };
            let recipe = on_one_line(&self.path.display().to_string());
            tell(&format!("`{recipe}` {words}\n"));
        }
        result.map_err(Trouble::from)
    }
}

/// Carries out the recipe that a command names.
///
/// # Errors
/// When it cannot be read, or fails.
pub(super) fn outcome(args: &RecipeArgs) -> Result<Outcome, Trouble> {
    let named = Named::read(&args.recipe).0?;
    named.carried_out(&named.settings(args), named.host())
}

fn pinned(path: &Path, text: &str) -> Result<Pinned, Trouble> {
    Pinned::read(text).map_err(|error| Trouble::Data {
        code: "pick::form",
        message: format!("`{}` is no pinned choice: {error}", path.display()),
        help: "pin it anew with `plyloom pick`".to_owned(),
    })
}
