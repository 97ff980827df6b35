//! `plyloom plan`: from a recipe and a shop to what to buy, cut and glue.

mod in_hand;
mod json;
mod json_shop;
mod largest;
mod written;

use std::path::{Path, PathBuf};

use clap::builder::ValueHint;
use clap::{Args, ValueEnum};

use crate::appearance::object::Shape as ObjectShape;
use crate::cli::cli_error::CliError;
use crate::cli::object::object;
use crate::cli::recipe_args::{RecipeArgs, RunArgs};
use crate::cli::recipe_input::{self, RecipeInput};
use crate::cli::shop::shop;
use crate::cli::spinner;
use crate::cli::terminal::print;
use crate::cli::thickness::ThicknessArgs;
use crate::cli::typed_length::measured;
use crate::files::write_new;
use crate::layout::panel::Panel;
use crate::plan::loaf::words;
use crate::plan::parts::{self, Field, Mirrored, PartsError};
use crate::plan::rounds::in_rounds;
use crate::plan::shop::{
    NEW_SHOP,
    sliced::{Sliced, WAYS},
};
use crate::plan::{Plan, PlanError, Shop, cautions};
use crate::rack::largest::{Largest, Shape};
use crate::recipe::outcome::Outcome;
use crate::session::planned::{self, Planned, objects};
use crate::session::visible::{on_one_line, shown_path};

/// Work out what a panel takes in sheets and scraps, and how to cut them
#[derive(Debug, Args)]
#[command(
    long_about = "Work out what a panel takes: tiles, bars, strips, sheets and scraps, each number \
                  with its calculation, and how to set the saw for each cut. Without a shop file \
                  it uses common values and lists them.",
    after_help = "Examples:\n  plyloom plan blocks.rhai\n  plyloom plan --new-shop shop.toml\n  \
                  plyloom plan blocks.rhai --shop shop.toml\n  \
                  plyloom plan blocks.rhai --shop shop.toml --out plan.html\n  \
                  plyloom plan blocks.rhai --shop shop.toml --json\n  \
                  plyloom plan checker.rhai --way courses\n  \
                  plyloom plan blocks.rhai --object \"round 90\" --object handle\n  \
                  plyloom plan blocks.rhai --shop rack.toml --largest --shape 4:3\n  \
                  plyloom plan blocks.rhai --shop rack.toml --thickness from rack.toml\n  \
                  plyloom plan blocks.rhai --from-parts \"block=90\" --symmetric both --shape 3:2\n\n\
                  Exit code 1 when the stock does not suffice; the plan then says by how much."
)]
pub(super) struct PlanArgs {
    /// The recipe: a text file whose name ends in .rhai, or a choice pinned with `plyloom pick`
    #[arg(value_name = "RECIPE", value_hint = ValueHint::FilePath,
          required_unless_present = "new_shop")]
    recipe: Option<PathBuf>,

    #[command(flatten)]
    pub(super) run: RunArgs,

    /// What the shop has: saws, allowances, sheets, scraps, veneers, prices
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    shop: Option<PathBuf>,

    /// Write a shop file in which every entry is explained; never overwrites a file
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, exclusive = true)]
    new_shop: Option<PathBuf>,

    /// What is sliced: `tiles`, each bar by itself; `loaf`, a few bars glued side by side, or `"loaf of 4"`;
    /// `courses`, as many as a course has tiles; `panels`, all bars of a panel in one block (default: as the shop
    /// file says, else tiles)
    #[arg(long, value_name = "WAY", value_parser = sliced, conflicts_with = "from_parts")]
    way: Option<Sliced>,

    /// Plan only this panel (default: all panels, sharing the stock)
    #[arg(long, value_name = "NAME")]
    panel: Option<String>,

    /// Find the largest panel that the tiles you have can fill instead: `"block=14,star=9"`; without a
    /// value, or with `bag`, the tiles of the recipe's bag
    #[arg(long, value_name = "TILES", num_args = 0..=1, default_missing_value = BAG,
          help_heading = "From what I have")]
    from_parts: Option<String>,

    /// Make that panel symmetric, tiles turned over give the mirror images; of the largest panel the next size that is
    /// symmetric
    #[arg(long, value_name = "HOW", help_heading = "From what I have")]
    symmetric: Option<Symmetric>,

    /// Shape of that panel, width to height, such as `3:2`; of the largest panel also `free`: of some usual shapes the one
    /// that gives most (default: as near to a square as possible; of the largest panel as the recipe has it)
    #[arg(
        long,
        value_name = "WIDTH:HEIGHT",
        visible_alias = "width-to-height",
        value_parser = largest::shape,
        help_heading = "From what I have"
    )]
    shape: Option<Shape>,

    /// Find the largest panel that the wood of the rack given by `--shop` is enough for, and plan that
    #[arg(
        long,
        requires = "shop",
        conflicts_with = "from_parts",
        help_heading = "From what I have"
    )]
    largest: bool,

    #[command(flatten)]
    thickness: ThicknessArgs,

    /// Write the whole plan as one page to print, its name ends in .html; or as JSON, it ends in .json; `-` is
    /// the standard output, for the page
    #[arg(long, short, value_name = "FILE", value_hint = ValueHint::FilePath,
          conflicts_with = "from_parts")]
    out: Option<PathBuf>,

    /// Write the drawings of the steps (set-ups of the saw, boards, bars) and the maps for gluing up into a
    /// folder, as SVG
    #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath,
          conflicts_with = "from_parts")]
    drawings: Option<PathBuf>,

    /// Also show the best place on the panel to cut a small object: `handle`, `coaster`, `round
    /// coaster`, `box lid`, `drawer front`, `round table`, or a size in mm such as `90x60` or
    /// `round 90`; may be repeated
    #[arg(long, value_name = "OBJECT", value_parser = object, conflicts_with = "from_parts")]
    object: Vec<(String, ObjectShape)>,

    /// One side of the glued panel is this much thinner: work out what flattening leaves
    #[arg(long, value_name = "LENGTH", value_parser = measured, allow_negative_numbers = true,
          conflicts_with = "from_parts")]
    thinner: Option<f64>,

    /// Print JSON for other programs
    #[arg(long)]
    json: bool,
}

/// What stands for the tiles of the recipe's own bag.
const BAG: &str = "bag";

/// What is sliced.
fn sliced(text: &str) -> Result<Sliced, String> {
    text.parse()
        .map_err(|error: String| format!("{error}; {WAYS}"))
}

/// How a panel mirrors itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Symmetric {
    /// Left for right
    LeftRight,
    /// Upside down
    TopBottom,
    /// Both
    Both,
}

impl PlanArgs {
    /// What every command takes that carries out a recipe; here `--new-shop` can stand in its place.
    fn recipe_args(&self) -> Result<RecipeArgs, CliError> {
        let recipe = self.recipe.clone().ok_or_else(|| CliError::Usage {
            message: "there is no recipe to plan".to_owned(),
            help: "name a recipe, or write a shop file with `--new-shop FILE`".to_owned(),
        })?;
        Ok(RecipeArgs {
            recipe,
            run: self.run.clone(),
        })
    }
}

pub(super) fn run(args: &PlanArgs) -> Result<(), CliError> {
    if let Some(path) = &args.new_shop {
        return new_shop(path);
    }
    let recipe = &args.recipe_args()?;
    if let Some(out) = &args.out {
        let shop = args.shop.as_deref();
        let sources: Vec<&Path> = shop.into_iter().chain([recipe.recipe.as_path()]).collect();
        written::check(out, &sources)?;
        if args.json && written::to_standard(Some(out)) {
            return Err(CliError::Usage {
                message: "the standard output takes the page or the JSON, not both".to_owned(),
                help: "write the page to a file: `--out plan.html`".to_owned(),
            });
        }
    }
    let file = recipe.recipe.file_name().unwrap_or_default();
    let mut shop = shop(args.shop.as_deref())?.for_recipe(&file.to_string_lossy());
    if let Some(way) = args.way {
        shop = shop.slicing(way);
    }
    if (args.shape.is_some() || args.symmetric.is_some())
        && !args.largest
        && args.from_parts.is_none()
    {
        return Err(CliError::Usage {
            message: "`--shape` and `--symmetric` are for a panel from what you have".to_owned(),
            help: "add `--largest`, or `--from-parts`".to_owned(),
        });
    }
    let wanted = args.panel.as_deref();
    let named = RecipeInput::read(&recipe.recipe, &recipe.run.limits)?;
    let settings = named.settings(recipe.run.typed());
    let (named, settings, shop) = args.thickness.taken(named, settings, wanted, shop)?;
    let (largest, outcome) = if args.largest {
        let shape = args.shape.unwrap_or(Shape::Recipe);
        let (largest, outcome) = largest::found(
            &named,
            &settings,
            wanted,
            &shop,
            shape,
            mirrored(args.symmetric),
        )?;
        (Some(largest), outcome)
    } else {
        (None, named.carried_out(&settings, named.host())?)
    };
    let shown = recipe.recipe.display().to_string();
    let found = recipe_input::panels(&outcome, wanted, &shown)?;
    let panels: Vec<&Panel> = found.iter().map(AsRef::as_ref).collect();
    if let Some(text) = &args.from_parts {
        return from_parts(args, text, &outcome, &panels);
    }
    spinner::at("working out the plan");
    let all: Vec<&Panel> = outcome.panels.iter().collect();
    let panels = in_rounds(&panels, &all);
    let plan = Plan::of(&panels, &shop).map_err(|error| no_plan(&error, &shop))?;
    let planned = Planned {
        recipe: shown,
        shop_file: args.shop.as_ref().map(|p| p.display().to_string()),
        outcome: &outcome,
        cutouts: objects::cutouts(&panels, &args.object),
        panels,
        shop: &shop,
        plan: &plan,
        thinner: args.thinner,
    };
    show(args, &planned, largest.as_ref())?;
    if plan.count.suffices() {
        Ok(())
    } else {
        Err(CliError::Plan {
            message: "the stock is not enough for this panel".to_owned(),
            help: "the plan says what is missing and what to get".to_owned(),
        })
    }
}

/// Writes what is to be written, and prints the plan, or only the plan in short where it is written.
fn show(args: &PlanArgs, planned: &Planned<'_>, largest: Option<&Largest>) -> Result<(), CliError> {
    if let Some(out) = &args.out {
        written::page(planned, largest, out)?;
    }
    let drawn = match &args.drawings {
        Some(folder) => Some((folder, written::drawings(planned, folder)?)),
        None => None,
    };
    if written::to_standard(args.out.as_deref()) {
        return Ok(());
    }
    if args.json {
        return print(&json::json(planned, largest));
    }
    let found = largest.map_or(String::new(), |l| largest::text(l, &planned.recipe));
    if args.out.is_none() && drawn.is_none() {
        return print(&format!("{found}{}", planned::text(planned)));
    }
    let told = written::told(args.out.as_ref(), drawn);
    print(&format!("{found}{}\n{told}", planned::in_short(planned)))
}

/// The largest panel from tiles in hand, for each panel of the recipe.
fn from_parts(
    args: &PlanArgs,
    text: &str,
    outcome: &Outcome,
    panels: &[&Panel],
) -> Result<(), CliError> {
    let usage = |error: PartsError| CliError::Usage {
        message: on_one_line(&error.to_string()),
        help: "write the names of tiles and how many there are: `--from-parts \"block=14,star=9\"`"
            .to_owned(),
    };
    let given = if text.trim() == BAG {
        None
    } else {
        Some(parts::parse(text).map_err(usage)?)
    };
    let mirrored = mirrored(args.symmetric);
    let ratio = match args.shape {
        Some(Shape::Ratio(ratio)) => Some(ratio),
        _ => None,
    };
    let mut answers = Vec::new();
    for panel in panels {
        let field = Field::of(panel).map_err(usage)?;
        let parts = match &given {
            Some(parts) => parts,
            None => bag(outcome, panel)?,
        };
        let filled = field.largest(parts, mirrored, ratio).map_err(usage)?;
        answers.push((panel.name.as_str(), filled));
    }
    print(&if args.json {
        let recipe = args.recipe.as_deref().unwrap_or(Path::new(""));
        json::from_parts(&recipe.display().to_string(), &answers)
    } else {
        in_hand::text(&answers)
    })
}

fn mirrored(how: Option<Symmetric>) -> Mirrored {
    how.map_or_else(Mirrored::default, |how| Mirrored {
        left_right: how != Symmetric::TopBottom,
        top_bottom: how != Symmetric::LeftRight,
    })
}

/// What the bag of a panel's recipe holds.
fn bag<'a>(outcome: &'a Outcome, panel: &Panel) -> Result<&'a parts::Parts, CliError> {
    let all = outcome.panels.iter().zip(&outcome.bags);
    all.into_iter()
        .find(|(known, bag)| std::ptr::eq(*known, panel) && !bag.is_empty())
        .map(|(_, bag)| bag)
        .ok_or_else(|| CliError::Usage {
            message: format!(
                "the panel \"{}\" is not filled from a bag",
                on_one_line(&panel.name)
            ),
            help:
                "say which tiles you have: `--from-parts \"block=14,star=9\"`, or fill the panel from \
                   `bag(...)` in the recipe"
                    .to_owned(),
        })
}

fn new_shop(path: &Path) -> Result<(), CliError> {
    write_new(path, NEW_SHOP.as_bytes())?;
    let shown = shown_path(path);
    print(&format!(
        "wrote {shown}: enter what you have, then\n  plyloom plan RECIPE --shop {shown}\n"
    ))
}

/// Why there is no plan, in the shop's units.
fn no_plan(error: &PlanError, shop: &Shop) -> CliError {
    match error {
        PlanError::Unsafe(parts) => CliError::Plan {
            message: on_one_line(&cautions::unsafe_parts(parts, shop.units)),
            help: cautions::ways_round(parts, shop.units),
        },
        PlanError::Way {
            panel,
            way,
            why,
            fits,
        } => {
            let each: Vec<String> = (fits.iter()).map(|fit| format!("`--way {fit}`")).collect();
            CliError::Plan {
                message: on_one_line(&words::misfit(panel, *way, why, fits, shop.units)),
                help: format!("plan it by {}", each.join(" or ")),
            }
        }
        _ => CliError::Plan {
            message: error.to_string(),
            help: "check the panel with `plyloom preview`, and the lengths in the shop file"
                .to_owned(),
        },
    }
}
