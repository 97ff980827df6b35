//! `plyloom new`: a first recipe to change.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::cli_error::CliError;
use super::terminal::print;
use crate::files::{exists, write_new};
use crate::session::visible::shown_path;

/// The name of a recipe that is given none.
const NAME: &str = "my-panel";

/// What to do with the file, above a recipe that is written for a gallery.
const HEADING: &str = "\
//   plyloom watch THIS-FILE --page    shows it in your browser while you change it
//   plyloom words                     lists the words to write with
//
";

/// A kind of recipe to begin with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Kind {
    /// Tumbling blocks of three strips, with a comment at each step
    Blocks,
    /// Planks that lie and stand in turn
    Herringbone,
    /// Leaning planks that meet in points
    Chevron,
    /// Light and dark squares
    Checker,
    /// Light and dark triangles, turned by chance
    Triangles,
    /// Three tiles and a panel to lay by hand on the page
    ByHand,
}

impl Kind {
    /// The text to write.
    fn text(self) -> String {
        let shown = match self {
            Self::Blocks => return include_str!("new_recipe.rhai").to_owned(),
            Self::ByHand => return include_str!("new_by_hand.rhai").to_owned(),
            Self::Herringbone => include_str!("../../demo-patterns/herringbone.rhai"),
            Self::Chevron => include_str!("../../demo-patterns/chevron.rhai"),
            Self::Checker => include_str!("../../demo-patterns/checker.rhai"),
            Self::Triangles => include_str!("../../demo-patterns/snow-crystal.rhai"),
        };
        format!("{HEADING}{shown}")
    }
}

/// Write a first recipe to start from
#[derive(Debug, Args)]
#[command(
    long_about = "Write a short recipe that draws a panel at once: NAME.rhai, or my-panel.rhai when no \
                  name is given. An existing file is never overwritten.",
    after_help = "Examples:\n  plyloom new\n  plyloom new tray --like herringbone\n  \
                  plyloom watch tray.rhai --page"
)]
pub(super) struct NewArgs {
    /// Name of the recipe, with or without a folder before it; `.rhai` is added where it is missing
    #[arg(value_name = "NAME")]
    name: Option<PathBuf>,

    /// The kind of panel to begin with
    #[arg(long, value_name = "KIND", value_enum, default_value_t = Kind::Blocks)]
    like: Kind,
}

pub(super) fn run(args: &NewArgs) -> Result<(), CliError> {
    let path = match &args.name {
        Some(name) => recipe_path(name)?,
        None => free_path(),
    };
    write_new(&path, args.like.text().as_bytes())?;
    let shown = shown_path(&path);
    let others: Vec<String> = Kind::value_variants()
        .iter()
        .filter(|kind| **kind != args.like)
        .filter_map(|kind| Some(kind.to_possible_value()?.get_name().to_owned()))
        .collect();
    print(&format!(
        "wrote {shown}\n\nSee it in your browser, and change it there:\n  plyloom watch {0} --page\n\
         Or draw it into a file:\n  plyloom preview {0}\n\n\
         Other kinds to begin with: plyloom new --like {1}\n",
        quoted(&shown),
        others.join("|")
    ))
}

/// The first of `my-panel.rhai`, `my-panel-2.rhai` and so on that is not there yet.
fn free_path() -> PathBuf {
    let numbered = (2..).map(|number| PathBuf::from(format!("{NAME}-{number}.rhai")));
    std::iter::once(PathBuf::from(format!("{NAME}.rhai")))
        .chain(numbered)
        .find(|path| !exists(path))
        .expect("invariant: there are more numbers than files")
}

/// The file to write for a name.
fn recipe_path(name: &Path) -> Result<PathBuf, CliError> {
    let usage = |message: &str| CliError::Usage {
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
pub(super) fn quoted(path: &str) -> String {
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
