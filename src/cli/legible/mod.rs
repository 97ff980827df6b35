//! `plyloom legible`: whether a panel's lines will read, and from how far.

mod json;
mod page;
mod report;
mod table;

use std::sync::Arc;

use clap::Args;

use crate::appearance::apart::{PaletteColour, suggest};
use crate::appearance::change::{outcome, sheets, try_all};
use crate::appearance::legibility::{Legibility, Seeing};
use crate::appearance::object::{OBJECTS, Shape};
use crate::appearance::window::best;
use crate::appearance::{Finish, View};
use crate::cli::cli_error::CliError;
use crate::cli::legible::json::json;
use crate::cli::legible::page::page;
use crate::cli::legible::report::{BarReport, PanelReport};
use crate::cli::legible::table::table;
use crate::cli::look::distance;
use crate::cli::object::object;
use crate::cli::output::{OutputArgs, Target};
use crate::cli::recipe_args::RecipeArgs;
use crate::cli::recipe_input;
use crate::cli::spinner;
use crate::cli::stream::Stream;
use crate::cli::terminal::{print, print_bytes};
use crate::files::write_picture;
use crate::layout::panel::Panel;
use crate::stock::{Bar, Colour, TileKind};

/// Distances in mm where none are asked for.
const DISTANCES: [f64; 6] = [500.0, 1000.0, 2000.0, 3000.0, 5000.0, 10_000.0];
/// How many dyes are suggested.
const DYES: usize = 4;
/// Eyes for which dyes must stay apart: all that see colours.
const EYES: [View; 4] = [
    View::Usual,
    View::Protanopia,
    View::Deuteranopia,
    View::Tritanopia,
];

/// Find out whether the lines of a panel will read, and from how far
#[derive(Debug, Args)]
#[command(
    long_about = "Find out whether the lines of a panel will read, and from how far: the contrast of \
                  each layer against its neighbours, how wide it looks, the distance at which lines \
                  and repeat fade for a good eye in daylight, which change to the sheet would help \
                  most, and which part of the panel suits a small object best. With `--out` it \
                  draws the objects side by side at true scale instead: first as they are now, then \
                  the first object with each change.",
    after_help = "Examples:\n  plyloom legible blocks.rhai\n  \
                  plyloom legible blocks.rhai --from 2m --from \"12 ft\" --finish oil\n  \
                  plyloom legible blocks.rhai --object handle --object 90x60\n  \
                  plyloom legible blocks.rhai --object handle --out handles.svg"
)]
pub(super) struct LegibleArgs {
    #[command(flatten)]
    pub(super) recipe: RecipeArgs,

    /// A distance to look from, such as `3m` or `10 ft`; may be repeated
    #[arg(long, value_name = "DISTANCE", value_parser = distance)]
    from: Vec<f64>,

    /// Finish on the wood: `raw`, `oil` or `clear` varnish
    #[arg(long, value_name = "FINISH", default_value = "raw")]
    finish: Finish,

    /// Colour vision to work for: `usual`, `protanopia` (red-blind), `deuteranopia` (green-blind),
    /// `tritanopia` (blue-blind) or `grey`
    #[arg(long, value_name = "EYES", default_value = "usual")]
    view: View,

    /// An object to be cut from the panel: `handle`, `coaster`, `round coaster`, `box lid`, `drawer
    /// front`, `round table`, or a size in mm such as `90x60` or `round 90`; may be repeated
    #[arg(long, value_name = "OBJECT", value_parser = object)]
    object: Vec<(String, Shape)>,

    /// Print JSON instead of tables
    #[arg(long)]
    json: bool,

    #[command(flatten)]
    output: OutputArgs,
}

pub(super) fn run(args: &LegibleArgs) -> Result<(), CliError> {
    let drawn = args.output.wanted()?;
    if drawn && args.json {
        return Err(CliError::Usage {
            message: "`--json` tells and `--out` draws".to_owned(),
            help: "leave one of them out".to_owned(),
        });
    }
    let outcome = recipe_input::outcome(&args.recipe)?;
    if outcome.panels.is_empty() {
        let recipe = args.recipe.recipe.display().to_string();
        return Err(CliError::NoPanel { recipe });
    }
    spinner::at("looking from far away");
    let reports: Vec<PanelReport> = outcome.panels.iter().map(|p| report(p, args)).collect();
    if drawn {
        return pages(&outcome.panels, &reports, args);
    }
    if args.json {
        print(&json(&reports, &args.distances()))
    } else {
        let lines = Stream::of_output().terminal;
        print(&table(&reports, &args.distances(), lines))
    }
}

/// Draws a page for each panel instead of telling about it.
fn pages(panels: &[Panel], reports: &[PanelReport], args: &LegibleArgs) -> Result<(), CliError> {
    let output = args.output.resolve(&args.recipe.recipe)?;
    let names: Vec<&str> = panels.iter().map(|p| p.name.as_str()).collect();
    let targets = output.targets(&names)?;
    let pictures = panels
        .iter()
        .zip(reports)
        .map(|(panel, report)| page(panel, report, args.seeing(), &output))
        .collect::<Result<Vec<_>, _>>()?;
    for (picture, target) in pictures.iter().zip(&targets) {
        match target {
            Target::File(path) => write_picture(path, picture)?,
            Target::Standard => print_bytes(picture)?,
        }
    }
    Ok(())
}

impl LegibleArgs {
    fn seeing(&self) -> Seeing {
        Seeing {
            finish: self.finish,
            view: self.view,
        }
    }

    fn distances(&self) -> Vec<f64> {
        if self.from.is_empty() {
            DISTANCES.to_vec()
        } else {
            self.from.clone()
        }
    }

    fn objects(&self) -> Vec<(String, Shape)> {
        if self.object.is_empty() {
            OBJECTS.map(|o| (o.name.to_owned(), o.shape)).to_vec()
        } else {
            self.object.clone()
        }
    }
}

fn report(panel: &Panel, args: &LegibleArgs) -> PanelReport {
    let seeing = args.seeing();
    let objects = args
        .objects()
        .into_iter()
        .map(|(name, shape)| (name, best(panel, shape, seeing)))
        .collect();
    PanelReport {
        name: panel.name.clone(),
        bars: bars(panel, seeing),
        dyes: dyes(panel, seeing),
        objects,
    }
}

fn bars(panel: &Panel, seeing: Seeing) -> Vec<BarReport> {
    let mut kinds: Vec<&Arc<TileKind>> = Vec::new();
    for face in &panel.faces {
        if !kinds.contains(&&face.kind) {
            kinds.push(&face.kind);
        }
    }
    let mut found: Vec<(&Arc<Bar>, Vec<String>)> = Vec::new();
    for kind in kinds {
        let same = found
            .iter_mut()
            .find(|(bar, _)| sheets(bar) == sheets(kind.bar()));
        match same {
            Some((_, tiles)) => tiles.push(kind.name().to_owned()),
            None => found.push((kind.bar(), vec![kind.name().to_owned()])),
        }
    }
    found
        .into_iter()
        .map(|(bar, tiles)| BarReport {
            tiles,
            sheets: sheets(bar)
                .iter()
                .map(|sheet| Legibility::of(sheet, seeing))
                .collect(),
            now: outcome(bar, seeing),
            tried: try_all(bar, seeing),
        })
        .collect()
}

fn dyes(panel: &Panel, seeing: Seeing) -> Vec<PaletteColour> {
    let mut colours: Vec<Colour> = panel
        .faces
        .iter()
        .flat_map(|f| f.face.regions())
        .map(|r| r.colour)
        .collect();
    colours.sort_unstable();
    colours.dedup();
    let all: Vec<(&str, Colour)> = Colour::dyes().collect();
    let views: &[View] = match &seeing.view {
        View::Usual => &EYES,
        one => std::slice::from_ref(one),
    };
    suggest(&all, &colours, DYES, views)
}
