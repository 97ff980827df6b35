//! One run of a recipe from its file to its pictures.

use std::path::Path;
use std::sync::Arc;

use super::output::{Output, Target};
use super::picture::draw;
use super::recipe_args::RecipeArgs;
use super::tally::{PanelTally, Tally};
use super::terminal::{print_bytes, tell};
use super::trouble::Trouble;
use super::visible::on_one_line;
use crate::files::{DiskHost, Witness, read_recipe, same_file, write_whole};
use crate::recipe::evaluate;
use crate::recipe::outcome::Outcome;

/// What came of a run, and what it read.
#[derive(Debug)]
pub(super) struct Done {
    /// What was made, or why not.
    pub(super) result: Result<Tally, Trouble>,
    /// Every file that the run read or looked for in vain.
    pub(super) witnesses: Vec<Witness>,
}

/// Carries out the recipe and writes its pictures; none is written unless all can be drawn.
pub(super) fn carry_out(args: &RecipeArgs, output: &Output) -> Done {
    let (source, witness) = read_recipe(&args.recipe);
    let mut witnesses = vec![witness];
    let source = match source {
        Ok(source) => source,
        Err(error) => {
            let result = Err(error.into());
            return Done { result, witnesses };
        }
    };
    // What a recipe prints is no part of the result: it must not end up between the lines of JSON.
    let host = Arc::new(DiskHost::new(&args.recipe, |line| {
        tell(&format!("{}\n", on_one_line(line)));
    }));
    let outcome = evaluate(&source, &args.settings(), Arc::clone(&host) as _);
    witnesses.extend(host.witnesses());
    let result = outcome
        .map_err(Trouble::from)
        .and_then(|outcome| deliver(&args.recipe, outcome, output, &witnesses));
    Done { result, witnesses }
}

fn deliver(
    recipe: &Path,
    outcome: Outcome,
    output: &Output,
    read: &[Witness],
) -> Result<Tally, Trouble> {
    let names: Vec<&str> = outcome.panels.iter().map(|p| p.name.as_str()).collect();
    let targets = output.targets(&names)?;
    spare_sources(&targets, read)?;
    let pictures = outcome
        .panels
        .iter()
        .map(|panel| draw(panel, output))
        .collect::<Result<Vec<_>, _>>()?;
    let shown = recipe.display().to_string();
    let mut tally = Tally::new(shown, outcome.seed, outcome.parameters);
    for ((panel, picture), target) in outcome.panels.iter().zip(&pictures).zip(&targets) {
        let file = match target {
            Target::File(path) => {
                write_whole(path, picture)?;
                Some(path.display().to_string())
            }
            Target::Standard => {
                print_bytes(picture)?;
                None
            }
        };
        tally.panels.push(PanelTally::of(panel, file));
    }
    Ok(tally)
}

/// Refuses to draw over what was read: a maker's text is never lost to a slip in `--out`.
fn spare_sources(targets: &[Target], read: &[Witness]) -> Result<(), Trouble> {
    for target in targets {
        if let Target::File(path) = target
            && let Some(lost) = read.iter().find(|w| same_file(path, &w.path))
        {
            return Err(Trouble::Usage {
                message: format!("`{}` belongs to the recipe", lost.path.display()),
                help: "choose another file for the picture with `--out`".to_owned(),
            });
        }
    }
    Ok(())
}
