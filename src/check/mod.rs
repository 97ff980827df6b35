//! Checking a recipe before it is shared: what its author may want to mend.
//!
//! What lives here: running the recipe at the ends of its parameters' ranges and at random within them
//! (`trials`), findings about wood, saw and joints (`wood`), about the text (`text`), and about what is
//! probably meant otherwise (`recipe::doubts`). A [`Finding`] is facts and words; nothing here knows files or
//! the terminal.
//!
//! Findings of one recipe, number of tries and seed are the same everywhere.

mod text;
mod trials;
mod wood;

use std::collections::BTreeMap;

use serde::Serialize;

use crate::recipe::doubts::{Doubtful, doubts};
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::Settings;
use crate::recipe::source::Location;
use crate::recipe::{Failure, parameter::Parameter};

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Worth knowing; nothing need be done.
    Note,
    /// To be mended before the recipe is shared.
    Warning,
    /// The recipe does not work.
    Error,
}

/// One thing that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// A stable code in dotted form.
    pub code: &'static str,
    /// How much it weighs.
    pub level: Level,
    /// What it is, in one sentence without a full stop.
    pub message: String,
    /// What to do about it.
    pub help: Option<String>,
    /// Where, where there is a place.
    pub place: Option<Location>,
    /// The parameters that were set when it happened, as typed after `--set`.
    pub with: Vec<(String, String)>,
    /// How many of the tries came to it, where it is about tries.
    pub tries: Option<usize>,
}

impl Finding {
    fn new(code: &'static str, level: Level, message: impl Into<String>) -> Self {
        Self {
            code,
            level,
            message: message.into(),
            help: None,
            place: None,
            with: Vec::new(),
            tries: None,
        }
    }

    fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    fn at(mut self, place: Option<Location>) -> Self {
        self.place = place;
        self
    }
}

/// What came of looking a recipe over.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// The findings, the most serious first, else in the order in which they were found.
    pub findings: Vec<Finding>,
    /// How often the recipe was run.
    pub runs: usize,
}

impl Checked {
    /// The heaviest level among the findings.
    pub fn worst(&self) -> Option<Level> {
        self.findings.iter().map(|finding| finding.level).max()
    }
}

/// How a recipe is tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Random samples of all parameters together.
    pub samples: usize,
    /// The seed that they are drawn with.
    pub seed: u64,
}

impl Default for Effort {
    fn default() -> Self {
        Self {
            samples: 24,
            seed: 1,
        }
    }
}

/// Checks a recipe. `base` are the settings that it is run with; `run` runs it.
pub fn check(
    base: &Settings,
    effort: Effort,
    run: &mut dyn FnMut(&Settings) -> Result<Outcome, Failure>,
) -> Checked {
    let first = match run(base) {
        Ok(outcome) => outcome,
        Err(failure) => {
            return Checked {
                findings: vec![failed(&failure)],
                runs: 1,
            };
        }
    };
    let mut findings = text::findings(&first);
    findings.extend(doubts(&first).into_iter().map(doubted));
    findings.extend(wood::findings(&first));
    findings.extend(budget(&first, base));
    let tried = trials::try_out(&first, base, effort, run);
    findings.extend(tried.findings);
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.level));
    Checked {
        findings,
        runs: 1 + tried.runs,
    }
}

/// What is legal, and probably meant otherwise.
fn doubted(doubtful: Doubtful) -> Finding {
    let Doubtful { doubt, place } = doubtful;
    Finding::new(doubt.code(), Level::Warning, doubt.to_string())
        .help(doubt.help())
        .at(Some(place))
}

fn failed(failure: &Failure) -> Finding {
    Finding {
        help: failure.help.clone(),
        place: failure.place.clone(),
        ..Finding::new(failure.code, Level::Error, failure.message.clone())
    }
}

/// A recipe that comes near the bounds of a run will be stopped on a slower machine.
fn budget(outcome: &Outcome, base: &Settings) -> Option<Finding> {
    let most = base.budget.operations;
    (outcome.operations > most / 2).then(|| {
        Finding::new(
            "check::near_bounds",
            Level::Warning,
            format!(
                "it takes {} of the {most} steps that a run may take",
                outcome.operations
            ),
        )
        .help("let words such as `fill`, `sequence` and `random` do what a loop does now")
    })
}

/// Where a parameter is declared, by its name.
fn declared(outcome: &Outcome) -> BTreeMap<&str, Location> {
    let named = |p: &Parameter| text::declaration(outcome, &p.name);
    let all = outcome.parameters.iter();
    all.filter_map(|p| Some((p.name.as_str(), named(p)?)))
        .collect()
}
