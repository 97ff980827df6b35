//! The command line: one file or folder a command. The only place that knows the terminal.
//!
//! What lives here: arguments, help, tables, progress, the wording of errors, exit codes. What
//! never does: wood, recipes, drawings. This room calls the others and shows their results.
//!
//! Exit codes: 0 done, 1 the recipe or its data failed, 2 wrong usage. Output that nobody reads any
//! more (`plyloom words | head`) is no failure.

mod arrangements;
mod carry_out;
mod check;
mod cli_error;
mod compare;
mod completions;
mod credit;
mod embedded_recipe;
#[cfg(test)]
mod every_failure;
mod gallery;
mod guard;
mod interrupt;
mod layers;
mod legible;
mod look;
mod man;
mod new;
mod object;
mod outline;
mod output;
mod pack;
mod pick;
mod picture;
mod plan;
mod preview;
mod progress;
mod rack;
mod recipe_args;
mod recipe_input;
mod report;
#[cfg(test)]
mod sample;
mod shift;
mod shop;
mod spinner;
mod start;
mod stream;
mod table;
mod tally;
mod template;
mod terminal;
mod thickness;
mod trial;
mod typed_length;
mod unpack;
mod until_over;
mod vary;
mod watch;
mod watch_page;
mod words;
mod words_pages;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{CommandFactory as _, Parser, Subcommand};

use crate::recipe::settings::Budget;
use cli_error::CliError;
use stream::Stream;

/// The whole command line.
#[derive(Debug, Parser)]
#[command(
    name = "plyloom",
    version,
    about = "Design patterned plywood as short recipes",
    long_about = "Design patterned plywood as short recipes: see the panel at true scale, count \
                  the tiles, and share the pattern as text.",
    after_help = "A first panel:\n  plyloom new\n  plyloom watch my-panel.rhai --page",
    disable_help_subcommand = true,
    max_term_width = 100
)]
struct CommandLine {
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    Preview(preview::PreviewArgs),
    Watch(watch::WatchArgs),
    Arrangements(arrangements::ArrangementsArgs),
    Legible(legible::LegibleArgs),
    Vary(vary::VaryArgs),
    Pick(pick::PickArgs),
    Compare(compare::CompareArgs),
    Gallery(gallery::GalleryArgs),
    New(new::NewArgs),
    Check(check::CheckArgs),
    Pack(pack::PackArgs),
    Unpack(unpack::UnpackArgs),
    Plan(plan::PlanArgs),
    Rack(rack::RackArgs),
    Layers(layers::LayersArgs),
    Trial(trial::TrialArgs),
    Template(template::TemplateArgs),
    Outline(outline::OutlineArgs),
    Shift(shift::ShiftArgs),
    Words(words::WordsArgs),
    Completions(completions::CompletionsArgs),
    Man(man::ManArgs),
}

impl Command {
    /// Whether it shows its progress in its own way, or goes on until it is stopped.
    fn shows_its_progress(&self) -> bool {
        match self {
            Self::Watch(_) | Self::Vary(_) | Self::Gallery(_) => true,
            Self::Rack(args) => args.tries_recipes(),
            _ => false,
        }
    }

    /// What all of it may take together; none where each recipe, or each of its variations, has a budget
    /// of its own, or it goes on until it is stopped.
    fn budget(&self) -> Option<Budget> {
        let limits = match self {
            Self::Preview(args) => &args.recipe.run.limits,
            Self::Arrangements(args) => &args.recipe.run.limits,
            Self::Legible(args) => &args.recipe.run.limits,
            Self::Pack(args) => &args.recipe.run.limits,
            Self::Plan(args) => &args.run.limits,
            Self::Trial(args) => &args.recipe.run.limits,
            Self::Template(args) => &args.recipe.run.limits,
            Self::Outline(args) => &args.recipe.run.limits,
            Self::Shift(args) => &args.recipe.run.limits,
            Self::Watch(_)
            | Self::Vary(_)
            | Self::Compare(_)
            | Self::Gallery(_)
            | Self::Check(_) => return None,
            Self::Rack(args) if args.tries_recipes() => return None,
            Self::Pick(args) => &args.limits,
            Self::New(_)
            | Self::Rack(_)
            | Self::Layers(_)
            | Self::Unpack(_)
            | Self::Words(_)
            | Self::Completions(_)
            | Self::Man(_) => return Some(Budget::default()),
        };
        Some(limits.budget())
    }

    fn run(self) -> Result<(), CliError> {
        match self {
            Self::Preview(args) => preview::run(&args),
            Self::Watch(args) => watch::run(args),
            Self::Arrangements(args) => arrangements::run(&args),
            Self::Legible(args) => legible::run(&args),
            Self::Vary(args) => vary::run(&args),
            Self::Pick(args) => pick::run(&args),
            Self::Compare(args) => compare::run(&args),
            Self::Gallery(args) => gallery::run(&args),
            Self::New(args) => new::run(&args),
            Self::Check(args) => check::run(&args),
            Self::Pack(args) => pack::run(&args),
            Self::Unpack(args) => unpack::run(&args),
            Self::Plan(args) => plan::run(&args),
            Self::Rack(args) => rack::run(&args),
            Self::Layers(args) => layers::run(&args),
            Self::Trial(args) => trial::run(&args),
            Self::Template(args) => template::run(&args),
            Self::Outline(args) => outline::run(&args),
            Self::Shift(args) => shift::run(&args),
            Self::Words(args) => words::run(&args),
            Self::Completions(args) => completions::run(&args, &mut CommandLine::command()),
            Self::Man(args) => man::run(&args, CommandLine::command()),
        }
    }
}

/// Carries out the command line `words`, the program's own name first.
pub fn run<I, W>(words: I) -> ExitCode
where
    I: IntoIterator<Item = W>,
    W: Into<OsString> + Clone,
{
    interrupt::end_in_order_without_memory();
    match CommandLine::try_parse_from(words) {
        Ok(line) => {
            let Some(command) = line.command else {
                return ended(start::run());
            };
            if !command.shows_its_progress() {
                spinner::begin();
            }
            interrupt::heed();
            let result = match command.budget() {
                Some(budget) => guard::command(&budget, |_| command.run()),
                None => command.run(),
            };
            spinner::end();
            ended(result)
        }
        Err(error) => {
            // Help and version come this way too, with code 0. That nobody reads them is no
            // failure.
            let _ = error.print();
            ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2))
        }
    }
}

/// The exit code of a command, whose error is printed on the error stream.
fn ended(result: Result<(), CliError>) -> ExitCode {
    let Err(trouble) = result else {
        return ExitCode::SUCCESS;
    };
    if !matches!(trouble, CliError::Closed) {
        terminal::tell(&report::render(&trouble, Stream::of_errors()));
    }
    ExitCode::from(trouble.exit_code())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_definition_holds_together() {
        CommandLine::command().debug_assert();
    }
}
