//! The recipe that a command line names: straight, or through a pinned choice.
//!
//! A pinned choice (`NAME.pick`) stands for a recipe with a seed and parameters, and so does a recipe
//! that was packed with some. What is typed with `--set` and `--seed` goes before what is pinned, and
//! that before what is packed.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::recipe_args::RecipeArgs;
use super::terminal::tell;
use super::trouble::Trouble;
use super::visible::on_one_line;
use super::working;
use crate::explore::pinned::{ENDING, Pinned, digest};
use crate::files::{DiskHost, Witness, read_recipe, read_text_file};
use crate::layout::panel::Panel;
use crate::parcel::{PackedHost, Parcel, ParcelError, Verdict, is_pack};
use crate::recipe::evaluate;
use crate::recipe::host::{Host, HostError};
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::{Budget, Settings, all_cores};
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
    /// What the file holds, where it is a pack.
    pub(super) parcel: Option<Arc<Parcel>>,
}

/// Where a recipe's modules come from.
#[derive(Debug)]
pub(super) enum Home {
    /// Its own folder.
    Folder(DiskHost),
    /// The pack that it is in.
    Pack(PackedHost),
}

impl Home {
    /// Every file that was read or looked for in vain.
    pub(super) fn witnesses(&self) -> Vec<Witness> {
        match self {
            Self::Folder(host) => host.witnesses(),
            Self::Pack(_) => Vec::new(),
        }
    }
}

impl Host for Home {
    fn module(&self, name: &str) -> Result<Source, HostError> {
        match self {
            Self::Folder(host) => host.module(name),
            Self::Pack(host) => host.module(name),
        }
    }

    fn library(&self, name: &str) -> Option<Source> {
        match self {
            Self::Folder(host) => host.library(name),
            Self::Pack(host) => host.library(name),
        }
    }

    fn printed(&self, line: &str) {
        match self {
            Self::Folder(host) => host.printed(line),
            Self::Pack(host) => host.printed(line),
        }
    }
}

impl Named {
    /// Reads the recipe or the choice at `path`, and tells what was looked at for it.
    pub(super) fn read(path: &Path) -> (Result<Self, Trouble>, Vec<Witness>) {
        if !path
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case(ENDING))
        {
            let (named, witness) = Self::straight(path);
            return (named, vec![witness]);
        }
        let (text, witness) = read_text_file(path);
        let mut witnesses = vec![witness];
        let pinned = text
            .map_err(Trouble::from)
            .and_then(|text| pinned(path, &text));
        let named = pinned.and_then(|pinned| {
            let recipe = path.parent().unwrap_or(Path::new("")).join(&pinned.recipe);
            let (named, witness) = Self::straight(&recipe);
            witnesses.push(witness);
            Ok(Self {
                pinned: Some(pinned),
                ..named?
            })
        });
        (named, witnesses)
    }

    /// Reads a recipe, packed or not.
    fn straight(path: &Path) -> (Result<Self, Trouble>, Witness) {
        let (source, witness) = read_recipe(path);
        let named = source.map_err(Trouble::from).and_then(|source| {
            let (source, parcel) = opened(path, source)?;
            Ok(Self {
                path: path.to_owned(),
                source,
                pinned: None,
                parcel,
            })
        });
        (named, witness)
    }

    /// The recipe's name: that of its file without folder and ending, or the one it was packed with.
    pub(super) fn name(&self) -> String {
        match &self.parcel {
            Some(parcel) => parcel.name.clone(),
            None => self
                .path
                .file_stem()
                .map(|stem| stem.to_string_lossy().into_owned())
                .unwrap_or_default(),
        }
    }

    /// The recipe's folder, with what the recipe prints told on the error stream: it is no part of
    /// the result and must not end up between the lines of JSON.
    pub(super) fn host(&self) -> Arc<Home> {
        self.host_that(|line| tell(&format!("{}\n", on_one_line(line))))
    }

    /// The same, where what the recipe prints is of no use.
    pub(super) fn quiet_host(&self) -> Arc<Home> {
        self.host_that(|_| ())
    }

    fn host_that(&self, prints: impl Fn(&str) + Send + Sync + 'static) -> Arc<Home> {
        Arc::new(match &self.parcel {
            Some(parcel) => Home::Pack(PackedHost::new(
                Arc::clone(parcel),
                &self.source.name,
                prints,
            )),
            None => Home::Folder(DiskHost::new(&self.path, prints)),
        })
    }

    /// What is pinned, then what is typed.
    pub(super) fn settings(&self, args: &RecipeArgs) -> Settings {
        let own = self.own_settings(args.run.limits.budget());
        Settings {
            seed: args.run.seed.or(own.seed),
            set: args.run.set.clone(),
            threads: all_cores(),
            ..own
        }
    }

    /// What is packed, then what is pinned.
    pub(super) fn own_settings(&self, budget: Budget) -> Settings {
        let (packed, pinned) = (self.parcel.as_ref(), self.pinned.as_ref());
        let packed_values = packed.iter().flat_map(|p| p.values.iter().cloned());
        let pinned_values = pinned.iter().flat_map(|p| &p.parameters);
        Settings {
            seed: pinned
                .map(|p| p.seed)
                .or(packed.and_then(|packed| packed.seed)),
            values: packed_values
                .chain(pinned_values.map(|p| (p.name.clone(), p.value.clone())))
                .collect(),
            set: Vec::new(),
            budget,
            ..Settings::default()
        }
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
        working::at("carrying out the recipe");
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

/// A recipe that was packed, unpacked; any other as it is.
fn opened(path: &Path, source: Arc<Source>) -> Result<(Arc<Source>, Option<Arc<Parcel>>), Trouble> {
    if !is_pack(&source.text) {
        return Ok((source, None));
    }
    let read = Parcel::read(&source.text).map_err(|error| unread(path, &error))?;
    if read.verdict == Verdict::Changed {
        let shown = on_one_line(&path.display().to_string());
        tell(&format!("`{shown}` has changed since it was packed\n"));
    }
    let recipe = Source::new(source.name.clone(), read.parcel.recipe.as_str());
    Ok((Arc::new(recipe), Some(Arc::new(read.parcel))))
}

/// A file that gives no recipe.
pub(super) fn unread(path: &Path, error: &ParcelError) -> Trouble {
    let help = match error {
        ParcelError::Newer { .. } => "get a newer Plyloom",
        ParcelError::Damaged { .. } => {
            "ask for it again, as a file: a message may have broken its lines"
        }
        ParcelError::NoRecipe => {
            "ask for the recipe itself; pictures drawn with `--no-recipe` have none, and some \
             programs drop it when they save a picture"
        }
        ParcelError::NoPack => "a recipe is a text already: it need not be unpacked",
        ParcelError::Picture { .. } => "name an svg drawing, a png picture or a packed recipe",
        ParcelError::Unfit { .. } => "leave it out of the text",
    };
    Trouble::Data {
        code: "parcel::unread",
        message: format!("`{}`: {error}", path.display()),
        help: help.to_owned(),
    }
}

/// The panels of a recipe, or the one that is wanted.
///
/// # Errors
/// When the recipe makes none, or none of that name.
pub(super) fn panels<'a>(
    outcome: &'a Outcome,
    wanted: Option<&str>,
    recipe: &str,
) -> Result<Vec<&'a Panel>, Trouble> {
    if outcome.panels.is_empty() {
        return Err(Trouble::NoPanel {
            recipe: recipe.to_owned(),
        });
    }
    let panels: Vec<&Panel> = outcome
        .panels
        .iter()
        .filter(|p| wanted.is_none_or(|w| w == p.name))
        .collect();
    if panels.is_empty() {
        let names: Vec<String> = outcome
            .panels
            .iter()
            .map(|p| format!("\"{}\"", on_one_line(&p.name)))
            .collect();
        return Err(Trouble::Usage {
            message: format!(
                "the recipe has no panel \"{}\"",
                on_one_line(wanted.unwrap_or_default())
            ),
            help: format!("its panels are {}", names.join(", ")),
        });
    }
    Ok(panels)
}

fn pinned(path: &Path, text: &str) -> Result<Pinned, Trouble> {
    Pinned::read(text).map_err(|error| Trouble::Data {
        code: "pick::form",
        message: format!("`{}` is no pinned choice: {error}", path.display()),
        help: "pin it anew with `plyloom pick`".to_owned(),
    })
}
