//! `plyloom vary`: many variations of a recipe, side by side.

pub(super) mod advice;
pub(super) mod folder;
mod growing;
mod join;
mod room;
mod run;
pub(super) mod sheets;
mod summary;

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::builder::ValueHint;
use clap::{Args, ValueEnum};

use crate::cli::cli_error::CliError;
use crate::cli::guard;
use crate::cli::interrupt;
use crate::cli::look::LookArgs;
use crate::cli::recipe_args::{LimitArgs, assignment, at_least_one};
use crate::cli::recipe_input::RecipeInput;
use crate::cli::shop::read_shop;
use crate::cli::terminal::{print, tell};
use crate::cli::vary::folder::{Folder, failures, read_index, sha256};
use crate::cli::vary::join::join;
use crate::cli::vary::room::Room;
use crate::cli::vary::run::{Work, pool, settings};
use crate::cli::vary::sheets::{Finished, finish, title};
use crate::cli::vary::summary::summary;
use crate::draw::Form;
use crate::explore::around::Around;
use crate::explore::axis::Axis;
use crate::explore::choose::{Alike, Choose, Only, Sort};
use crate::explore::index::{Head, RecipeRef, Variation};
use crate::explore::measured::MEASURES;
use crate::explore::pinned::digest;
use crate::explore::sweep::{Sample, Shard, Sweep, SweepError};
use crate::files::{from_folder, read_text_file};
use crate::plan::Shop;
use crate::recipe::about::About;
use crate::recipe::evaluate;
use crate::recipe::kind::Kind;
use crate::recipe::settings::Settings;

/// How many variations are made around favourites when nothing else is said: a sheet that one looks through.
const AROUND: u64 = 60;

/// Make many variations of a recipe and see them side by side
#[derive(Debug, Args)]
#[command(
    long_about = "Make every combination of seeds and parameter values of a recipe, each as a \
                  drawing, with contact sheets (sheet.svg, sheet.png, and sheet.html, which opens \
                  them large) and an index (index.json). Identical variations are shown once. An \
                  interrupted run goes on where it stopped when you start it again. Separate \
                  values by commas; a range is FIRST..LAST or FIRST..LAST..STEP and includes both \
                  ends. Then keep the one you like with `plyloom pick`.",
    after_help = "Examples:\n  plyloom vary drift.rhai --seeds 1..60\n  \
                  plyloom vary drift.rhai --seeds 1..60 --sort matched --keep 12\n  \
                  plyloom vary blocks.rhai --set angle=45,60 --set rows=8..14..2 --out rows\n  \
                  plyloom vary blocks.rhai --set wide=\"12..18..1/2 in\" --seeds 1..1000 --sample 50\n  \
                  plyloom vary blocks.rhai --seeds 1..9000 --shard 3/8 --out part-3\n  \
                  plyloom vary blocks.rhai --set dye=soot,ink --light 225 --finish oil --sort contrast\n  \
                  plyloom vary blocks.rhai --set rows=8..14 --shop shop.toml --sort cost:up\n  \
                  plyloom vary drift.rhai --budget 2000 --best 12 --by \"contrast*2 + longest/1000\"\n  \
                  plyloom vary drift.rhai --like 17,23\n  \
                  plyloom vary --join part-1 part-2 part-3 --out all"
)]
pub(super) struct VaryArgs {
    /// The recipe, or a choice pinned with `plyloom pick`
    #[arg(value_name = "RECIPE", value_hint = ValueHint::FilePath, required_unless_present = "join")]
    recipe: Option<PathBuf>,

    /// Give a parameter several values; may be repeated for others
    ///
    /// `--set angle=45,60`, `--set rows=8..14..2`, `--set wide="1/2..2..1/4 in"`. Put a text with a
    /// comma or two dots in quotation marks.
    #[arg(long, value_name = "NAME=VALUES", value_parser = assignment)]
    set: Vec<(String, String)>,

    /// Make one variation for each of these seeds: `1..60`, `3,7,12`
    #[arg(long, value_name = "SEEDS", visible_alias = "seed")]
    seeds: Option<String>,

    /// Make only N of all combinations, chosen at random
    ///
    /// Without --set and --seeds it takes the seeds from 1 to N.
    #[arg(long, value_name = "N", visible_alias = "budget", value_parser = at_least_one::<u64>)]
    sample: Option<u64>,

    /// Seed for choosing the sample
    #[arg(long, value_name = "N", default_value_t = 1, requires = "sample")]
    sample_seed: u64,

    /// Vary around these variations of an earlier sweep: parameters between theirs, seeds beside theirs
    ///
    /// `--like 17,23`. Of all such combinations it takes 60 at random; --sample takes another number.
    #[arg(long, value_name = "NUMBERS", value_delimiter = ',', num_args = 1..,
          conflicts_with_all = ["set", "seeds", "join"])]
    like: Vec<u64>,

    /// The folder of that earlier sweep (default: NAME-variations beside the recipe)
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath, requires = "like")]
    of: Option<PathBuf>,

    /// Make only part K of N, to spread the work over N machines; --join puts the parts together
    #[arg(long, value_name = "K/N")]
    shard: Option<String>,

    /// Put the folders of all parts together in one
    #[arg(long, value_name = "DIR", num_args = 1.., value_hint = ValueHint::DirPath,
          conflicts_with_all = ["recipe", "set", "seeds", "sample", "shard"], requires = "out")]
    join: Vec<PathBuf>,

    /// Write to this folder instead of NAME-variations beside the recipe
    #[arg(long, short, value_name = "DIR", value_hint = ValueHint::DirPath)]
    out: Option<PathBuf>,

    /// Replace what another sweep left in the folder
    #[arg(long)]
    afresh: bool,

    /// When two variations count as the same, so that only one is shown
    #[arg(
        long,
        value_name = "WHEN",
        default_value = "turned",
        help_heading = "Showing"
    )]
    alike: AlikeArg,

    /// Sort by a measure or a formula of several, largest first; MEASURE:up for smallest first
    #[arg(long, visible_alias = "by", value_name = "MEASURE", value_parser = Sort::read,
          help_heading = "Showing", long_help = sort_help())]
    sort: Option<Sort>,

    /// Show only variations that meet a condition, such as `matched>=0.9`; may be repeated
    ///
    /// Lengths can have a unit: `--only "plain >= 3 m"`. A formula can stand in place of a measure.
    #[arg(long, value_name = "CONDITION", value_parser = Only::read, help_heading = "Showing")]
    only: Vec<Only>,

    /// Show only N variations, chosen to differ as much as possible in their measures
    #[arg(long, value_name = "N", value_parser = at_least_one::<u32>, help_heading = "Showing")]
    keep: Option<u32>,

    /// Measure all, and draw and show only the best: N that differ as much as possible
    ///
    /// They are chosen among the first 4 N by --by, so that they are no near twins; the first of them is always the
    /// very best.
    #[arg(long, value_name = "N", value_parser = at_least_one::<u32>, requires = "sort",
          conflicts_with = "keep", help_heading = "Showing")]
    best: Option<u32>,

    /// Draw every tile in full, for programs that cannot read the `use` element of SVG
    #[arg(long)]
    flat: bool,

    /// Make the small png pictures in `thumbnails` this many pixels wide
    ///
    /// They are 310 pixels on the longer side otherwise. Only those of the variations that this run makes; an
    /// earlier run's stay unchanged.
    #[arg(long, value_name = "PIXELS", conflicts_with = "join",
          value_parser = clap::value_parser!(u32).range(16..=2000))]
    thumbnails: Option<u32>,

    /// Do not store the recipe in the drawings, where `plyloom unpack` finds it
    #[arg(long)]
    no_recipe: bool,

    /// How many to make at the same time (default: one on each processor core)
    #[arg(long, value_name = "N", value_parser = at_least_one::<u16>)]
    jobs: Option<u16>,

    /// Shop file with stock and prices, for the measures `wood` and `cost` (default: common values)
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, conflicts_with = "join")]
    shop: Option<PathBuf>,

    #[command(flatten)]
    look: LookArgs,

    #[command(flatten)]
    limits: LimitArgs,
}

/// When two variations count as the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum AlikeArg {
    /// When they look the same without being turned
    Lying,
    /// Also when they look the same after a turn
    Turned,
    /// Also when one looks like the back of the other
    Over,
}

/// The measures, each with what it is.
fn sort_help() -> String {
    let mut text = "Sort by a measure or a formula of several, largest first; MEASURE:up for smallest first\n\n\
                    A formula has measures and numbers, + - * / and brackets, min, max and abs: \
                    \"contrast*2 + longest/1000\"\n\nMeasures:"
        .to_owned();
    for measure in MEASURES {
        let _ = write!(text, "\n  {}: {}", measure.name, measure.what);
    }
    text
}

pub(super) fn run(args: &VaryArgs) -> Result<(), CliError> {
    args.look.check(true)?;
    args.look.check_single("each variation has one picture")?;
    if !args.join.is_empty() && args.look.is_given() {
        return Err(CliError::Usage {
            message: "the drawings of the parts are joined as they are".to_owned(),
            help: "give `--light`, `--finish` and the like when the parts are made".to_owned(),
        });
    }
    let (finished, out) = match (&args.recipe, &args.out) {
        (None, Some(out)) => (
            join(&args.join, out, &args.choose(), args.afresh)?,
            out.clone(),
        ),
        (Some(recipe), _) => args.sweep(recipe)?,
        (None, None) => {
            return Err(CliError::Usage {
                message: "there is nothing to vary".to_owned(),
                help: "name a recipe".to_owned(),
            });
        }
    };
    print(&summary(&finished, &out))?;
    all_failed(&finished)
}

impl VaryArgs {
    fn choose(&self) -> Choose {
        Choose {
            alike: match self.alike {
                AlikeArg::Lying => Alike::Lying,
                AlikeArg::Turned => Alike::Turned,
                AlikeArg::Over => Alike::Over,
            },
            sort: self.sort.clone(),
            only: self.only.clone(),
            keep: self.keep.and_then(|n| usize::try_from(n).ok()),
            best: self.best.and_then(|n| usize::try_from(n).ok()),
        }
    }

    fn sweep(&self, recipe: &Path) -> Result<(Finished, PathBuf), CliError> {
        let shard = self.shard.as_deref().map(Shard::read).transpose();
        let shard = shard.map_err(|e| usage(&e))?;
        let sweep = self.combinations(recipe)?;
        let numbers = sweep.numbers(shard).map_err(|e| usage(&e))?;
        let named = RecipeInput::read(recipe, &self.limits)?;
        let shop = match &self.shop {
            Some(path) => read_shop(path)?,
            None => Shop::common(),
        };
        let looking = self.look.over(named.pinned.as_ref());
        // The lines that the recipe prints would come once for each variation, so they are dropped.
        let host = named.quiet_host();
        let budget = self.limits.budget();
        let room = Room::begin();
        // The first variation is tried whatever part this is, as it shows mistakes that all
        // variations would have.
        let first = settings(&named, &sweep.combination(1), &budget);
        let first = guard::command(&budget, |watch| {
            let first = Settings {
                watch: Some(watch.clone()),
                ..first
            };
            Ok(evaluate(&named.source, &first, host.clone()))
        })?;
        let (sources, about) = match first {
            Ok(outcome) => (outcome.sources, outcome.about),
            Err(failure) if is_hopeless(&failure.kind) => return Err(failure.into()),
            Err(failure) => (failure.sources, About::default()),
        };
        let out = self.out.clone().unwrap_or_else(|| self.beside(recipe));
        let head = Head::new(
            RecipeRef {
                path: from_folder(&out, &named.path),
                sha256: digest(sources.iter().map(AsRef::as_ref)),
                about,
            },
            &sweep,
            shard,
            named.pinned.as_ref(),
            (looking.kept(), self.shop_digest()?),
        );
        let folder = Folder::take(&out)?;
        if self.afresh {
            folder.forget()?;
        }
        let (mut known, mut journal) = room.keep(|| folder.resume(&head))?;
        known.retain(|number, _| numbers.binary_search(number).is_ok());
        let choose = self.choose();
        let mut work = Work {
            named: &named,
            sweep: &sweep,
            budget,
            room,
            shop: &shop,
            looking,
            form: if self.flat { Form::Flat } else { Form::Placed },
            thumbnails: self.thumbnails,
            carry: !self.no_recipe,
            folder: &folder,
            jobs: self.jobs.map_or(0, usize::from),
            host,
            draw: choose.best.is_none(),
            title: title(&head),
        };
        let is_there = |known: &BTreeMap<u64, Variation>, number: &u64, draw: bool| {
            let there = known.get(number).and_then(Variation::made);
            there.is_some_and(|made| !draw || made.drawn())
        };
        let missing: Vec<u64> = numbers
            .into_iter()
            .filter(|number| !is_there(&known, number, work.draw))
            .collect();
        work.run(&missing, &mut known, &mut journal)?;
        if choose.best.is_some() {
            let mut all: Vec<Variation> = known.values().cloned().collect();
            let mut best = choose.candidates(&mut all);
            best.retain(|number| !is_there(&known, number, true));
            best.sort_unstable();
            work.draw = true;
            work.run(&best, &mut known, &mut journal)?;
        }
        // All variations are in the journal, so nothing is lost when the sheets cannot be made.
        interrupt::instead(|| {
            tell("stopped before the sheets were made; the same command makes them\n");
            interrupt::end(1)
        });
        let variations = known.into_values().collect();
        let sheets = || finish(&folder, &out, head, variations, &choose);
        let finished = pool(self.jobs.map_or(0, usize::from))?.install(sheets)?;
        Ok((finished, out))
    }

    fn shop_digest(&self) -> Result<Option<String>, CliError> {
        let Some(path) = &self.shop else {
            return Ok(None);
        };
        let text = read_text_file(path).0?;
        Ok(Some(sha256(text.as_bytes())))
    }

    fn combinations(&self, recipe: &Path) -> Result<Sweep, CliError> {
        let (set, seeds) = match self.around(recipe)? {
            Some(around) => (around.set, Some(around.seeds)),
            None => (self.set.clone(), self.seeds.clone()),
        };
        let size = self.sample.or((!self.like.is_empty()).then_some(AROUND));
        let seeds = match (seeds, size) {
            (None, Some(size)) if set.is_empty() => Some(format!("1..{size}")),
            (seeds, _) => seeds,
        };
        let sample = size.map(|size| Sample {
            size,
            seed: self.sample_seed,
        });
        let axes = set.iter().map(|(name, values)| Axis::read(name, values));
        let axes = axes.collect::<Result<_, _>>();
        axes.and_then(|axes| Sweep::new(axes, seeds.as_deref(), sample))
            .map_err(|e| usage(&e))
    }

    /// What is varied around favourites, where some are named.
    fn around(&self, recipe: &Path) -> Result<Option<Around>, CliError> {
        if self.like.is_empty() {
            return Ok(None);
        }
        let folder = self
            .of
            .clone()
            .unwrap_or_else(|| beside(recipe, "variations"));
        let index = read_index(&folder)?;
        let around = Around::of(&index, &self.like).map_err(|number| CliError::Data {
            code: "vary::like",
            message: format!(
                "`{}` has no panel of a variation {number}",
                folder.display()
            ),
            help: "take numbers that stand on its sheet.html; --of names another folder".to_owned(),
        })?;
        Ok(Some(around))
    }

    /// Where it goes when nothing is said.
    fn beside(&self, recipe: &Path) -> PathBuf {
        if self.like.is_empty() {
            return beside(recipe, "variations");
        }
        let numbers: Vec<String> = self.like.iter().map(u64::to_string).collect();
        beside(recipe, &format!("like-{}", numbers.join("-")))
    }
}

/// Whether no other values can help.
fn is_hopeless(kind: &Kind) -> bool {
    matches!(kind, Kind::NoSuchParameter { .. } | Kind::Syntax)
}

fn usage(error: &SweepError) -> CliError {
    CliError::Usage {
        message: error.to_string(),
        help: advice::of_sweep(error),
    }
}

/// `NAME-WHAT` beside `NAME.rhai`.
fn beside(recipe: &Path, what: &str) -> PathBuf {
    let mut name = recipe.file_stem().unwrap_or_default().to_owned();
    name.push("-");
    name.push(what);
    recipe.with_file_name(name)
}

/// A run in which nothing could be made has failed.
fn all_failed(finished: &Finished) -> Result<(), CliError> {
    let all = &finished.index.variations;
    match failures(all).next() {
        Some((first, why)) if failures(all).count() == all.len() => Err(CliError::Data {
            code: "vary::all_failed",
            message: format!(
                "no variation could be made; variation {}: {why}",
                first.number
            ),
            help: "first make sure that `plyloom preview` draws the recipe".to_owned(),
        }),
        _ => Ok(()),
    }
}
