//! One run of a recipe from its file to its pictures.

use std::borrow::Cow;
use std::path::Path;
use std::sync::Arc;

use super::cli_error::CliError;
use super::embedded_recipe::EmbeddedRecipe;
use super::look::Looking;
use super::output::{Output, Target};
use super::picture::{PictureArgs, draw};
use super::recipe_args::RecipeArgs;
use super::recipe_input::RecipeInput;
use super::spinner;
use super::tally::{PanelTally, Tally};
use super::terminal::print_by;
use super::thickness::ThicknessArgs;
use crate::files::{DiskStore, FileStamp, same_file, write_picture_by};
use crate::layout::{cut_out::cut_out, panel::Panel};
use crate::plan::Shop;
use crate::recipe::outcome::Outcome;
use crate::session::planned::made_with;

/// Carries out the recipe and writes its pictures; none is written unless all can be drawn.
pub(super) fn carry_out(
    store: &Arc<DiskStore>,
    args: &RecipeArgs,
    picture: &PictureArgs,
    output: &Output,
    thickness: &ThicknessArgs,
) -> Result<Tally, CliError> {
    let named = RecipeInput::read_from(Arc::clone(store), &args.recipe, args.run.limits.reach())?;
    let settings = named.settings(args.run.typed());
    let (named, settings, _) = thickness.taken(named, settings, None, Shop::common())?;
    let host = named.host();
    let outcome = named.carried_out(&settings, Arc::clone(&host))?;
    let drawn = Drawn {
        picture,
        looking: picture.look.over(named.pinned.as_ref()),
        output,
        carried: (!picture.no_recipe)
            .then(|| EmbeddedRecipe::of(&named, &outcome, &settings, &*host))
            .flatten(),
    };
    deliver(&args.recipe, &outcome, &drawn, &named.witnesses())
}

/// How and where to draw.
struct Drawn<'a> {
    picture: &'a PictureArgs,
    looking: Looking,
    output: &'a Output,
    carried: Option<EmbeddedRecipe<'a>>,
}

fn deliver(
    recipe: &Path,
    outcome: &Outcome,
    drawn: &Drawn<'_>,
    read: &[FileStamp],
) -> Result<Tally, CliError> {
    let panels: Vec<Cow<'_, Panel>> = (outcome.panels.iter())
        .flat_map(|panel| {
            let pieces = panel.pieces.list.iter();
            let pieces = pieces.map(move |piece| Cow::Owned(cut_out(panel, piece)));
            [Cow::Borrowed(panel)].into_iter().chain(pieces)
        })
        .collect();
    let names: Vec<&str> = panels.iter().map(|p| p.name.as_str()).collect();
    if names.is_empty() {
        let recipe = recipe.display().to_string();
        return Err(CliError::NoPanel { recipe });
    }
    spinner::at("drawing");
    let targets = drawn.output.targets(&names)?;
    spare_sources(&targets, read)?;
    let note = made_with(outcome.seed, &outcome.parameters);
    let pictures = panels
        .iter()
        .map(|panel| {
            let carried = drawn.carried.as_ref();
            draw(
                panel,
                drawn.picture,
                &drawn.looking,
                drawn.output,
                &note,
                carried,
            )
        })
        .collect::<Result<Vec<_>, _>>()?;
    let shown = recipe.display().to_string();
    let mut tally = Tally::new(shown, outcome);
    for ((panel, picture), target) in panels.iter().zip(&pictures).zip(&targets) {
        let file = match target {
            Target::File(path) => {
                write_picture_by(path, picture.size(), |out| picture.write(out))?;
                Some(path.display().to_string())
            }
            Target::Standard => {
                print_by(|out| picture.write(out))?;
                None
            }
        };
        tally.panels.push(PanelTally::of(panel, file));
    }
    Ok(tally)
}

/// Refuses to draw over a file that was read, so that a wrong `--out` never costs a maker's text.
fn spare_sources(targets: &[Target], read: &[FileStamp]) -> Result<(), CliError> {
    for target in targets {
        if let Target::File(path) = target
            && let Some(lost) = read.iter().find(|w| same_file(path, &w.path))
        {
            return Err(CliError::Usage {
                message: format!("`{}` belongs to the recipe", lost.path.display()),
                help: "choose another file for the picture with `--out`".to_owned(),
            });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::preview::PreviewArgs;
    use crate::cli::sample::panel;
    use crate::files::read_recipe;
    use clap::Parser;
    use std::fs;

    #[derive(Parser)]
    struct Line {
        #[command(flatten)]
        preview: PreviewArgs,
    }

    /// The result of `preview main.rhai` with these further arguments, in a folder of its own.
    fn delivered(panels: &[Panel], words: &[&str]) -> (tempfile::TempDir, Result<Tally, CliError>) {
        let folder = tempfile::tempdir().unwrap();
        let recipe = folder.path().join("main.rhai");
        fs::write(&recipe, "// here\n").unwrap();
        let recipe = recipe.to_str().unwrap();
        let words: Vec<String> = words
            .iter()
            .map(|w| w.replace("HERE", folder.path().to_str().unwrap()))
            .collect();
        let line = ["preview", recipe].into_iter().map(str::to_owned);
        let args = Line::parse_from(line.chain(words)).preview;
        let (_, witness) = read_recipe(&args.recipe.recipe);
        let outcome = Outcome {
            about: crate::recipe::about::About::default(),
            credits: std::collections::BTreeMap::new(),
            language: 1,
            joint_tolerance: 0.01,
            kinds: Vec::new(),
            named: Vec::new(),
            hands: Vec::new(),
            panels: panels.to_vec(),
            bags: Vec::new(),
            parameters: Vec::new(),
            chance: false,
            seed: 7,
            sources: Vec::new(),
            modules: Vec::new(),
            held_nowhere: Vec::new(),
            operations: 0,
        };
        let output = args.output.resolve(&args.recipe.recipe);
        let tally = output.and_then(|output| {
            let drawn = Drawn {
                picture: &args.picture,
                looking: args.picture.look.over(None),
                output: &output,
                carried: None,
            };
            deliver(&args.recipe.recipe, &outcome, &drawn, &[witness])
        });
        (folder, tally)
    }

    fn names(folder: &tempfile::TempDir) -> Vec<String> {
        let entries = fs::read_dir(folder.path()).unwrap();
        let mut names: Vec<String> = entries
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_drawing_goes_beside_the_recipe() {
        let (folder, tally) = delivered(&[panel()], &[]);
        assert_eq!(tally.unwrap().panels.len(), 1);
        assert_eq!(names(&folder), ["main.rhai", "main.svg"]);
        let svg = fs::read_to_string(folder.path().join("main.svg")).unwrap();
        assert!(svg.contains("seed 7"), "the note is missing");
    }

    #[test]
    fn each_of_several_panels_has_its_file() {
        let named = |name: &str| Panel {
            name: name.to_owned(),
            ..panel()
        };
        let (folder, tally) = delivered(&[named("Front"), named("Back")], &["--out", "HERE/x.png"]);
        assert_eq!(tally.unwrap().panels.len(), 2);
        assert_eq!(names(&folder), ["main.rhai", "x-back.png", "x-front.png"]);
        let png = fs::read(folder.path().join("x-back.png")).unwrap();
        assert!(png.starts_with(b"\x89PNG\r\n\x1a\n"));
    }

    #[test]
    fn a_recipe_is_never_drawn_over() {
        for out in ["HERE/main.rhai", "HERE/./main.rhai"] {
            let (folder, tally) = delivered(&[panel()], &["--format", "svg", "--out", out]);
            assert_eq!(tally.expect_err("refused").exit_code(), 2);
            assert_eq!(
                fs::read(folder.path().join("main.rhai")).unwrap(),
                b"// here\n"
            );
        }
    }

    #[test]
    fn a_recipe_without_a_panel_is_told_so() {
        let (_, tally) = delivered(&[], &[]);
        let trouble = tally.expect_err("nothing to draw");
        assert!(trouble.to_string().contains("makes no panel"), "{trouble}");
    }

    #[test]
    fn a_width_that_is_too_large_is_told_with_one_that_is_not() {
        let (folder, tally) = delivered(&[panel()], &["--format", "png", "--width", "20000"]);
        let trouble = tally.expect_err("too large");
        assert!(trouble.help().unwrap().contains("--width "), "{trouble}");
        assert_eq!(names(&folder), ["main.rhai"]);
    }
}
