//! `plyloom watch`: keep the picture in step with the recipe while it is edited.

use std::sync::Arc;
use std::time::{Duration, Instant};

use super::carry_out::carry_out;
use super::cli_error::CliError;
use super::guard;
use super::preview::PreviewArgs;
use super::report::render;
use super::stream::Stream;
use super::tally::{PanelTally, Tally};
use super::terminal::{print, tell};
use super::until_over::{tell_delay, until_over};
use super::watch_page::{self, PageArgs, why};
use crate::files::DiskStore;
use crate::live::watch::{Cause, FileWatch};
use crate::session::visible::on_one_line;

/// Draw again whenever the recipe or a module of it changes
#[derive(Debug, clap::Args)]
#[command(
    long_about = "Draw the panels of a recipe, and draw them again whenever the recipe or a module \
                  that it imports changes. While a recipe does not work the last good picture \
                  stays. Ctrl-C ends it. With --page no picture is written: a page of this machine \
                  alone shows the panel, with knobs for the recipe's parameters.",
    after_help = "Examples:\n  plyloom watch blocks.rhai\n  \
                  plyloom watch blocks.rhai --out /tmp/blocks.png --width 1200\n  \
                  plyloom watch blocks.rhai --page --open"
)]
pub(super) struct WatchArgs {
    #[command(flatten)]
    preview: PreviewArgs,

    #[command(flatten)]
    page: PageArgs,
}

pub(super) fn run(args: WatchArgs) -> Result<(), CliError> {
    if args.page.page {
        args.preview.thickness.not_for("watch --page")?;
        return watch_page::run(&args.preview, &args.page);
    }
    let args = args.preview;
    args.check()?;
    if args.picture_on_output() {
        return Err(CliError::Usage {
            message: "`watch` draws many pictures, and the standard output takes one".to_owned(),
            help: "name a file for the picture with `--out`".to_owned(),
        });
    }
    let output = args.output.resolve(&args.recipe.recipe)?;
    let (watch, stop) = FileWatch::new();
    tell_delay(watch.slow_because());
    let own_stop = stop.clone();
    let work = move || {
        let (mut over, mut drawn) = (Ok(()), false);
        watch.run(|cause| {
            let started = Instant::now();
            let store = Arc::new(DiskStore::new());
            let budget = args.recipe.run.limits.budget();
            let result = guard::command(&budget, |_| {
                carry_out(
                    &store,
                    &args.recipe,
                    &args.picture,
                    &output,
                    &args.thickness,
                )
            });
            let told = tell_run(args.json, cause, &result, drawn, started.elapsed());
            drawn |= result.is_ok();
            if let Err(trouble) = told {
                over = Err(trouble);
                own_stop.stop();
            }
            store.witnesses().into()
        });
        over
    };
    until_over(|| stop.stop(), work)
}

/// Prints the result of one run; `drawn` says whether a picture was drawn before.
fn tell_run(
    json: bool,
    cause: &Cause,
    result: &Result<Tally, CliError>,
    drawn: bool,
    took: Duration,
) -> Result<(), CliError> {
    let why = why(cause);
    let took = took.as_millis();
    match result {
        Ok(tally) if json => {
            tell(&format!("{why}{} in {took} ms\n", summary(tally)));
            print(&tally.json(true))
        }
        Ok(tally) => print(&format!("{why}{} in {took} ms\n", summary(tally))),
        Err(CliError::Closed) => Err(CliError::Closed),
        Err(trouble) => {
            tell(&render(trouble, Stream::of_errors()));
            let kept = if drawn {
                ": the last good picture stays"
            } else {
                ""
            };
            tell(&format!("{why}not drawn, after {took} ms{kept}\n"));
            Ok(())
        }
    }
}

/// `drew blocks.svg, 96 tiles`.
fn summary(tally: &Tally) -> String {
    let tiles: u64 = tally.panels.iter().map(PanelTally::tile_count).sum();
    let files = tally.panels.iter().filter_map(PanelTally::picture);
    let files: Vec<String> = files.map(on_one_line).collect();
    format!("drew {}, {tiles} tiles,", files.join(" and "))
}
