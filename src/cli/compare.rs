//! `plyloom compare`: recipes or choices side by side, as a drawing and as a table of differences.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;
use serde::Serialize;

use super::cli_error::CliError;
use super::guard;
use super::look::{LookArgs, Looking};
use super::object::object;
use super::output::{Format, Output, OutputArgs, Target};
use super::picture::{USUAL_WIDTH, from_where, trouble};
use super::recipe_args::LimitArgs;
use super::recipe_input::RecipeInput;
use super::shop::read_shop;
use super::spinner;
use super::stream::Stream;
use super::table::ruled_table;
use super::terminal::{json_lines, print, print_bytes, tell};
use crate::appearance::object::Shape;
use crate::appearance::window::{Window, best, cut};
use crate::draw::{Form, Ground, Shot, bitmap, side_by_side};
use crate::explore::known_faces::KnownFaces;
use crate::explore::material::materials;
use crate::explore::measured::{Measured, measures, unit_of};
use crate::files::{same_file, write_picture};
use crate::layout::panel::Panel;
use crate::layout::tally::Tally;
use crate::plan::{Shop, count_back};
use crate::recipe::settings::Budget;
use crate::session::planned::made_with;
use crate::session::visible::{on_one_line, shown_path};

/// See recipes or pinned choices side by side, with what differs
#[derive(Debug, Args)]
#[command(
    long_about = "Draw recipes or pinned choices side by side at one scale, and list what differs: \
                  size, tally, material, measures. With `--window` it cuts a piece of that size from \
                  each, where the contrast is highest, to show how much of the pattern a small \
                  object gets.",
    after_help = "Examples:\n  plyloom compare tray.pick drift.rhai\n  \
                  plyloom compare a.pick b.pick c.pick --window handle --window \"round 90\"\n  \
                  plyloom compare a.pick b.pick --out both.png --width 2000"
)]
pub(super) struct CompareArgs {
    /// Recipes, or choices pinned with `plyloom pick`
    #[arg(value_name = "RECIPE", required = true, num_args = 2.., value_hint = ValueHint::FilePath)]
    recipes: Vec<PathBuf>,

    /// Cut a piece of this size from each: `110x25` in mm, `round 90`, or an object such as
    /// `handle`; may be repeated
    #[arg(long, value_name = "SIZE", value_parser = object)]
    window: Vec<(String, Shape)>,

    /// Also show the rows in which all are the same
    #[arg(long)]
    all: bool,

    /// Print JSON instead of a table
    #[arg(long)]
    json: bool,

    /// Shop file with stock and prices, for the measures `wood` and `cost`
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    shop: Option<PathBuf>,

    #[command(flatten)]
    look: LookArgs,

    #[command(flatten)]
    output: OutputArgs,

    #[command(flatten)]
    limits: LimitArgs,
}

/// Pixels along the longer side of each picture that is none of lines.
const SIDE: u32 = 1200;

/// One panel of those that are compared.
struct Subject {
    label: String,
    panel: Panel,
    tally: Tally,
    note: String,
    looking: Looking,
    measures: BTreeMap<String, Option<f64>>,
    cuts: Vec<Option<Window>>,
}

/// One line of the table: a name, and what each subject has there.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Row {
    name: String,
    values: Vec<String>,
}

impl Row {
    fn differs(&self) -> bool {
        self.values.windows(2).any(|w| w[0] != w[1])
    }
}

/// What is compared, as JSON.
#[derive(Debug, Serialize)]
struct Report<'a> {
    schema: &'static str,
    version: u32,
    subjects: Vec<&'a str>,
    picture: Option<String>,
    rows: &'a [Row],
}

pub(super) fn run(args: &CompareArgs) -> Result<(), CliError> {
    // Pictures of pixels stand in the page as they are, so the form of its drawings does not
    // matter.
    args.look.check(true)?;
    let budget = args.limits.budget();
    let each = u32::try_from(args.recipes.len()).unwrap_or(u32::MAX);
    let budget = Budget {
        time: budget.time.saturating_mul(each),
        ..budget
    };
    guard::command(&budget, |_| compare(args))
}

fn compare(args: &CompareArgs) -> Result<(), CliError> {
    let output = args.output.resolve(Path::new("compare.rhai"))?;
    let mut targets = output.targets(&["compare"])?;
    let target = targets.remove(0);
    if args.json && target == Target::Standard {
        return Err(CliError::Usage {
            message: "`--json` and `--out -` both ask for the standard output".to_owned(),
            help: "name a file for the picture with `--out`".to_owned(),
        });
    }
    if let Target::File(path) = &target
        && let Some(recipe) = args.recipes.iter().find(|r| same_file(r, path))
    {
        return Err(CliError::Usage {
            message: format!("`{}` is one of the recipes", recipe.display()),
            help: "choose another file for the picture with `--out`".to_owned(),
        });
    }
    let shop = match &args.shop {
        Some(path) => read_shop(path)?,
        None => Shop::common(),
    };
    let mut subjects = Vec::new();
    for recipe in &args.recipes {
        subjects.extend(read(recipe, args, &shop)?);
    }
    spinner::at("drawing");
    let picture = drawn(&subjects, args, &output)?;
    match &target {
        Target::File(path) => write_picture(path, &picture)?,
        Target::Standard => print_bytes(&picture)?,
    }
    let file = match &target {
        Target::File(path) => Some(shown_path(path)),
        Target::Standard => None,
    };
    let rows = rows(&subjects, &args.window);
    if args.json {
        let report = Report {
            schema: "plyloom-compare",
            version: 1,
            subjects: subjects.iter().map(|s| s.label.as_str()).collect(),
            picture: file,
            rows: &rows,
        };
        return print(&json_lines(&report));
    }
    let on_errors = target == Target::Standard;
    let look = if on_errors {
        Stream::of_errors()
    } else {
        Stream::of_output()
    };
    let mut text = table(&subjects, &rows, args.all, look.terminal);
    if let Some(file) = file {
        let _ = writeln!(text, "\npicture  {file}");
    }
    if on_errors {
        tell(&text);
        return Ok(());
    }
    print(&text)
}

/// The panels of one recipe.
fn read(recipe: &Path, args: &CompareArgs, shop: &Shop) -> Result<Vec<Subject>, CliError> {
    let named = RecipeInput::read(recipe, &args.limits)?;
    let settings = named.settings(args.limits.typed());
    let outcome = named.carried_out(&settings, named.host())?;
    let shown = recipe.display().to_string();
    if outcome.panels.is_empty() {
        return Err(CliError::NoPanel { recipe: shown });
    }
    let several = outcome.panels.len() > 1;
    // All are shown with the same look, whatever the look of a pinned choice.
    let looking = args.look.over(None);
    let made_with = made_with(outcome.seed, &outcome.parameters);
    let note = match looking.words() {
        Some(words) => format!("{made_with}, {words}"),
        None => made_with,
    };
    let subject = |panel: Panel| {
        let tally = Tally::of(&panel);
        Subject {
            label: if several {
                format!("{shown}: {}", panel.name)
            } else {
                shown.clone()
            },
            cuts: args
                .window
                .iter()
                .map(|(_, shape)| best(&panel, *shape, looking.seeing()).map(|b| b.boldest))
                .collect(),
            measures: measured(&panel, &tally, &looking, shop),
            tally,
            panel,
            note: note.clone(),
            looking,
        }
    };
    Ok(outcome.panels.into_iter().map(subject).collect())
}

fn measured(
    panel: &Panel,
    tally: &Tally,
    looking: &Looking,
    shop: &Shop,
) -> BTreeMap<String, Option<f64>> {
    let plan = count_back(&[panel], shop).ok();
    let measured = Measured {
        panels: std::slice::from_ref(panel),
        seen: &[looking.on(panel).into_owned()],
        seeing: looking.seeing(),
        tallies: std::slice::from_ref(tally),
        plan: plan.as_ref(),
    };
    measures(&measured, &mut KnownFaces::default())
}

/// Whole panels in the first row, or in eight rows in light from all round; the pieces of each size in
/// a row below.
fn drawn(subjects: &[Subject], args: &CompareArgs, output: &Output) -> Result<Vec<u8>, CliError> {
    let whole: Vec<(String, &Subject)> = subjects
        .iter()
        .map(|s| (format!("{} \u{b7} {}", s.label, s.note), s))
        .collect();
    let mut shots = Vec::new();
    let lit: Option<Vec<Vec<(f64, Panel)>>> =
        subjects.iter().map(|s| s.looking.sweep(&s.panel)).collect();
    match lit {
        Some(lit) => {
            let directions = lit.first().map_or(0, Vec::len);
            for direction in 0..directions {
                for (lights, (words, _)) in lit.iter().zip(&whole) {
                    let (azimuth, panel) = &lights[direction];
                    let from = from_where(*azimuth);
                    shots.push(Shot {
                        panel: panel.clone(),
                        words: format!("{from} ({azimuth}\u{b0}) \u{b7} {words}"),
                        round: false,
                        pixels: None,
                    });
                }
            }
        }
        None => {
            for (words, subject) in whole {
                shots.push(shot(subject, &subject.panel, words, false)?);
            }
        }
    }
    for (place, (name, shape)) in args.window.iter().enumerate() {
        for s in subjects {
            let around = |centre| cut(&s.panel, shape.bounds(centre));
            let round = matches!(shape, Shape::Circle(_));
            shots.push(match s.cuts[place] {
                Some(window) => {
                    let words = format!(
                        "{name}: {} whole and {} cut tiles",
                        window.whole, window.part
                    );
                    shot(s, &around(window.centre), words, round)?
                }
                None => Shot {
                    panel: Panel {
                        tiles: Vec::new(),
                        ..around(s.panel.bounds.centre())
                    },
                    words: format!("{name}: does not fit"),
                    round: false,
                    pixels: None,
                },
            });
        }
    }
    let svg = side_by_side(&shots, subjects.len(), "Side by side", Form::Placed).to_text();
    match output.format {
        Format::Svg => Ok(svg.into_bytes()),
        Format::Png => bitmap(&svg, output.width.unwrap_or(USUAL_WIDTH), Ground::Paper)
            .and_then(|picture| picture.png())
            .map_err(|error| trouble(&subjects[0].panel, &error)),
    }
}

/// A panel of a subject, with its look.
fn shot(subject: &Subject, panel: &Panel, words: String, round: bool) -> Result<Shot, CliError> {
    let seen = subject.looking.on(panel).into_owned();
    let pixels = subject.looking.pixels(&seen, SIDE);
    Ok(Shot {
        pixels: pixels.map_err(|error| trouble(panel, &error))?,
        panel: seen,
        words,
        round,
    })
}

fn rows(subjects: &[Subject], windows: &[(String, Shape)]) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut row = |name: &str, of: &dyn Fn(&Subject) -> String| {
        rows.push(Row {
            name: name.to_owned(),
            values: subjects.iter().map(of).collect(),
        });
    };
    row("made with", &|s| s.note.clone());
    row("size, mm", &|s| {
        format!(
            "{:.1} x {:.1}",
            s.panel.bounds.width(),
            s.panel.bounds.height()
        )
    });
    row("net area, m2", &|s| {
        format!("{:.4}", s.tally.net_area / 1e6)
    });
    row("tiles", &|s| s.tally.total().to_string());
    row("  whole", &|s| s.tally.whole.to_string());
    row("  trimmed", &|s| s.tally.trimmed.to_string());
    row("joints", &|s| s.tally.joints.all.to_string());
    row("  matched", &|s| s.tally.joints.matched.to_string());
    let kinds: BTreeSet<String> = subjects
        .iter()
        .flat_map(|s| s.tally.rows.iter().map(|r| r.kind.clone()))
        .collect();
    for kind in &kinds {
        row(&format!("tiles \"{kind}\""), &|s| {
            let of_kind = s.tally.rows.iter().filter(|r| r.kind == *kind);
            let (straight, flipped): (Vec<_>, Vec<_>) = of_kind.partition(|r| !r.pose.flip);
            let sum =
                |rows: &[&crate::layout::tally::Row]| rows.iter().map(|r| r.total()).sum::<u64>();
            let all = sum(&straight) + sum(&flipped);
            format!("{all}, {} flipped", sum(&flipped))
        });
    }
    let all: Vec<_> = subjects.iter().map(|s| materials(&s.panel)).collect();
    let known: BTreeSet<_> = all.iter().flat_map(|m| m.keys().copied()).collect();
    for material in known {
        let value = |areas: &BTreeMap<_, f64>| match areas.get(&material) {
            Some(area) => format!(
                "{:.0} cm2, {:.1} %",
                area / 100.0,
                100.0 * area / areas.values().sum::<f64>()
            ),
            None => "none".to_owned(),
        };
        rows.push(Row {
            name: material.words(),
            values: all.iter().map(value).collect(),
        });
    }
    let names: BTreeSet<&String> = subjects.iter().flat_map(|s| s.measures.keys()).collect();
    for name in names {
        let value = |s: &Subject| match s.measures.get(name).copied().flatten() {
            Some(value) => format!("{value:.3}"),
            None => "not defined".to_owned(),
        };
        rows.push(Row {
            name: match unit_of(name) {
                "" => format!("measure {name}"),
                unit => format!("measure {name}, {unit}"),
            },
            values: subjects.iter().map(value).collect(),
        });
    }
    for (place, (name, _)) in windows.iter().enumerate() {
        let value = |s: &Subject| match s.cuts[place] {
            Some(w) => format!(
                "{} whole and {} cut tiles, {:.1} lines per 100 mm",
                w.whole, w.part, w.lines
            ),
            None => "does not fit".to_owned(),
        };
        rows.push(Row {
            name: format!("window {name}"),
            values: subjects.iter().map(value).collect(),
        });
    }
    rows
}

fn table(subjects: &[Subject], rows: &[Row], all: bool, drawn_lines: bool) -> String {
    let mut table = ruled_table(drawn_lines);
    let head = subjects.iter().map(|s| on_one_line(&s.label));
    table.set_header(std::iter::once(String::new()).chain(head));
    for row in rows.iter().filter(|r| all || r.differs()) {
        let cells = std::iter::once(&row.name).chain(&row.values);
        table.add_row(cells.map(|text| on_one_line(text)));
    }
    let mut text = table.trim_fmt();
    text.push('\n');
    let same: Vec<String> = rows
        .iter()
        .filter(|r| !all && !r.differs())
        .map(|r| on_one_line(r.name.trim()))
        .collect();
    if !same.is_empty() {
        let _ = writeln!(text, "\nthe same in all: {}", same.join("; "));
    }
    text
}
