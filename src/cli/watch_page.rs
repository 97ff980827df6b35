//! `plyloom watch --page`: the recipe on one side, the panel in a browser on the other.

use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;

use super::cli_error::CliError;
use super::preview::PreviewArgs;
use super::report::render;
use super::shop::shop;
use super::stream::Stream;
use super::terminal::{print, tell};
use super::until_over::{tell_delay, until_over};
use crate::layout::panel::Panel;
use crate::live::page::{Came, Page, PageError};
use crate::live::watch::Cause;
use crate::session::planned::ShopFile;
use crate::session::visible::on_one_line;
use crate::session::{Given, RunError};

/// The page of a watch.
#[derive(Debug, Args)]
pub(super) struct PageArgs {
    /// Show the panel on a page in your browser, with knobs for the recipe's parameters
    ///
    /// The page is served to this machine alone, works without a network, and is opened by the
    /// address that is printed. The recipe's own folder is the only place that it writes to, and
    /// only when you keep something.
    #[arg(long, help_heading = "Page",
          conflicts_with_all = ["out", "format", "width", "json", "bare", "flat", "light", "finish",
                                "view", "from", "grain"])]
    pub(super) page: bool,

    /// Serve the page on this port; a free one when left out
    #[arg(long, value_name = "PORT", requires = "page", help_heading = "Page",
          value_parser = clap::value_parser!(u16).range(1..))]
    port: Option<u16>,

    /// Ask the system to open the page in its browser
    #[arg(long, requires = "page", help_heading = "Page")]
    open: bool,

    /// Plan with the saws and the stock of this shop file; common values when left out
    #[arg(long, value_name = "FILE", requires = "page", value_hint = ValueHint::FilePath,
          help_heading = "Page")]
    shop: Option<PathBuf>,
}

pub(super) fn run(preview: &PreviewArgs, args: &PageArgs) -> Result<(), CliError> {
    let recipe = &preview.recipe;
    let given = Given {
        recipe: recipe.recipe.clone(),
        reach: recipe.run.limits.reach(),
        typed: recipe.run.typed(),
    };
    let shop = ShopFile {
        name: args.shop.as_ref().map(|p| p.display().to_string()),
        shop: shop(args.shop.as_deref())?,
    };
    let page = Page::new(given, args.port, shop).map_err(|error| trouble(&error))?;
    tell_delay(page.slow_because());
    let address = page.address();
    print(&format!(
        "the page is at {address}\n(the part after # is its key; Ctrl-C ends it)\n"
    ))?;
    if args.open
        && let Err(error) = open::that_detached(&address)
    {
        let error = on_one_line(&error.to_string());
        tell(&format!("the browser could not be opened: {error}\n"));
    }
    let stop = page.stop();
    let own_stop = stop.clone();
    let work = move || {
        let mut over = Ok(());
        let served = page.run(
            |came| {
                if let Err(error) = tell_run(came) {
                    over = Err(error);
                    own_stop.stop();
                }
            },
            |line| tell(&format!("{}\n", on_one_line(line))),
        );
        over.and(served.map_err(|error| trouble(&error)))
    };
    until_over(|| stop.stop(), work)
}

fn tell_run(came: &Came<'_>) -> Result<(), CliError> {
    let why = why(came.cause);
    let took = came.took.as_millis();
    match came.result {
        Ok(panels) => print(&format!("{why}{} in {took} ms\n", summary(panels))),
        Err(error) => {
            tell(&render(&in_words(error), Stream::of_errors()));
            let kept = if came.kept {
                ": the last good picture stays"
            } else {
                ""
            };
            tell(&format!("{why}not drawn, after {took} ms{kept}\n"));
            Ok(())
        }
    }
}

/// `shows Blocks, 96 tiles,`.
fn summary(panels: &[Panel]) -> String {
    let tiles: usize = panels.iter().map(|p| p.tiles.len()).sum();
    let names: Vec<String> = panels.iter().map(|p| on_one_line(&p.name)).collect();
    format!("shows {}, {tiles} tiles,", names.join(" and "))
}

/// The same as any command would say it.
fn in_words(error: &RunError) -> CliError {
    match error {
        RunError::Recipe(failure) => CliError::Recipe(failure.clone()),
        RunError::NoPanel { recipe } => CliError::NoPanel {
            recipe: recipe.clone(),
        },
        RunError::Open(error) => error.clone().into(),
        RunError::Ended(ended) => CliError::Data {
            code: error.code(),
            message: ended.to_string(),
            help: error.help().unwrap_or_default(),
        },
    }
}

fn trouble(error: &PageError) -> CliError {
    CliError::Data {
        code: "page::failed",
        message: error.to_string(),
        help: error.help(),
    }
}

/// `rings.rhai changed: `; nothing at the start.
pub(super) fn why(cause: &Cause) -> String {
    match cause {
        Cause::Start | Cause::Asked => String::new(),
        Cause::Changed(paths) => {
            let name = |path: &Path| path.file_name().unwrap_or_default().display().to_string();
            let names: Vec<String> = paths.iter().map(|p| on_one_line(&name(p))).collect();
            format!("{} changed: ", names.join(", "))
        }
    }
}
