//! `plyloom preview`: draw a recipe's panels and count their tiles.

use std::path::Path;
use std::sync::Arc;

use clap::Args;

use super::carry_out::carry_out;
use super::cli_error::CliError;
use super::output::OutputArgs;
use super::picture::PictureArgs;
use super::recipe_args::RecipeArgs;
use super::stream::Stream;
use super::terminal::{print, tell};
use super::thickness::ThicknessArgs;
use crate::files::DiskStore;

/// Draw the panels of a recipe at true scale and count their tiles
#[derive(Debug, Args)]
#[command(
    long_about = "Draw each panel of a recipe at true scale and count its tiles. The picture is \
                  written beside the recipe as NAME.svg; with several panels, each file gets the \
                  name of its panel.",
    after_help = "Examples:\n  plyloom preview blocks.rhai\n  \
                  plyloom preview blocks.rhai --set width=400 --seed 7\n  \
                  plyloom preview blocks.rhai --out blocks.png --width 1200\n  \
                  plyloom preview blocks.rhai --light 225 --finish oil\n  \
                  plyloom preview blocks.rhai --object \"round coaster\" --object handle\n  \
                  plyloom preview blocks.rhai --thickness from rack.toml\n  \
                  plyloom preview blocks.rhai --json"
)]
pub(super) struct PreviewArgs {
    #[command(flatten)]
    pub(super) recipe: RecipeArgs,

    #[command(flatten)]
    pub(super) output: OutputArgs,

    #[command(flatten)]
    pub(super) picture: PictureArgs,

    #[command(flatten)]
    pub(super) thickness: ThicknessArgs,

    /// Print the tally as JSON instead of tables
    #[arg(long)]
    pub(super) json: bool,
}

impl PreviewArgs {
    /// Whether the standard output takes the picture, so that nothing else may go there.
    pub(super) fn picture_on_output(&self) -> bool {
        self.output.out.as_deref() == Some(Path::new("-"))
    }

    /// What does not go together.
    pub(super) fn check(&self) -> Result<(), CliError> {
        if self.json && self.picture_on_output() {
            return Err(CliError::Usage {
                message: "`--json` and `--out -` both ask for the standard output".to_owned(),
                help: "name a file for the picture with `--out`".to_owned(),
            });
        }
        Ok(())
    }
}

pub(super) fn run(args: &PreviewArgs) -> Result<(), CliError> {
    args.check()?;
    let output = args.output.resolve(&args.recipe.recipe)?;
    let tally = carry_out(
        &Arc::new(DiskStore::new()),
        &args.recipe,
        &args.picture,
        &output,
        &args.thickness,
    )?;
    if args.json {
        print(&tally.json(false))
    } else if args.picture_on_output() {
        tell(&tally.table(Stream::of_errors().terminal));
        Ok(())
    } else {
        print(&tally.table(Stream::of_output().terminal))
    }
}
