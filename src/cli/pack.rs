//! `plyloom pack`: a recipe and all that belongs to it as one text.

use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;

use super::named::Named;
use super::recipe_args::RecipeArgs;
use super::terminal::print;
use super::trouble::Trouble;
use crate::files::{exists, read_text_file, write_new, write_whole};
use crate::parcel::Parcel;
use crate::session::OpenError;
use crate::session::visible::on_one_line;

/// How the name of a pack ends, after the recipe's name.
const ENDING: &str = ".packed.rhai";

/// Put a recipe and its rule modules into one text file, to send it
#[derive(Debug, Args)]
#[command(
    long_about = "Put a recipe and all its rule modules into one file of plain text, which every \
                  command takes like the recipe itself. It can be sent as a file or pasted into a \
                  message; a hash in it tells whether it came through. What is set with --set and \
                  --seed is packed as well, and so is what a pinned choice sets.",
    after_help = "Examples:\n  plyloom pack tray.rhai\n  plyloom pack tray.pick --out gift.rhai\n  \
                  plyloom preview tray.packed.rhai\n  plyloom unpack tray.packed.rhai --out theirs"
)]
pub(super) struct PackArgs {
    #[command(flatten)]
    pub(super) recipe: RecipeArgs,

    /// Write to this file instead of NAME.packed.rhai beside the recipe; `-` is the standard output
    #[arg(long, short, value_name = "FILE", value_hint = ValueHint::FilePath)]
    out: Option<PathBuf>,

    /// Replace a file that is there already
    #[arg(long)]
    overwrite: bool,
}

pub(super) fn run(args: &PackArgs) -> Result<(), Trouble> {
    let path = &args.recipe.recipe;
    let named = Named::read(path, &args.recipe.run.limits)?;
    let settings = named.settings(args.recipe.run.typed());
    let host = named.quiet_host();
    let outcome = named.carried_out(&settings, std::sync::Arc::clone(&host))?;
    let mut parcel = Parcel::of(&named.name(), &outcome, &settings, &*host);
    if let Some(former) = named.parcel.as_ref().filter(|p| p.is_same(&parcel)) {
        // Packed again by a later program it is still the same.
        parcel.program.clone_from(&former.program);
    }
    let text = parcel.text().map_err(|error| OpenError::Pack {
        path: path.clone(),
        error,
    })?;
    if args.out.as_deref() == Some(Path::new("-")) {
        return print(&text);
    }
    let out = match &args.out {
        Some(out) => out.clone(),
        None => path.with_file_name(format!("{}{ENDING}", parcel.name)),
    };
    let shown = on_one_line(&out.display().to_string());
    let again = exists(&out) && read_text_file(&out).0.is_ok_and(|there| there == text);
    if again {
        return print(&format!("{shown} is there already, and the same\n"));
    }
    if args.overwrite && !same_as_recipe(&out, path) {
        write_whole(&out, text.as_bytes())?;
    } else {
        write_new(&out, text.as_bytes())?;
    }
    let modules = match parcel.modules.len() {
        0 => String::new(),
        1 => " with 1 rule module".to_owned(),
        n => format!(" with {n} rule modules"),
    };
    print(&format!(
        "{shown} holds the recipe{modules}; every command takes it\nsha256    {}\n",
        parcel.sha256()
    ))
}

/// A slip in `--out` never costs a recipe.
fn same_as_recipe(out: &Path, recipe: &Path) -> bool {
    crate::files::same_file(out, recipe)
}
