//! Making the variations of a sweep, several at a time.
//!
//! The result of a variation does not depend on the variations that are made beside it. These count
//! only for the bounds on time and memory, so a variation that runs into one of the two is tried
//! again alone.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};
use rayon::{ThreadPool, ThreadPoolBuilder};

use crate::cli::cli_error::{CliError, recipe_help};
use crate::cli::embedded_recipe::EmbeddedRecipe;
use crate::cli::guard;
use crate::cli::interrupt;
use crate::cli::look::Looking;
use crate::cli::output::slugs;
use crate::cli::picture::trouble;
use crate::cli::progress::Progress;
use crate::cli::recipe_input::RecipeInput;
use crate::cli::terminal::tell;
use crate::cli::vary::folder::{Folder, sha256};
use crate::cli::vary::growing;
use crate::cli::vary::room::Room;
use crate::draw::{
    DrawError, Form, Ground, NARROWEST, PanelOptions, SMALL, Thumbnails, bitmap, panel_document,
    pixels_svg,
};
use crate::explore::alike::looks_of_all;
use crate::explore::index::{
    Failed, MadeVariation, ParameterSetting, ParameterValue, Variation, VariationResult,
};
use crate::explore::known_faces::KnownFaces;
use crate::explore::measured::{Measured, measures};
use crate::explore::panel_facts::facts;
use crate::explore::pinned::digest;
use crate::explore::sweep::{Combination, MOST, Sweep};
use crate::files::{Journal, write_picture};
use crate::layout::panel::Panel;
use crate::layout::tally::Tally;
use crate::plan::{Shop, count_back};
use crate::recipe::evaluate;
use crate::recipe::failure::Failure;
use crate::recipe::host::Host;
use crate::recipe::kind::Kind;
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::{Budget, Settings};
use crate::session::Typed;
use crate::watch::{Alarm, Bounds, Watch};

/// Pixels along the longer side of a drawing that is none of lines.
const SIDE: u32 = 700;
/// Stack of a drawing thread in bytes.
const STACK: usize = 16 * 1024 * 1024;

/// One sweep at work.
pub(super) struct Work<'a> {
    pub(super) named: &'a RecipeInput,
    pub(super) sweep: &'a Sweep,
    pub(super) budget: Budget,
    /// What wood and cost are counted with.
    pub(super) shop: &'a Shop,
    pub(super) room: Room,
    /// How the panels are looked at.
    pub(super) looking: Looking,
    pub(super) form: Form,
    /// How many pixels wide the small pictures are; without it they are as large as the sheets need.
    pub(super) thumbnails: Option<u32>,
    /// Whether each drawing carries the recipe.
    pub(super) carry: bool,
    pub(super) folder: &'a Folder,
    /// How many are made at a time; 0 for as many as the machine has cores.
    pub(super) jobs: usize,
    /// The recipe's folder: every variation reads the same modules, whatever is saved meanwhile.
    pub(super) host: Arc<dyn Host>,
    /// Whether they are drawn, or only measured.
    pub(super) draw: bool,
    /// The title of the page of pictures.
    pub(super) title: String,
}

/// Caches that are kept from one variation to the next.
#[derive(Default)]
struct Kept {
    thumbnails: Thumbnails,
    faces: KnownFaces,
}

/// What is shared between threads.
struct Shared<'a> {
    journal: &'a mut Journal,
    /// All that are made, those of earlier runs too.
    known: &'a mut BTreeMap<u64, Variation>,
    made: usize,
    again: Vec<u64>,
    trouble: Option<CliError>,
}

impl Work<'_> {
    /// Makes the variations of these numbers, and adds them to those that are known. Ctrl-C ends the program.
    ///
    /// # Errors
    /// When the disk is full or the like. What is made by then is in the journal.
    pub(super) fn run(
        &self,
        numbers: &[u64],
        known: &mut BTreeMap<u64, Variation>,
        journal: &mut Journal,
    ) -> Result<(), CliError> {
        let stop = AtomicBool::new(false);
        let done = Arc::new(AtomicUsize::new(0));
        end_at_interrupt(Arc::clone(&done), numbers.len());
        let pool = pool(self.jobs)?;
        let progress = Progress::new(
            numbers.len() as u64,
            if self.draw { "made" } else { "measured" },
        );
        let shared = Mutex::new(Shared {
            journal,
            known,
            made: 0,
            again: Vec::new(),
            trouble: None,
        });
        let one = |number, kept: &mut Kept, at_a_time| {
            if !stop.load(Ordering::Relaxed) {
                let made = self.make(number, kept, at_a_time);
                let mut shared = lock(&shared);
                match self.keep_it(number, made, &mut shared) {
                    Ok(true) => progress.step(),
                    Ok(false) => {}
                    Err(trouble) => {
                        stop.store(true, Ordering::Relaxed);
                        shared.trouble.get_or_insert(trouble);
                    }
                }
                done.store(shared.made, Ordering::Relaxed);
            }
        };
        let at_a_time = pool.current_num_threads().min(numbers.len());
        // Caches of variations that are done, for the next ones.
        let idle = Mutex::new(Vec::new());
        pool.install(|| {
            numbers.par_iter().for_each(|&number| {
                let mut kept = lock(&idle).pop().unwrap_or_default();
                one(number, &mut kept, at_a_time);
                lock(&idle).push(kept);
            });
        });
        let again = std::mem::take(&mut lock(&shared).again);
        for number in again {
            one(number, &mut Kept::default(), 1);
        }
        progress.end();
        let shared = shared.into_inner().unwrap_or_else(PoisonError::into_inner);
        shared.journal.settle();
        let Some(trouble) = shared.trouble else {
            return Ok(());
        };
        tell(&stays(shared.made, numbers.len()));
        Err(trouble)
    }

    /// Records the result of a variation; false where it has to be tried again alone.
    fn keep_it(
        &self,
        number: u64,
        made: Result<Option<Variation>, CliError>,
        shared: &mut Shared<'_>,
    ) -> Result<bool, CliError> {
        let Some(variation) = made? else {
            shared.again.push(number);
            return Ok(false);
        };
        let line = serde_json::to_string(&variation);
        let line = line.expect("invariant: every field has a form in JSON");
        shared.journal.add(&line)?;
        self.room.keep_line(line.len());
        shared.known.insert(number, variation);
        shared.made += 1;
        if self.draw && growing::is_due(shared.known.len()) {
            growing::write(self.folder, &self.title, shared.known, self.sweep.count())?;
        }
        Ok(true)
    }

    /// One variation, of several that are made at a time; none where it has to be tried again alone.
    fn make(
        &self,
        number: u64,
        kept: &mut Kept,
        at_a_time: usize,
    ) -> Result<Option<Variation>, CliError> {
        let combination = self.sweep.combination(number);
        let beside_others = at_a_time > 1;
        // Memory of the variations beside this one is counted as its own, too.
        let budget = Budget {
            memory: self.budget.memory.saturating_mul(at_a_time),
            ..self.budget.clone()
        };
        let before = self.room.before(budget.memory);
        let before = before.ok_or_else(|| self.lost(budget.memory))?;
        let result = match guard::since(before, &budget, |watch| {
            let watch = (!beside_others).then_some(watch);
            self.carried_out(number, kept, &combination, watch)
        }) {
            Ok(Some(result)) => result,
            Ok(None) => return Ok(None),
            Err(CliError::Ended(..)) if beside_others => return Ok(None),
            Err(trouble @ CliError::Ended(..)) => VariationResult::Failed(Failed {
                code: trouble.code().to_owned(),
                message: trouble.to_string(),
                place: None,
                help: trouble.help(),
            }),
            Err(trouble) => return Err(trouble),
        };
        Ok(Some(Variation {
            number,
            set: combination
                .set
                .into_iter()
                .map(|(name, value)| ParameterSetting { name, value })
                .collect(),
            seed: combination.seed,
            result,
        }))
    }

    /// The error of a sweep that is ended because its recipe gives too little of its memory back.
    fn lost(&self, memory: usize) -> CliError {
        let time = self.budget.time;
        CliError::Ended(Alarm::Memory, Bounds { time, memory })
    }

    /// The result of a variation that is made alone under a watch, or beside others; none where it has to be
    /// tried again alone.
    fn carried_out(
        &self,
        number: u64,
        kept: &mut Kept,
        combination: &Combination,
        alone: Option<&Watch>,
    ) -> Result<Option<VariationResult>, CliError> {
        let settings = Settings {
            watch: alone.cloned(),
            ..settings(self.named, combination, &self.budget)
        };
        let came = match evaluate(&self.named.source, &settings, Arc::clone(&self.host)) {
            Ok(outcome) if outcome.panels.is_empty() => VariationResult::Failed(Failed {
                code: "recipe::no_panel".to_owned(),
                message: "the recipe makes no panel with these values".to_owned(),
                place: None,
                help: None,
            }),
            Ok(outcome) => {
                VariationResult::Made(Box::new(self.keep(number, kept, &outcome, &settings)?))
            }
            Err(failure) if alone.is_none() && is_felt(&failure.kind) => return Ok(None),
            Err(failure) => VariationResult::Failed(failed(&failure)),
        };
        Ok(Some(came))
    }

    /// Measures it, and writes its drawings where they are wanted.
    fn keep(
        &self,
        number: u64,
        kept: &mut Kept,
        outcome: &Outcome,
        settings: &Settings,
    ) -> Result<MadeVariation, CliError> {
        let carried = (self.carry && self.draw)
            .then(|| EmbeddedRecipe::of(self.named, outcome, settings, &*self.host))
            .flatten();
        let seen: Vec<Panel> = outcome
            .panels
            .iter()
            .map(|p| self.looking.on(p).into_owned())
            .collect();
        let all: Vec<&Panel> = outcome.panels.iter().collect();
        let plan = count_back(&all, self.shop);
        let tallies: Vec<Tally> = outcome.panels.iter().map(Tally::of).collect();
        let measured = Measured {
            panels: &outcome.panels,
            seen: &seen,
            seeing: self.looking.seeing(),
            tallies: &tallies,
            plan: plan.as_ref().ok(),
        };
        let panels = seen
            .iter()
            .zip(&outcome.panels)
            .zip(&tallies)
            .zip(self.names(number, &outcome.panels))
            .zip(0..)
            .map(|(((panels, tally), name), place)| {
                let (picture, digest) = if self.draw {
                    let id = id(number, place)?;
                    self.keep_panel(id, panels, &name, carried.as_ref(), &mut kept.thumbnails)?
                } else {
                    Default::default()
                };
                Ok(facts(panels.1, tally, picture, digest))
            })
            .collect::<Result<_, CliError>>()?;
        Ok(MadeVariation {
            seed: outcome.seed,
            recipe_sha256: digest(outcome.sources.iter().map(AsRef::as_ref)),
            parameters: outcome
                .parameters
                .iter()
                .map(ParameterValue::from)
                .collect(),
            panels,
            measures: measures(&measured, &mut kept.faces),
            looks: looks_of_all(&outcome.panels, &mut kept.faces),
            same_as: None,
            times: 0,
        })
    }

    /// Writes the drawing of a panel, and its small picture: what the sheets show. Gives the drawing's name and digest.
    fn keep_panel(
        &self,
        id: u32,
        (seen, panel): (&Panel, &Panel),
        name: &str,
        carried: Option<&EmbeddedRecipe<'_>>,
        thumbnails: &mut Thumbnails,
    ) -> Result<(String, String), CliError> {
        let options = PanelOptions {
            title: None,
            form: self.form,
            number: id,
        };
        let told = |error: DrawError| trouble(panel, &error);
        let pixels = self.looking.pixels(seen, SIDE).map_err(told)?;
        let mut drawing = match &pixels {
            Some(png) => pixels_svg(seen, png),
            None => panel_document(seen, &options),
        };
        if let Some(carried) = carried {
            drawing = carried.in_svg(drawing, &panel.name);
        }
        let svg = drawing.to_text();
        let picture = format!("panels/{name}.svg");
        write_picture(&self.folder.file(&picture), svg.as_bytes())?;
        let width = self.thumbnails.unwrap_or_else(|| small_width(seen));
        let small = match pixels {
            Some(_) => bitmap(&svg, width, Ground::Paper),
            None => thumbnails.of(seen, width, Ground::Paper),
        };
        match small.and_then(|small| small.quick_png()) {
            Ok(png) => write_picture(&self.folder.file(&format!("thumbnails/{name}.png")), &png)?,
            Err(error) if self.thumbnails.is_some() => return Err(told(error)),
            // A panel that is too long and thin has none: the sheets render its drawing.
            Err(_) => {}
        }
        Ok((picture, sha256(svg.as_bytes())))
    }

    /// `017`, or `017-front` and so on: all numbers as wide as the last one of the sweep.
    fn names(&self, number: u64, panels: &[Panel]) -> Vec<String> {
        let wide = self.sweep.count().to_string().len();
        if panels.len() == 1 {
            return vec![format!("{number:0wide$}")];
        }
        let names: Vec<&str> = panels.iter().map(|p| p.name.as_str()).collect();
        let slugs = slugs(&names).into_iter();
        slugs
            .map(|slug| format!("{number:0wide$}-{slug}"))
            .collect()
    }
}

/// The id of a drawing. No two of a sweep share one, so that one sheet can hold them all.
fn id(number: u64, place: u64) -> Result<u32, CliError> {
    u32::try_from(number + place * MOST).map_err(|_| CliError::Data {
        code: "vary::panels",
        message: "the recipe makes too many panels for a sweep of this size".to_owned(),
        help: "take fewer variations, or let the recipe make fewer panels".to_owned(),
    })
}

/// The width in pixels of a small picture whose longer side is what the sheets need.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of a small whole number"
)]
fn small_width(panel: &Panel) -> u32 {
    let share = (panel.bounds.width() / panel.bounds.height()).min(1.0);
    ((f64::from(SMALL) * share).round() as u32).max(NARROWEST)
}

/// A pool of this many drawing threads; 0 for one on each core.
pub(super) fn pool(jobs: usize) -> Result<ThreadPool, CliError> {
    ThreadPoolBuilder::new()
        .num_threads(jobs)
        .stack_size(STACK)
        .build()
        .map_err(|error| CliError::Output(std::io::Error::other(error)))
}

/// The settings that a variation is carried out with.
pub(super) fn settings(
    named: &RecipeInput,
    combination: &Combination,
    budget: &Budget,
) -> Settings {
    // On one thread each: the variations themselves are made side by side.
    named.settings(Typed {
        set: combination.set.clone(),
        seed: combination.seed,
        ..Typed::within(budget.clone())
    })
}

/// Whether a variation that failed like this may do better when nothing is made beside it.
fn is_felt(kind: &Kind) -> bool {
    match kind {
        Kind::Bound(bound) => bound.is_felt(),
        Kind::NoThread => true,
        _ => false,
    }
}

fn failed(failure: &Failure) -> Failed {
    Failed {
        code: failure.code.to_owned(),
        message: failure.message.clone(),
        place: failure.place.as_ref().map(|place| {
            let (line, column) = place.line_column();
            format!("line {line}, column {column}")
        }),
        help: recipe_help(failure),
    }
}

fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// At Ctrl-C the program ends at once: what is on the disk is whole, and those at work are made another time.
fn end_at_interrupt(done: Arc<AtomicUsize>, all: usize) {
    interrupt::instead(move || {
        tell(&stays(done.load(Ordering::Relaxed), all));
        interrupt::end(1);
    });
}

fn stays(done: usize, all: usize) -> String {
    format!("{done} of {all} are made and stay; the same command goes on from there\n")
}
