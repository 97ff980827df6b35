//! `plyloom check`: what to mend in a recipe before it is shared.
//!
//! The JSON form is documented in `docs/check-json.md`. Its `version` grows when a field changes its
//! meaning or goes; new fields may come at any time.

use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::Arc;

use clap::Args;
use clap::builder::ValueHint;
use serde::Serialize;

use super::cli_error::CliError;
use super::guard;
use super::recipe_args::{LimitArgs, assignment};
use super::recipe_input::RecipeInput;
use super::terminal::{json_lines, print};
use crate::check::{Checked, Effort, Finding, Level, check};
use crate::recipe::evaluate;
use crate::recipe::settings::{Budget, Settings};
use crate::session::visible::on_one_line;
use crate::watch::Watch;

/// The version of the JSON form.
const VERSION: u32 = 1;

/// Check recipes before you share them
#[derive(Debug, Args)]
#[command(
    long_about = "Run each recipe with its own values, at the ends of the ranges of its parameters \
                  and at random within them, and list what its author may want to mend: parameters \
                  that do nothing, values that fail, open joints, cuts that no saw can make \
                  safely, and missing details such as author, licence and version.",
    after_help = "Examples:\n  plyloom check tray.rhai\n  plyloom check *.rhai --strict\n  \
                  plyloom check tray.rhai --json --samples 100\n\n\
                  Exit code 1 when a recipe fails, and with --strict when there is a warning."
)]
pub(super) struct CheckArgs {
    /// The recipes; pinned choices and packed recipes too
    #[arg(value_name = "RECIPE", required = true, value_hint = ValueHint::FilePath)]
    recipes: Vec<PathBuf>,

    /// Set a parameter in every run; may be repeated
    #[arg(long, value_name = "NAME=VALUE", value_parser = assignment)]
    set: Vec<(String, String)>,

    /// How many random combinations of values to try
    #[arg(long, value_name = "N", default_value_t = Effort::default().samples)]
    samples: usize,

    /// Seed for choosing those values
    #[arg(long, value_name = "N", default_value_t = Effort::default().seed)]
    sample_seed: u64,

    /// Count warnings as failures
    #[arg(long)]
    strict: bool,

    /// Print JSON for editors and other programs
    #[arg(long)]
    json: bool,

    #[command(flatten)]
    limits: LimitArgs,
}

/// One recipe.
struct Looked {
    recipe: String,
    checked: Checked,
}

pub(super) fn run(args: &CheckArgs) -> Result<(), CliError> {
    let looked = args
        .recipes
        .iter()
        .map(|recipe| look_over(recipe, args))
        .collect::<Result<Vec<_>, _>>()?;
    if args.json {
        print(&json(&looked))?;
    } else {
        print(&text(&looked))?;
    }
    let fails = |level: Level| level == Level::Error || args.strict && level == Level::Warning;
    let failed: Vec<&str> = looked
        .iter()
        .filter(|one| one.checked.worst().is_some_and(fails))
        .map(|one| one.recipe.as_str())
        .collect();
    match failed.as_slice() {
        [] => Ok(()),
        [one] => Err(not_ready(&format!("`{one}` is not ready to be shared"))),
        many => Err(not_ready(&format!(
            "{} of {} recipes are not ready to be shared",
            many.len(),
            looked.len()
        ))),
    }
}

fn not_ready(message: &str) -> CliError {
    CliError::Data {
        code: "check::not_ready",
        message: message.to_owned(),
        help: "mend what is listed above".to_owned(),
    }
}

/// How many times as long as one run all tries of a recipe may take together.
const TRIES: u32 = 5;

fn look_over(recipe: &std::path::Path, args: &CheckArgs) -> Result<Looked, CliError> {
    let budget = args.limits.budget();
    let budget = Budget {
        time: budget.time.saturating_mul(TRIES),
        ..budget
    };
    guard::command(&budget, |watch| look_over_within(watch, recipe, args))
}

fn look_over_within(
    watch: &Watch,
    recipe: &std::path::Path,
    args: &CheckArgs,
) -> Result<Looked, CliError> {
    let named = RecipeInput::read(recipe, &args.limits)?;
    let host = named.quiet_host();
    let base = Settings {
        set: args.set.clone(),
        ..named.settings(args.limits.typed())
    };
    let effort = Effort {
        samples: args.samples,
        seed: args.sample_seed,
    };
    let checked = check(&base, effort, &mut |settings| {
        evaluate(&named.source, settings, Arc::clone(&host) as _)
    });
    // Tries that the watch ended early show nothing about the recipe.
    if checked.runs > 1
        && let Some(alarm) = watch.alarm()
    {
        return Err(CliError::Ended(alarm, watch.bounds()));
    }
    Ok(Looked {
        recipe: recipe.display().to_string(),
        checked,
    })
}

fn text(looked: &[Looked]) -> String {
    let mut text = String::new();
    for one in looked {
        let _ = writeln!(text, "{}", on_one_line(&one.recipe));
        for finding in &one.checked.findings {
            text.push_str(&told(finding));
        }
        let _ = writeln!(
            text,
            "  {}, {} {}\n",
            counted(&one.checked.findings),
            one.checked.runs,
            if one.checked.runs == 1 { "run" } else { "runs" }
        );
    }
    text.truncate(text.trim_end().len());
    text.push('\n');
    text
}

fn told(finding: &Finding) -> String {
    let level = match finding.level {
        Level::Error => "error",
        Level::Warning => "warning",
        Level::Note => "note",
    };
    let mut text = format!(
        "  {level}: {} [{}]\n",
        on_one_line(&finding.message),
        finding.code
    );
    if let Some(place) = &finding.place {
        let (line, column) = place.line_column();
        let name = on_one_line(&place.source.name);
        let _ = writeln!(text, "    at {name}:{line}:{column}");
    }
    if let Some(tries) = finding.tries.filter(|n| *n > 1) {
        let _ = writeln!(text, "    in {tries} of the runs");
    }
    if let Some(help) = &finding.help {
        let _ = writeln!(text, "    help: {}", on_one_line(help));
    }
    text
}

/// `1 error, 2 warnings, 1 note`.
fn counted(findings: &[Finding]) -> String {
    let count = |level: Level, word: &str| {
        let n = findings.iter().filter(|f| f.level == level).count();
        let s = if n == 1 { "" } else { "s" };
        (n > 0).then(|| format!("{n} {word}{s}"))
    };
    let all = [
        count(Level::Error, "error"),
        count(Level::Warning, "warning"),
        count(Level::Note, "note"),
    ];
    let all: Vec<String> = all.into_iter().flatten().collect();
    if all.is_empty() {
        "nothing to mend".to_owned()
    } else {
        all.join(", ")
    }
}

#[derive(Serialize)]
struct Report<'a> {
    schema: &'static str,
    version: u32,
    recipes: Vec<JsonRecipe<'a>>,
}

#[derive(Serialize)]
struct JsonRecipe<'a> {
    recipe: &'a str,
    worst: Option<Level>,
    runs: usize,
    findings: Vec<JsonFinding<'a>>,
}

#[derive(Serialize)]
struct JsonFinding<'a> {
    code: &'a str,
    level: Level,
    message: &'a str,
    help: Option<&'a str>,
    file: Option<&'a str>,
    line: Option<usize>,
    column: Option<usize>,
    with: Vec<JsonSet<'a>>,
    tries: Option<usize>,
}

#[derive(Serialize)]
struct JsonSet<'a> {
    name: &'a str,
    value: &'a str,
}

fn json(looked: &[Looked]) -> String {
    let finding = |finding: &'_ Finding| -> (Option<usize>, Option<usize>) {
        let place = finding
            .place
            .as_ref()
            .map(crate::recipe::source::Location::line_column);
        (place.map(|p| p.0), place.map(|p| p.1))
    };
    let report = Report {
        schema: "plyloom-check",
        version: VERSION,
        recipes: looked
            .iter()
            .map(|one| JsonRecipe {
                recipe: &one.recipe,
                worst: one.checked.worst(),
                runs: one.checked.runs,
                findings: one
                    .checked
                    .findings
                    .iter()
                    .map(|f| JsonFinding {
                        code: f.code,
                        level: f.level,
                        message: &f.message,
                        help: f.help.as_deref(),
                        file: f.place.as_ref().map(|p| p.source.name.as_str()),
                        line: finding(f).0,
                        column: finding(f).1,
                        with: f
                            .with
                            .iter()
                            .map(|(name, value)| JsonSet { name, value })
                            .collect(),
                        tries: f.tries,
                    })
                    .collect(),
            })
            .collect(),
    };
    json_lines(&report)
}
