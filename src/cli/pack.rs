//! `plyloom pack`: a recipe and all that belongs to it as one text.

use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;

use super::cli_error::CliError;
use super::recipe_args::RecipeArgs;
use super::recipe_input::RecipeInput;
use super::terminal::print;
use crate::appearance::Look;
use crate::bundle::Bundle;
use crate::explore::link::{LONGEST, Link};
use crate::files::{exists, read_text_file, write_new, write_whole};
use crate::session::OpenError;
use crate::session::visible::shown_path;

/// How the name of a pack ends, after the recipe's name.
const ENDING: &str = ".packed.rhai";
/// The page that opens a link, where no other address is given.
pub(super) const PAGE: &str = "plyloom.html";

/// Put a recipe and its rule modules into one text file, to send it
#[derive(Debug, Args)]
#[command(
    long_about = "Put a recipe and all its rule modules into one file of plain text, which every \
                  command takes like the recipe itself. It can be sent as a file or pasted into a \
                  message; a hash in it shows whether it arrived unchanged. Values set with --set, \
                  --seed or a pinned choice are packed too. With --link it becomes an address \
                  that `plyloom.html` opens.",
    after_help = "Examples:\n  plyloom pack tray.rhai\n  plyloom pack tray.rhai --link\n  plyloom pack tray.pick --out gift.rhai\n  \
                  plyloom preview tray.packed.rhai\n  plyloom unpack tray.packed.rhai --out theirs"
)]
pub(super) struct PackArgs {
    #[command(flatten)]
    pub(super) recipe: RecipeArgs,

    /// Write to this file instead of NAME.packed.rhai beside the recipe; `-` is the standard output
    #[arg(long, short, value_name = "FILE", value_hint = ValueHint::FilePath)]
    out: Option<PathBuf>,

    /// Replace an existing file
    #[arg(long)]
    overwrite: bool,

    /// Print a link instead, which holds everything after the `#`; ADDRESS is that of the page that
    /// opens it
    #[arg(long, value_name = "ADDRESS", num_args = 0..=1, default_missing_value = PAGE,
          conflicts_with_all = ["out", "overwrite"])]
    link: Option<String>,
}

pub(super) fn run(args: &PackArgs) -> Result<(), CliError> {
    let path = &args.recipe.recipe;
    let named = RecipeInput::read(path, &args.recipe.run.limits)?;
    let settings = named.settings(args.recipe.run.typed());
    let host = named.quiet_host();
    let outcome = named.carried_out(&settings, std::sync::Arc::clone(&host))?;
    let mut bundle = Bundle::of(&named.name(), &outcome, &settings, &*host);
    if let Some(former) = named.bundle.as_ref().filter(|p| p.is_same(&bundle)) {
        // The same when it is packed again by a later program.
        bundle.program.clone_from(&former.program);
    }
    let unfit = |error| OpenError::Pack {
        path: path.clone(),
        error,
    };
    if let Some(page) = &args.link {
        let look = named.pinned.as_ref().map(|pinned| pinned.look);
        let look = look.unwrap_or_default();
        if look != Look::default() {
            // The look is unpacked into a pinned choice, which names the seed.
            bundle.seed = Some(outcome.seed);
        }
        return link(page, &Link { bundle, look }.text().map_err(unfit)?);
    }
    let text = bundle.text().map_err(unfit)?;
    if args.out.as_deref() == Some(Path::new("-")) {
        return print(&text);
    }
    let out = match &args.out {
        Some(out) => out.clone(),
        None => path.with_file_name(format!("{}{ENDING}", bundle.name)),
    };
    let shown = shown_path(&out);
    let again = exists(&out) && read_text_file(&out).0.is_ok_and(|there| there == text);
    if again {
        return print(&format!("{shown} already exists, with the same content\n"));
    }
    if args.overwrite && !same_as_recipe(&out, path) {
        write_whole(&out, text.as_bytes())?;
    } else {
        write_new(&out, text.as_bytes())?;
    }
    let modules = match bundle.modules.len() {
        0 => String::new(),
        1 => " with 1 rule module".to_owned(),
        n => format!(" with {n} rule modules"),
    };
    print(&format!(
        "{shown} holds the recipe{modules}; every command takes it\nsha256    {}\n",
        bundle.sha256()
    ))
}

/// Prints a link, where it will reach its reader.
fn link(page: &str, own: &str) -> Result<(), CliError> {
    let page = page.split('#').next().unwrap_or("");
    let link = format!("{page}{own}\n");
    let long = link.chars().count() - 1;
    if long > LONGEST {
        return Err(CliError::Data {
            code: "link::too_long",
            message: format!(
                "the link would have {long} characters; many programs cut off what is longer than {LONGEST}"
            ),
            help: "send the recipe as a file: leave `--link` out".to_owned(),
        });
    }
    print(&link)
}

/// A slip in `--out` never costs a recipe.
fn same_as_recipe(out: &Path, recipe: &Path) -> bool {
    crate::files::same_file(out, recipe)
}
