//! The recipe that a command line names, on the disk: warnings about it are printed on the error
//! stream.

use std::borrow::Cow;
use std::ops::Deref;
use std::path::Path;
use std::sync::Arc;

use super::cli_error::CliError;
use super::recipe_args::{LimitArgs, RecipeArgs};
use super::spinner;
use super::terminal::tell;
use crate::files::{DiskStore, FileStamp};
use crate::layout::{cut_out::cut_out, panel::Panel};
use crate::rack::largest::Adjustment;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::Settings;
use crate::recipe::source::Source;
use crate::recipe::store::Reach;
use crate::recipe::{Failure, evaluate};
use crate::session::visible::on_one_line;
use crate::session::{Notice, Opened};

/// A recipe, opened from the disk.
#[derive(Debug, Clone)]
pub(super) struct RecipeInput {
    opened: Opened,
    store: Arc<DiskStore>,
}

impl Deref for RecipeInput {
    type Target = Opened;

    fn deref(&self) -> &Opened {
        &self.opened
    }
}

impl RecipeInput {
    /// Reads the recipe or the choice at `path`.
    ///
    /// # Errors
    /// When it cannot be read, is damaged or is out of reach.
    pub(super) fn read(path: &Path, limits: &LimitArgs) -> Result<Self, CliError> {
        Self::read_from(Arc::default(), path, limits.reach())
    }

    /// Reads it from a store that remembers what was looked at.
    ///
    /// # Errors
    /// As [`RecipeInput::read`].
    pub(super) fn read_from(
        store: Arc<DiskStore>,
        path: &Path,
        reach: Reach,
    ) -> Result<Self, CliError> {
        let opened = Opened::read(path, reach, &*store)?;
        tell_notice(opened.notice().as_ref());
        Ok(Self { opened, store })
    }

    /// The same with another text.
    pub(super) fn with_text(&self, text: &str) -> Self {
        Self {
            opened: self.opened.with_text(text),
            store: Arc::clone(&self.store),
        }
    }

    /// Every file that was read or looked for in vain.
    pub(super) fn witnesses(&self) -> Vec<FileStamp> {
        self.store.witnesses()
    }

    /// Its own folder or pack, with what the recipe prints told on the error stream: it is no part of
    /// the result and must not end up between the lines of JSON.
    pub(super) fn host(&self) -> Arc<dyn Host> {
        let print = |line: &str| tell(&format!("{}\n", on_one_line(line)));
        self.opened.host(&*self.store, Box::new(print))
    }

    /// The same, where what the recipe prints is of no use.
    pub(super) fn quiet_host(&self) -> Arc<dyn Host> {
        self.opened.host(&*self.store, Box::new(|_| ()))
    }

    /// Carries the recipe out, and tells when it is no longer what was pinned.
    ///
    /// # Errors
    /// When the recipe fails.
    pub(super) fn carried_out(
        &self,
        settings: &Settings,
        host: Arc<dyn Host>,
    ) -> Result<Outcome, CliError> {
        spinner::at("carrying out the recipe");
        let result = evaluate(&self.source, settings, host);
        tell_notice(self.notice_of(&result).as_ref());
        result.map_err(CliError::from)
    }

    /// Carries the recipe out with a change of its numbers, quietly.
    ///
    /// # Errors
    /// When the recipe fails.
    pub(super) fn changed(
        &self,
        settings: &Settings,
        change: &Adjustment,
    ) -> Result<Outcome, Failure> {
        let mut settings = settings.clone();
        let changed = |name: &str| change.set.iter().any(|(n, _)| n == name);
        settings.set.retain(|(name, _)| !changed(name));
        settings.set.extend(change.set.iter().cloned());
        let source = match &change.text {
            Some(text) => Source::new(self.source.name.clone(), text.as_str()).into(),
            None => self.source.clone(),
        };
        evaluate(&source, &settings, self.quiet_host())
    }
}

fn tell_notice(notice: Option<&Notice>) {
    if let Some(notice) = notice {
        tell(&format!("{}\n", on_one_line(&notice.to_string())));
    }
}

/// Carries out the recipe that a command names.
///
/// # Errors
/// When it cannot be read, or fails.
pub(super) fn outcome(args: &RecipeArgs) -> Result<Outcome, CliError> {
    let named = RecipeInput::read(&args.recipe, &args.run.limits)?;
    named.carried_out(&named.settings(args.run.typed()), named.host())
}

/// The panels of a recipe, or the one that is wanted: a panel, or else a piece of one.
///
/// # Errors
/// When the recipe makes none, or none of that name.
pub(super) fn panels<'a>(
    outcome: &'a Outcome,
    wanted: Option<&str>,
    recipe: &str,
) -> Result<Vec<Cow<'a, Panel>>, CliError> {
    if outcome.panels.is_empty() {
        return Err(CliError::NoPanel {
            recipe: recipe.to_owned(),
        });
    }
    let mut panels: Vec<Cow<'_, Panel>> = outcome
        .panels
        .iter()
        .filter(|p| wanted.is_none_or(|w| w == p.name))
        .map(Cow::Borrowed)
        .collect();
    if panels.is_empty() {
        let pieces = outcome.panels.iter().flat_map(|panel| {
            let own = panel.pieces.list.iter();
            let own = own.filter(|piece| Some(piece.name.as_str()) == wanted);
            own.map(move |piece| Cow::Owned(cut_out(panel, piece)))
        });
        panels.extend(pieces.take(1));
    }
    if panels.is_empty() {
        let names: Vec<String> = outcome
            .panels
            .iter()
            .map(|p| format!("\"{}\"", on_one_line(&p.name)))
            .collect();
        return Err(CliError::Usage {
            message: format!(
                "the recipe has no panel \"{}\"",
                on_one_line(wanted.unwrap_or_default())
            ),
            help: format!("its panels are {}", names.join(", ")),
        });
    }
    Ok(panels)
}
