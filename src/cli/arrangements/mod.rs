//! `plyloom arrangements`: in how many ways the tiles of a recipe can be turned and flipped.

mod bar;
mod table;

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use clap::builder::ValueHint;
use clap::{Args, ValueEnum};

use crate::cli::arrangements::table::{Report, Row, json, table};
use crate::cli::cli_error::CliError;
use crate::cli::recipe_args::RecipeArgs;
use crate::cli::recipe_input::RecipeInput;
use crate::cli::spinner;
use crate::cli::stream::Stream;
use crate::cli::terminal::print;
use crate::draw::{Form, Ground, Shot, bitmap, side_by_side};
use crate::explore::{
    counting,
    enumeration::{Arrangements, Wanted},
    moves::Same,
    pattern::Joints,
    plane_group::{PlaneGroup, Repeats},
    repeat::{Arrangement, MOST_CELLS, Poses, Repeat},
    repeated_panel::repeated_panel,
};
use crate::files::{same_file, write_picture};
use crate::layout::Panel;

/// The most arrangements whose plane groups are worked out, which bounds the time that this takes.
const MOST_GROUPED: usize = 20_000;
/// Arrangements that stand side by side on a page.
const IN_A_ROW: usize = 6;
/// Width of a png page in pixels.
const PAGE_WIDTH: u32 = 2000;
/// A sample is about so many cells wide and high.
const SAMPLE_CELLS: u32 = 4;

/// Count and list the ways to turn and flip the tiles of a small repeat
#[derive(Debug, Args)]
#[command(
    long_about = "Count and list the ways to turn and flip the tiles of a small repeat. The cells \
                  and the tiles are those of a panel of the recipe; how that panel fills them does \
                  not matter. Arrangements count as the same when a shift, a turn or a mirror of the \
                  endless pattern changes one into the other. Each comes with the plane symmetry \
                  group of its coloured lines: p4m, cmm and so on, as in International Tables for \
                  Crystallography. With --bar it turns the strips inside a bar instead: end for \
                  end, or rolled over, as you can before gluing.",
    after_help = "Examples:\n  plyloom arrangements blocks.rhai\n  \
                  plyloom arrangements blocks.rhai --repeat 2x3 --matched --out blocks-ways.svg\n  \
                  plyloom arrangements blocks.rhai --repeat 3x3 --group p4g --most 12\n  \
                  plyloom arrangements blocks.rhai --repeat 4x4 --sample --seed 7 --json\n  \
                  plyloom arrangements blocks.rhai --bar block --out block-ways.svg"
)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a switch of the command line"
)]
pub(super) struct ArrangementsArgs {
    #[command(flatten)]
    pub(super) recipe: RecipeArgs,

    /// Size of the repeat: columns x courses
    #[arg(long, value_name = "CxR", value_parser = size, default_value = "2x2")]
    repeat: (i32, i32),

    /// When two arrangements count as the same
    #[arg(long, value_name = "WHAT", default_value = "mirrors")]
    same: SameArg,

    /// Turn tiles but do not flip them
    #[arg(long)]
    no_flip: bool,

    /// List only those in which lines run on through every joint
    #[arg(long)]
    matched: bool,

    /// List only those with this plane group, such as `p4g`; may be repeated
    #[arg(long, value_name = "GROUP")]
    group: Vec<PlaneGroup>,

    /// List at most this many
    #[arg(long, value_name = "N", default_value_t = 24,
          value_parser = clap::value_parser!(u32).range(1..=1000))]
    most: u32,

    /// List a random selection instead of the first ones; `--seed` chooses which
    #[arg(long)]
    sample: bool,

    /// Which panel of the recipe, where it makes several
    #[arg(long, value_name = "NAME")]
    panel: Option<String>,

    /// Draw the listed ones side by side to this file (.svg or .png) or folder
    #[arg(long, short, value_name = "FILE", value_hint = ValueHint::FilePath)]
    out: Option<PathBuf>,

    /// Turn the strips inside the bar of this tile instead, before they are glued
    #[arg(long, value_name = "TILE",
          conflicts_with_all = ["repeat", "no_flip", "matched", "group", "sample"])]
    bar: Option<String>,

    /// Print JSON instead of tables
    #[arg(long)]
    json: bool,
}

/// When two arrangements count as the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum SameArg {
    /// When a shift changes one into the other
    Shifts,
    /// Also when a turn does
    Turns,
    /// Also when a mirror does
    Mirrors,
}

impl ArrangementsArgs {
    fn same(&self) -> Same {
        match self.same {
            SameArg::Shifts => Same::Shifts,
            SameArg::Turns => Same::Turns,
            SameArg::Mirrors => Same::TurnsAndMirrors,
        }
    }

    fn wanted(&self) -> Wanted {
        if self.matched {
            Wanted::Matched
        } else {
            Wanted::All
        }
    }

    fn poses(&self) -> Poses {
        if self.no_flip {
            Poses::Turned
        } else {
            Poses::TurnedAndFlipped
        }
    }
}

fn size(text: &str) -> Result<(i32, i32), String> {
    let wrong =
        || format!("write columns x courses, at most {MOST_CELLS} cells in all, for example `2x3`");
    let (columns, courses) = text.split_once(['x', 'X', '×']).ok_or_else(wrong)?;
    let number = |text: &str| {
        let most = i32::try_from(MOST_CELLS).unwrap_or(i32::MAX);
        text.trim().parse().ok().filter(|n| (1..=most).contains(n))
    };
    match (number(columns), number(courses)) {
        (Some(c), Some(r)) if usize::try_from(c * r).is_ok_and(|n| n <= MOST_CELLS) => Ok((c, r)),
        _ => Err(wrong()),
    }
}

pub(super) fn run(args: &ArrangementsArgs) -> Result<(), CliError> {
    let target = args.out.as_deref().map(Target::of).transpose()?;
    let named = RecipeInput::read(&args.recipe.recipe, &args.recipe.run.limits)?;
    let outcome = named.carried_out(&named.settings(args.recipe.run.typed()), named.host())?;
    if let Some(target) = &target {
        let read = named.witnesses();
        if read.iter().any(|w| same_file(&target.path, &w.path)) {
            return Err(CliError::Usage {
                message: format!("`{}` belongs to the recipe", target.path.display()),
                help: "choose another file for the picture with `--out`".to_owned(),
            });
        }
    }
    let panel = chosen(&outcome.panels, args)?;
    if let Some(name) = &args.bar {
        return bar::run(panel, name, args, target.as_ref());
    }
    let repeat = Repeat::of_panel(panel, args.repeat.0, args.repeat.1, args.poses());
    let repeat = repeat.map_err(|error| CliError::Usage {
        message: error.to_string(),
        help: "choose another `--repeat`, or make the recipe's panel larger with `--set`"
            .to_owned(),
    })?;
    spinner::at("counting arrangements");
    let report = explore(&repeat, panel, args, outcome.seed);
    if let Some(target) = target {
        let page = drawn(&repeat, &report, target.png)?;
        write_picture(&target.path, &page)?;
    }
    if args.json {
        print(&json(&repeat, &report))
    } else {
        print(&table(&repeat, &report, Stream::of_output().terminal))
    }
}

/// Where the page goes.
struct Target {
    path: PathBuf,
    png: bool,
}

impl Target {
    fn of(out: &Path) -> Result<Self, CliError> {
        let folder = out.is_dir() || out.to_string_lossy().ends_with('/');
        let path = if folder {
            out.join("arrangements.svg")
        } else {
            out.to_owned()
        };
        let ending = path.extension().map(OsStr::to_ascii_lowercase);
        match ending.as_deref().and_then(OsStr::to_str) {
            Some("svg") => Ok(Self { path, png: false }),
            Some("png") => Ok(Self { path, png: true }),
            _ => Err(CliError::Usage {
                message: format!(
                    "the ending of `{}` does not say what to draw",
                    path.display()
                ),
                help: "end the name in `.svg` or `.png`".to_owned(),
            }),
        }
    }
}

fn chosen<'a>(panels: &'a [Panel], args: &ArrangementsArgs) -> Result<&'a Panel, CliError> {
    let names = || {
        let names: Vec<String> = panels.iter().map(|p| format!("`{}`", p.name)).collect();
        names.join(", ")
    };
    match (&args.panel, panels) {
        (_, []) => Err(CliError::NoPanel {
            recipe: args.recipe.recipe.display().to_string(),
        }),
        (None, [panel]) => Ok(panel),
        (None, _) => Err(CliError::Usage {
            message: format!("the recipe makes {} panels: {}", panels.len(), names()),
            help: "choose one with `--panel NAME`".to_owned(),
        }),
        (Some(name), _) => {
            let found = panels.iter().find(|p| p.name == *name);
            found.ok_or_else(|| CliError::Usage {
                message: format!("the recipe makes no panel `{name}`"),
                help: format!("it makes {}", names()),
            })
        }
    }
}

fn explore(repeat: &Repeat, panel: &Panel, args: &ArrangementsArgs, seed: u64) -> Report {
    let arrangements = Arrangements::new(repeat, args.same(), args.wanted());
    let row = |arrangement: Arrangement| Row {
        group: Repeats::of(&repeat.pattern(&arrangement, Joints::Unseen)),
        joints: arrangements.joints(&arrangement),
        ways: arrangements.ways(&arrangement),
        arrangement,
    };
    let asked = |row: &Row| {
        args.group.is_empty() || args.group.iter().any(|&g| row.group == Repeats::By(g))
    };
    let most = usize::try_from(args.most).unwrap_or(usize::MAX);
    let mut report = Report {
        panel: panel.name.clone(),
        repeat: args.repeat,
        seed: args.sample.then_some(seed),
        all: counting::all(repeat),
        different: counting::different(repeat, args.same()),
        matched: args.matched,
        complete: false,
        found: 0,
        groups: Vec::new(),
        rows: Vec::new(),
    };
    if args.sample {
        // A plane group may be rare, so more arrangements are drawn at random than are shown.
        let draws = if args.group.is_empty() {
            most
        } else {
            most.saturating_mul(50)
        };
        let drawn = arrangements.sample(seed, draws).into_iter().map(row);
        report.rows = drawn.filter(asked).take(most).collect();
        return report;
    }
    let mut listing = arrangements.list();
    let mut groups = std::collections::BTreeMap::<Repeats, usize>::new();
    for row in listing.by_ref().take(MOST_GROUPED).map(row) {
        report.found += 1;
        *groups.entry(row.group).or_default() += 1;
        if report.rows.len() < most && asked(&row) {
            report.rows.push(row);
        }
    }
    report.complete = listing.next().is_none() && !listing.gave_up();
    report.groups = groups.into_iter().collect();
    report
}

/// The listed arrangements side by side on a page.
fn drawn(repeat: &Repeat, report: &Report, png: bool) -> Result<Vec<u8>, CliError> {
    let failed = |message: String| CliError::Drawing {
        message,
        help: "draw fewer with `--most`, or draw to a `.svg` file".to_owned(),
    };
    let times = |cells: i32| SAMPLE_CELLS.div_ceil(cells.unsigned_abs()).max(2);
    let times = (times(report.repeat.0), times(report.repeat.1));
    let shots = report
        .rows
        .iter()
        .enumerate()
        .map(|(i, row)| {
            let words = format!("{}: {}", i + 1, row.group);
            let panel = repeated_panel(repeat, &row.arrangement, times, &words)?;
            Ok(Shot {
                panel,
                words,
                round: false,
                pixels: None,
            })
        })
        .collect::<Result<Vec<_>, crate::layout::LayoutError>>()
        .map_err(|e| failed(e.to_string()))?;
    let title = format!(
        "{}: arrangements of {} x {}",
        report.panel, report.repeat.0, report.repeat.1
    );
    let svg = side_by_side(&shots, IN_A_ROW, &title, Form::Placed).to_text();
    if !png {
        return Ok(svg.into_bytes());
    }
    bitmap(&svg, PAGE_WIDTH, Ground::Paper)
        .and_then(|picture| picture.png())
        .map_err(|e| failed(format!("the page cannot be drawn as png: {e}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_of_repeats() {
        assert_eq!(size("2x3"), Ok((2, 3)));
        assert_eq!(size(" 1 X 8"), Ok((1, 8)));
        for wrong in ["", "3", "0x2", "2x-1", "9x9", "2x2x2"] {
            assert!(size(wrong).is_err(), "{wrong}");
        }
    }
}
