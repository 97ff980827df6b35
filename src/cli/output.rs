//! Where pictures go: one file for each panel, beside the recipe unless told otherwise.

use std::collections::BTreeSet;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

use clap::builder::ValueHint;
use clap::{Args, ValueEnum};

use super::cli_error::CliError;
use crate::draw::{NARROWEST, WIDEST};
use crate::files::same_file;

/// The most letters of a panel's name in the name of a file.
const LONGEST_SLUG: usize = 48;
/// Widths of a picture in pixels.
const WIDTHS: RangeInclusive<i64> = NARROWEST as i64..=WIDEST as i64;

/// The form of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// A drawing at true scale
    Svg,
    /// An image of pixels, for letters and web pages
    Png,
}

impl Format {
    fn ending(self) -> &'static str {
        match self {
            Self::Svg => "svg",
            Self::Png => "png",
        }
    }
}

/// Where pictures go, and in what form.
#[derive(Debug, Clone, Args)]
pub(super) struct OutputArgs {
    /// Write the picture to this file or folder instead of beside the recipe; `-` is the standard
    /// output
    ///
    /// With several panels, each file gets the name of its panel: `out.svg` becomes `out-NAME.svg`.
    #[arg(long, short, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub(super) out: Option<PathBuf>,

    /// File format of the picture (default: by the ending of --out, or svg)
    #[arg(long, value_name = "FORM")]
    format: Option<Format>,

    /// Width of a png picture, in pixels (default: 1600)
    #[arg(long, value_name = "PX", value_parser = clap::value_parser!(u32).range(WIDTHS))]
    width: Option<u32>,
}

/// Where pictures go, checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Output {
    /// The form.
    pub(super) format: Format,
    /// Width in pixels, of a png picture, where it was given.
    pub(super) width: Option<u32>,
    place: OutputPlace,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum OutputPlace {
    /// A file's name, to which a panel's name is added when there are several.
    File(PathBuf),
    /// The standard output.
    Standard,
}

/// Where one picture goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Target {
    /// To this file.
    File(PathBuf),
    /// To the standard output.
    Standard,
}

impl OutputArgs {
    /// Whether a picture is asked for, by a command that makes none unless asked.
    ///
    /// # Errors
    /// When a form or width is asked for, and no file to draw to.
    pub(super) fn wanted(&self) -> Result<bool, CliError> {
        if self.out.is_none() && (self.format.is_some() || self.width.is_some()) {
            return Err(CliError::Usage {
                message: "`--format` and `--width` are for a picture, and none is asked for"
                    .to_owned(),
                help: "name a file for it with `--out`".to_owned(),
            });
        }
        Ok(self.out.is_some())
    }

    /// Checks what was asked for a recipe.
    ///
    /// # Errors
    /// When form, ending and width do not go together, or the recipe itself would be replaced.
    pub(super) fn resolve(&self, recipe: &Path) -> Result<Output, CliError> {
        let standard = self.out.as_deref() == Some(Path::new("-"));
        let folder = self.out.as_deref().filter(|p| !standard && is_folder(p));
        let file = self
            .out
            .as_deref()
            .filter(|_| !standard && folder.is_none());
        let format = self.format_for(file)?;
        if self.width.is_some() && format != Format::Png {
            return Err(CliError::Usage {
                message: "`--width` is the width of a png picture in pixels".to_owned(),
                help: "add `--format png`; an svg drawing has its true size".to_owned(),
            });
        }
        let place = match (standard, file, folder) {
            (true, ..) => OutputPlace::Standard,
            (_, Some(file), _) => OutputPlace::File(file.to_owned()),
            (_, None, Some(folder)) => OutputPlace::File(
                folder.join(beside(recipe, format).file_name().unwrap_or_default()),
            ),
            _ => OutputPlace::File(beside(recipe, format)),
        };
        // That the path is a folder is reported when the recipe is read.
        if let OutputPlace::File(path) = &place
            && !is_folder(recipe)
            && !is_picture(recipe)
            && (path == recipe || same_file(path, recipe))
        {
            return Err(CliError::Usage {
                message: format!("`{}` is the recipe itself", path.display()),
                help: "choose another file for the picture with `--out`".to_owned(),
            });
        }
        Ok(Output {
            format,
            width: self.width,
            place,
        })
    }

    fn format_for(&self, file: Option<&Path>) -> Result<Format, CliError> {
        let ending = file
            .and_then(Path::extension)
            .map(|e| e.to_string_lossy().to_lowercase());
        let said = match ending.as_deref() {
            Some("svg") => Some(Format::Svg),
            Some("png") => Some(Format::Png),
            _ => None,
        };
        match (self.format, said) {
            (Some(asked), Some(said)) if asked != said => Err(CliError::Usage {
                message: format!(
                    "`--format` asks for {} and the ending of `--out` says {}",
                    asked.ending(),
                    said.ending()
                ),
                help: "leave one of them out".to_owned(),
            }),
            (Some(format), _) | (None, Some(format)) => Ok(format),
            (None, None) => match (file, ending) {
                (None, _) => Ok(Format::Svg),
                (Some(file), _) => Err(CliError::Usage {
                    message: format!(
                        "the ending of `{}` does not say what to draw",
                        file.display()
                    ),
                    help: "end the name in `.svg` or `.png`, or add `--format`".to_owned(),
                }),
            },
        }
    }
}

impl Output {
    /// Where the pictures of panels of these names go, in their order; no two to one file.
    ///
    /// # Errors
    /// When several pictures would go to the standard output.
    pub(super) fn targets(&self, panels: &[&str]) -> Result<Vec<Target>, CliError> {
        match (&self.place, panels) {
            (OutputPlace::Standard, [] | [_]) => Ok(vec![Target::Standard; panels.len()]),
            (OutputPlace::Standard, _) => Err(CliError::Usage {
                message: format!(
                    "the recipe makes {} panels and the standard output takes one picture",
                    panels.len()
                ),
                help: "name a file with `--out`: each panel's name is added to it".to_owned(),
            }),
            (OutputPlace::File(path), [_]) => Ok(vec![Target::File(path.clone())]),
            (OutputPlace::File(path), _) => Ok(slugs(panels)
                .into_iter()
                .map(|slug| Target::File(with_slug(path, &slug)))
                .collect()),
        }
    }
}

/// `NAME.svg` for `NAME.rhai`.
fn beside(recipe: &Path, format: Format) -> PathBuf {
    recipe.with_extension(format.ending())
}

/// Whether a file has the name of a picture; the message comes when it is read as a recipe.
fn is_picture(recipe: &Path) -> bool {
    let ending = recipe.extension().and_then(std::ffi::OsStr::to_str);
    ending.is_some_and(|ending| matches!(ending, "svg" | "png"))
}

fn is_folder(path: &Path) -> bool {
    path.is_dir() || path.to_string_lossy().ends_with('/')
}

/// `out-slug.svg` for `out.svg`.
pub(super) fn with_slug(path: &Path, slug: &str) -> PathBuf {
    let mut name = path.file_stem().unwrap_or_default().to_owned();
    name.push("-");
    name.push(slug);
    if let Some(ending) = path.extension() {
        name.push(".");
        name.push(ending);
    }
    path.with_file_name(name)
}

/// For each name letters and digits with hyphens between them, no two alike.
pub(super) fn slugs(names: &[&str]) -> Vec<String> {
    let mut taken = BTreeSet::new();
    let mut slugs = Vec::new();
    for (index, name) in names.iter().enumerate() {
        let plain = slug(name);
        let wanted = if plain.is_empty() {
            format!("panel-{}", index + 1)
        } else {
            plain
        };
        let mut free = wanted.clone();
        let mut number = 2;
        while !taken.insert(free.clone()) {
            free = format!("{wanted}-{number}");
            number += 1;
        }
        slugs.push(free);
    }
    slugs
}

fn slug(name: &str) -> String {
    let mut slug = String::new();
    for letter in name.chars().flat_map(char::to_lowercase) {
        if letter.is_alphanumeric() {
            slug.push(letter);
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
        if slug.chars().count() >= LONGEST_SLUG {
            break;
        }
    }
    slug.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn args(out: Option<&str>, format: Option<Format>, width: Option<u32>) -> OutputArgs {
        OutputArgs {
            out: out.map(PathBuf::from),
            format,
            width,
        }
    }

    fn files(args: &OutputArgs, panels: &[&str]) -> Vec<String> {
        let output = args.resolve(Path::new("in/hex.rhai")).unwrap();
        let targets = output.targets(panels).unwrap();
        let shown = |target: &Target| match target {
            Target::File(path) => path.display().to_string(),
            Target::Standard => "-".to_owned(),
        };
        targets.iter().map(shown).collect()
    }

    #[test]
    fn pictures_go_beside_the_recipe() {
        assert_eq!(files(&args(None, None, None), &["Any"]), ["in/hex.svg"]);
        assert_eq!(
            files(&args(None, Some(Format::Png), Some(800)), &["Any"]),
            ["in/hex.png"]
        );
    }

    #[test]
    fn several_panels_get_their_names_added() {
        assert_eq!(
            files(
                &args(Some("out.svg"), None, None),
                &["Front (1)", "front 1", "✂"]
            ),
            ["out-front-1.svg", "out-front-1-2.svg", "out-panel-3.svg"]
        );
    }

    #[test]
    fn a_name_is_no_path() {
        assert_eq!(slug("../../etc/passwd"), "etc-passwd");
        assert_eq!(slug(&"x".repeat(500)).len(), LONGEST_SLUG);
        assert_eq!(slug("Nußbaum & Öl"), "nußbaum-öl");
    }

    #[test]
    fn what_does_not_go_together_is_wrong_usage() {
        let recipe = Path::new("hex.rhai");
        for bad in [
            args(Some("a.png"), Some(Format::Svg), None),
            args(Some("a.svg"), None, Some(100)),
            args(None, None, Some(100)),
            args(Some("a.rhai"), None, None),
            args(Some("hex.rhai"), Some(Format::Svg), None),
        ] {
            let trouble = bad.resolve(recipe).expect_err("wrong usage");
            assert_eq!(trouble.exit_code(), 2, "{bad:?}");
        }
        let standard = args(Some("-"), None, None).resolve(recipe).unwrap();
        assert!(standard.targets(&["a", "b"]).is_err());
    }
}
