//! `plyloom new`: a first recipe to change.

use std::path::{Path, PathBuf};

use clap::Args;

use super::terminal::print;
use super::trouble::Trouble;
use crate::files::write_new;
use crate::session::visible::on_one_line;

/// The recipe that a maker starts from.
const FIRST_RECIPE: &str = include_str!("new_recipe.rhai");

/// Write a first recipe to start from
#[derive(Debug, Args)]
#[command(
    long_about = "Write NAME.rhai, a short recipe with comments that draws a panel at once. A file \
                  that is there already is never overwritten.",
    after_help = "Examples:\n  plyloom new my-panel\n  plyloom preview my-panel.rhai"
)]
pub(super) struct NewArgs {
    /// Name of the recipe, with or without a folder before it; `.rhai` is added where it is missing
    #[arg(value_name = "NAME")]
    name: PathBuf,
}

pub(super) fn run(args: &NewArgs) -> Result<(), Trouble> {
    let path = recipe_path(&args.name)?;
    write_new(&path, FIRST_RECIPE.as_bytes())?;
    let shown = on_one_line(&path.display().to_string());
    print(&format!(
        "{shown} is written. See it with\n  plyloom preview {0}\nor keep the picture in step while you edit with\n  plyloom watch {0}\n",
        quoted(&shown)
    ))
}

/// The file to write for a name.
fn recipe_path(name: &Path) -> Result<PathBuf, Trouble> {
    let usage = |message: &str| Trouble::Usage {
        message: message.to_owned(),
        help: "give a name of letters, digits and hyphens: `plyloom new my-panel`".to_owned(),
    };
    let bare = name
        .file_name()
        .ok_or_else(|| usage("a recipe needs a name, not only a folder"))?
        .to_str()
        .ok_or_else(|| usage("the name is not text"))?;
    if name.as_os_str().to_string_lossy().ends_with(['/', '\\']) {
        return Err(usage("a recipe needs a name, not only a folder"));
    }
    if bare.chars().any(char::is_control) {
        return Err(usage("the name holds a control character"));
    }
    let stem = bare.strip_suffix(".rhai").unwrap_or(bare);
    if stem.is_empty() {
        return Err(usage("a recipe needs a name before `.rhai`"));
    }
    Ok(name.with_file_name(format!("{stem}.rhai")))
}

/// A path as it is typed to a shell.
fn quoted(path: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || "/._-+,:@%".contains(c);
    if path.chars().all(plain) {
        path.to_owned()
    } else {
        format!("'{}'", path.replace('\'', r"'\''"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_is_added_once() {
        let path = |name: &str| recipe_path(Path::new(name)).unwrap();
        assert_eq!(path("a"), Path::new("a.rhai"));
        assert_eq!(path("a.rhai"), Path::new("a.rhai"));
        assert_eq!(path("in/a.b"), Path::new("in/a.b.rhai"));
        for bad in [".rhai", "", "..", "in/", "a\u{1b}"] {
            assert!(recipe_path(Path::new(bad)).is_err(), "{bad:?}");
        }
    }

    #[test]
    fn a_name_with_a_space_is_quoted() {
        assert_eq!(quoted("a b.rhai"), "'a b.rhai'");
        assert_eq!(quoted("in/a.rhai"), "in/a.rhai");
    }
}
