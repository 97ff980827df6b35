//! `plyloom trial`: what a trial bar says about the saw.

use std::path::PathBuf;
use std::sync::Arc;

use clap::builder::ValueHint;
use clap::{Args, ValueEnum};

use super::cli_error::CliError;
use super::recipe_args::RecipeArgs;
use super::recipe_input;
use super::shop::shop;
use super::terminal::print;
use super::typed_length::measured;
use crate::plan::cautions;
use crate::plan::tolerance::measure::Across;
use crate::plan::trial::words::trial_lines;
use crate::plan::trial::{PRECISION, ProudEdge, Reading, TrialError, trial};
use crate::plan::{Shop, Units};
use crate::recipe::outcome::Outcome;
use crate::session::visible::on_one_line;
use crate::stock::Bar;

/// Work out from a trial bar which setting of the saw is off, and by how much
#[derive(Debug, Args)]
#[command(
    long_about = "Work out from a trial bar which setting of the saw is off, in which direction and \
                  by how much. Rip a few short strips with the settings of the plan, not shorter \
                  than is safe on your saw, lay up the bar dry with every joint tight except the \
                  last, and measure.",
    after_help = "Examples:\n  plyloom trial blocks.rhai --gap-outside 0.4 --proud 0.2\n  \
                  plyloom trial blocks.rhai --bar star --gap-centre \"1/64 in\"\n\n\
                  Lengths are in mm or inches."
)]
pub(super) struct TrialArgs {
    #[command(flatten)]
    pub(super) recipe: RecipeArgs,

    /// The tile whose bar was tried; needed if the recipe has several
    #[arg(long, value_name = "NAME")]
    bar: Option<String>,

    /// Gap at the outer end of the last joint, its inner end tight
    #[arg(long, value_name = "LENGTH", value_parser = measured, help_heading = "What you measured")]
    gap_outside: Option<f64>,

    /// Gap at the inner end of the last joint, its outer end tight
    #[arg(long, value_name = "LENGTH", value_parser = measured, help_heading = "What you measured")]
    gap_centre: Option<f64>,

    /// How far a point stands proud at the outer end of a joint
    #[arg(long, value_name = "LENGTH", value_parser = measured, help_heading = "What you measured")]
    proud: Option<f64>,

    /// Which edge ends in the proud point (default: both are answered)
    #[arg(
        long,
        value_name = "EDGE",
        requires = "proud",
        help_heading = "What you measured"
    )]
    proud_edge: Option<Edge>,

    /// Width of a strip at its wider face; `--across` says how the caliper lay
    #[arg(long, value_name = "LENGTH", value_parser = measured, help_heading = "What you measured")]
    width: Option<f64>,

    /// How the caliper lay for `--width`; needed where it makes a difference
    #[arg(
        long,
        value_name = "HOW",
        requires = "width",
        help_heading = "What you measured"
    )]
    across: Option<Lie>,

    /// Measured thickness of the sheet (default: the recipe's); moves the fence
    #[arg(long, value_name = "LENGTH", value_parser = measured, help_heading = "What you measured")]
    thickness: Option<f64>,

    /// The shop file; lengths are shown in its units and in mm
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    shop: Option<PathBuf>,

    /// How exactly you can measure
    #[arg(long, value_name = "LENGTH", value_parser = measured, default_value_t = PRECISION,
          help_heading = "What you measured")]
    precision: f64,
}

/// The edge that ends in a proud point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Edge {
    /// The sheet's face or back: an outer ply runs along the joint
    Face,
    /// A sawn edge: the ends of all plies come out at the joint
    Sawn,
}

/// How a caliper lies across a strip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Lie {
    /// Along the flat of the face, from edge to edge
    #[value(alias = "flats")]
    Flat,
    /// Over the sharp corners, along the face
    Corners,
    /// Square across the sawn edges
    Square,
}

impl TrialArgs {
    fn reading(&self) -> Reading {
        Reading {
            gap_outside: self.gap_outside,
            gap_centre: self.gap_centre,
            proud: self.proud,
            proud_edge: self.proud_edge.map(|edge| match edge {
                Edge::Face => ProudEdge::Face,
                Edge::Sawn => ProudEdge::Sawn,
            }),
            width: self.width,
            across: self.across.map(|lie| match lie {
                Lie::Flat => Across::Flat,
                Lie::Corners => Across::Corners,
                Lie::Square => Across::Square,
            }),
            thickness: self.thickness,
            precision: self.precision,
        }
    }
}

pub(super) fn run(args: &TrialArgs) -> Result<(), CliError> {
    let shop = shop(args.shop.as_deref())?;
    let outcome = recipe_input::outcome(&args.recipe)?;
    print(&told(args, &outcome, &shop)?)
}

/// What is printed.
fn told(args: &TrialArgs, outcome: &Outcome, shop: &Shop) -> Result<String, CliError> {
    let (units, saw) = (shop.units, shop.saw_limits());
    let recipe = args.recipe.recipe.display().to_string();
    let (name, bar) = chosen(&bars(outcome), args.bar.as_deref(), &recipe)?;
    let reading = args.reading();
    let diagnosis = trial(&bar, &reading, &saw).map_err(|error| CliError::Usage {
        message: format!("bar \"{}\": {error}", on_one_line(&name)),
        help: match error {
            TrialError::WhichWidth { .. } => {
                "say how it lay: `--across flat`, `--across corners` or `--across square`"
            }
            _ => {
                "give what was seen: `--gap-outside`, `--gap-centre`, `--proud`, `--width` or \
                 `--thickness`"
            }
        }
        .to_owned(),
    })?;
    let length = |mm: f64| match units {
        Units::Metric => units.fine(mm),
        Units::Inch => format!("{} ({mm:.2} mm)", units.fine(mm)),
    };
    let mut text = format!("Trial bar \"{}\"\n\n", on_one_line(&name));
    for line in trial_lines(&reading, &diagnosis, &saw, &length) {
        text.push_str(&line);
        text.push('\n');
    }
    text.push('\n');
    text.push_str(cautions::ALWAYS);
    text.push('\n');
    Ok(text)
}

/// The bars of all panels with the names of their tiles, each once.
fn bars(outcome: &Outcome) -> Vec<(String, Arc<Bar>)> {
    let mut all: Vec<(String, Arc<Bar>)> = Vec::new();
    for face in outcome.panels.iter().flat_map(|p| &p.faces) {
        let kind = &face.kind;
        let known = all
            .iter()
            .any(|(name, bar)| name == kind.name() && **bar == **kind.bar());
        if !known {
            all.push((kind.name().to_owned(), Arc::clone(kind.bar())));
        }
    }
    all
}

fn chosen(
    bars: &[(String, Arc<Bar>)],
    wanted: Option<&str>,
    recipe: &str,
) -> Result<(String, Arc<Bar>), CliError> {
    let names = || {
        let names: Vec<String> = bars
            .iter()
            .map(|(n, _)| format!("\"{}\"", on_one_line(n)))
            .collect();
        names.join(", ")
    };
    let fits: Vec<&(String, Arc<Bar>)> = bars
        .iter()
        .filter(|(name, _)| wanted.is_none_or(|w| w == name))
        .collect();
    match fits[..] {
        [only] => Ok(only.clone()),
        [] if bars.is_empty() => Err(CliError::NoPanel {
            recipe: recipe.to_owned(),
        }),
        [] => Err(CliError::Usage {
            message: format!(
                "the recipe has no bar \"{}\"",
                on_one_line(wanted.unwrap_or_default())
            ),
            help: format!("its bars are {}", names()),
        }),
        _ if wanted.is_none() => Err(CliError::Usage {
            message: format!("the recipe has {} bars", bars.len()),
            help: format!("say which one with `--bar`: {}", names()),
        }),
        _ => Err(CliError::Usage {
            message: "several different bars of the recipe have this name".to_owned(),
            help: "give them names of their own in the recipe".to_owned(),
        }),
    }
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use super::*;
    use crate::cli::sample::panel;

    #[derive(Parser)]
    struct Line {
        #[command(flatten)]
        trial: TrialArgs,
    }

    fn said(words: &[&str]) -> Result<String, CliError> {
        let line = ["trial", "a.rhai"].iter().chain(words);
        let args = Line::parse_from(line).trial;
        let outcome = Outcome {
            about: crate::recipe::about::About::default(),
            credits: std::collections::BTreeMap::new(),
            language: 1,
            joint_tolerance: 0.01,
            kinds: Vec::new(),
            named: Vec::new(),
            hands: Vec::new(),
            panels: vec![panel()],
            bags: Vec::new(),
            parameters: Vec::new(),
            chance: false,
            seed: 1,
            sources: Vec::new(),
            modules: Vec::new(),
            held_nowhere: Vec::new(),
            operations: 0,
        };
        told(&args, &outcome, &Shop::common())
    }

    #[test]
    fn nothing_read_is_wrong_usage() {
        let trouble = said(&[]).expect_err("nothing read");
        assert_eq!(trouble.exit_code(), 2);
        assert!(trouble.help().is_some_and(|h| h.contains("--gap-outside")));
    }

    #[test]
    fn an_unknown_bar_is_told_with_those_there_are() {
        let trouble = said(&["--bar", "moon", "--gap-outside", "0.4"]).expect_err("no such bar");
        assert_eq!(trouble.exit_code(), 2);
        assert!(trouble.help().is_some_and(|h| h.contains("its bars are")));
    }
}
