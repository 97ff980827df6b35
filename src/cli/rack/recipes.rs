//! `plyloom rack recipes`: how large a panel each recipe of a folder gives from this wood, as a table and as a page of
//! pictures.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;
use rayon::ThreadPoolBuilder;
use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};

use crate::cli::cli_error::CliError;
use crate::cli::guard;
use crate::cli::progress::Progress;
use crate::cli::recipe_args::LimitArgs;
use crate::cli::recipe_input::RecipeInput;
use crate::cli::table::ruled_table;
use crate::cli::terminal::print;
use crate::draw::{Missing, PanelOptions, Picture, SheetCard, contact_page_html, panel_svg};
use crate::files::{recipes_of, write_whole};
use crate::plan::Shop;
use crate::plan::units::decimal;
use crate::rack::largest::{Adjustment, Lacking, LargestError};
use crate::rack::makes::{Makes, makes};
use crate::recipe::settings::{Budget, all_cores};
use crate::session::visible::{on_one_line, shown_path};

/// The most characters of a cell of the table.
const MOST: usize = 36;
/// Stack of a thread in bytes.
const STACK: usize = 16 * 1024 * 1024;
/// The title of the page.
const TITLE: &str = "From the wood on the rack";

#[derive(Debug, Args)]
pub(super) struct RecipesArgs {
    /// The folder with the recipes
    #[arg(value_name = "DIR", value_hint = ValueHint::DirPath)]
    folder: PathBuf,

    /// Write a page of pictures as well, one file; its name ends in .html
    #[arg(long, short, value_name = "FILE", value_hint = ValueHint::FilePath)]
    out: Option<PathBuf>,

    /// How many recipes are tried at the same time (default: as many as there are cores)
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    jobs: Option<u16>,

    #[command(flatten)]
    limits: LimitArgs,
}

/// The result for a recipe, in words.
struct Row {
    recipe: String,
    /// Area of the panel, in square mm; below 0 where there is none.
    area: f64,
    panel: String,
    set: String,
    lacks: String,
    additional: String,
    pictures: Vec<Picture>,
}

/// The table of all recipes of a folder, those with the largest panel first.
///
/// # Errors
/// When the folder cannot be read or has no recipe, or the page cannot be written.
pub(super) fn run(args: &RecipesArgs, shop: &Shop) -> Result<(), CliError> {
    if let Some(out) = &args.out
        && out.extension().is_none_or(|ending| ending != "html")
    {
        return Err(CliError::Usage {
            message: "the page of pictures is a file whose name ends in .html".to_owned(),
            help: "say `--out rack.html`".to_owned(),
        });
    }
    let paths = recipes_of(&args.folder)?;
    let progress = Progress::new(paths.len() as u64, "tried");
    let jobs = args.jobs.map_or_else(|| all_cores().get(), usize::from);
    let pool = ThreadPoolBuilder::new()
        .num_threads(jobs)
        .stack_size(STACK)
        .build()
        .map_err(|error| CliError::Data {
            code: "rack::threads",
            message: format!("no thread could be begun: {error}"),
            help: "say `--jobs 1`".to_owned(),
        })?;
    let at_a_time = jobs.min(paths.len()).max(1);
    let of_one = |path: &PathBuf| {
        let row = of_one(path, args, shop, at_a_time);
        progress.step();
        row
    };
    let rows: Result<Vec<Option<Row>>, CliError> =
        pool.install(|| paths.par_iter().map(of_one).collect());
    progress.end();
    let mut rows: Vec<Row> = rows?.into_iter().flatten().collect();
    if rows.is_empty() {
        return Err(CliError::Data {
            code: "rack::no_recipes",
            message: format!(
                "there is no recipe in `{}` that makes a panel",
                shown_path(&args.folder)
            ),
            help: "`plyloom new NAME` writes one to start from".to_owned(),
        });
    }
    rows.sort_by(|a, b| b.area.total_cmp(&a.area).then(a.recipe.cmp(&b.recipe)));
    let mut text = table(&rows);
    text.push_str(
        "\nAs large as the first way to cut the wood gives: `plyloom plan RECIPE --largest` searches in full.\n",
    );
    if let Some(out) = &args.out {
        write_whole(out, page(&rows).as_bytes())?;
        let _ = writeln!(text, "\nwrote {}", shown_path(out));
    }
    print(&text)
}

fn table(rows: &[Row]) -> String {
    let mut table = ruled_table(false);
    table.set_header([
        "recipe",
        "largest panel",
        "with",
        "a larger one lacks",
        "its own size takes in addition",
    ]);
    for row in rows {
        let cells = [
            &row.recipe,
            &row.panel,
            &row.set,
            &row.lacks,
            &row.additional,
        ];
        table.add_row(cells.map(|cell| shortened(cell)));
    }
    let mut text = table.trim_fmt();
    text.push('\n');
    text
}

fn page(rows: &[Row]) -> String {
    let (made, none): (Vec<&Row>, Vec<&Row>) = rows.iter().partition(|row| row.area > 0.0);
    let cards: Vec<SheetCard> = (1..)
        .zip(made)
        .map(|(number, row)| card(number, row))
        .collect();
    let missing: Vec<Missing> = (cards.len() as u64 + 1..)
        .zip(none)
        .map(|(number, row)| Missing {
            number,
            made_with: row.recipe.clone(),
            why: format!("{}. {}", row.lacks, row.additional),
        })
        .collect();
    let note = format!(
        "The largest panel of each of {} recipes that this wood is enough for, the largest first.",
        rows.len()
    );
    contact_page_html(&cards, &missing, TITLE, &note, "")
}

fn card(number: u64, row: &Row) -> SheetCard {
    let with = match row.set.as_str() {
        "" => String::new(),
        set => format!(", with {set}"),
    };
    SheetCard {
        number,
        times: row.recipe.clone(),
        made_with: format!("{}{with}", row.panel),
        figures: format!(
            "A larger one lacks: {}. Its own size takes in addition: {}.",
            row.lacks, row.additional
        ),
        pictures: row.pictures.clone(),
    }
}

/// A recipe's row; none for a module.
fn of_one(
    path: &Path,
    args: &RecipesArgs,
    shop: &Shop,
    at_a_time: usize,
) -> Result<Option<Row>, CliError> {
    let recipe = on_one_line(&path.file_stem().unwrap_or_default().to_string_lossy());
    let none = |why: &str| Row {
        recipe: recipe.clone(),
        area: -1.0,
        panel: "none".to_owned(),
        set: String::new(),
        lacks: on_one_line(why),
        additional: String::new(),
        pictures: Vec::new(),
    };
    let budget = args.limits.budget();
    // Memory of the recipes beside this one is counted as its own, too.
    let beside = Budget {
        memory: budget.memory.saturating_mul(at_a_time),
        ..budget
    };
    let file = path.file_name().unwrap_or_default();
    let shop = &shop.clone().for_recipe(&file.to_string_lossy());
    let row = guard::within(&beside, |watch| {
        let named = RecipeInput::read(path, &args.limits)?;
        let mut settings = named.settings(args.limits.typed());
        settings.watch = Some(watch.clone());
        settings.budget = beside.clone();
        let carried_out = |change: &Adjustment| named.changed(&settings, change);
        let base = match carried_out(&Adjustment::default()) {
            Ok(base) if base.panels.is_empty() => return Ok(None),
            Ok(base) => base,
            Err(failure) => return Ok(Some(none(&failure.message))),
        };
        let text = named.is_plain().then_some(named.source.text.as_str());
        let made = makes(base, text, shop, &mut |change| carried_out(change).ok());
        Ok(Some(row(&recipe, &made)))
    });
    match row {
        Err(trouble @ CliError::Ended(..)) => Ok(Some(none(&trouble.to_string()))),
        other => other,
    }
}

fn row(recipe: &str, made: &Makes) -> Row {
    let named = |(name, value): &(String, String)| format!("{name}={}", value.replace(' ', ""));
    let mut set: Vec<String> = made.set.iter().map(named).collect();
    let additional = match &made.additional {
        Ok(lacking) => additional(lacking),
        Err(error) => error.to_string(),
    };
    let (area, panel, lacks) = match &made.largest {
        Ok(found) => {
            let [width, height] = found.best.size;
            for (handle, value) in found.varied.iter().zip(&found.best.values) {
                set.push(format!("{}={}", handle.name, decimal(*value, 2)));
            }
            let lacks = found.next.as_ref().map_or_else(
                || "nothing: the recipe allows no larger one".to_owned(),
                |next| next.lacks.join("; "),
            );
            let panel = format!("{} x {} mm", decimal(width, 0), decimal(height, 0));
            (width * height, panel, lacks)
        }
        Err(LargestError::TooSmall { lacks, .. }) => (-1.0, "none".to_owned(), lacks.join("; ")),
        // Its size is fixed: the wood is enough for it, or not.
        Err(LargestError::NoHandle) if made.additional.as_ref().is_ok_and(Lacking::is_nothing) => {
            let [width, height] = made.own_size;
            let panel = format!("{} x {} mm", decimal(width, 0), decimal(height, 0));
            (
                width * height,
                panel,
                "not tried: its size is fixed".to_owned(),
            )
        }
        Err(error) => (-1.0, "none".to_owned(), error.to_string()),
    };
    let pictures = if area < 0.0 {
        Vec::new()
    } else {
        let panels = (0..).zip(&made.outcome.panels);
        let picture = panels.filter_map(|(number, panel)| {
            let options = PanelOptions {
                number,
                ..PanelOptions::default()
            };
            let size = (panel.bounds.width(), panel.bounds.height());
            Picture::read(&panel_svg(panel, &options), size).ok()
        });
        picture.collect()
    };
    Row {
        recipe: recipe.to_owned(),
        area,
        panel,
        set: on_one_line(&set.join(" ")),
        lacks: on_one_line(&lacks),
        additional: on_one_line(&additional),
        pictures,
    }
}

/// Wood to get, in words.
fn additional(lacking: &Lacking) -> String {
    const SQUARE_METRE: f64 = 1e6;
    if lacking.is_nothing() {
        return "nothing".to_owned();
    }
    let mut all = Vec::new();
    if lacking.board > 0.0 {
        all.push(format!(
            "{} m2 of board",
            decimal(lacking.board / SQUARE_METRE, 3)
        ));
    }
    for (colour, leaves) in &lacking.leaves {
        let word = if *leaves == 1 { "leaf" } else { "leaves" };
        all.push(format!("{leaves} {word} of {colour}"));
    }
    for (colour, area) in &lacking.veneer {
        all.push(format!(
            "{} m2 of {colour} veneer",
            decimal(area / SQUARE_METRE, 3)
        ));
    }
    all.join(", ")
}

fn shortened(text: &str) -> String {
    if text.chars().count() <= MOST {
        return text.to_owned();
    }
    let kept: String = text.chars().take(MOST).collect();
    format!("{kept} ...")
}
