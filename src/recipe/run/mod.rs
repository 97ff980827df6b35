//! The state of one run: what the words of the vocabulary share while a recipe is evaluated.
//!
//! Every word reaches it by `Run::of(&context)`. What it knows of the texts is in `texts`.

mod sources;
mod texts;

use crate::recipe::misuse::Misuse;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rhai::{Dynamic, NativeCallContext};

pub(super) use self::sources::{ScriptFunction, source_key};

use self::sources::Texts;
use super::fault::Fault;
use super::host::Host;
use super::parameter::Parameter;
use super::printing;
use super::script_types::Hands;
use super::settings::Settings;
use super::source::{Located, Location, Source};
use super::usage::Usage;
use super::watch;
use crate::geom::TOLERANCE;
use crate::layout::Panel;
use crate::stock::TileKind;
use crate::watch::Watch;

/// The seed of a run where neither maker nor recipe gives one.
pub const DEFAULT_SEED: u64 = 1;

/// A panel that the vocabulary holds while the recipe still adds to it.
pub trait Draft: Send + Sync {
    /// Its name.
    fn name(&self) -> &str;

    /// Resolves it, when the script has ended.
    ///
    /// # Errors
    /// When it is not complete, or something in it does not fit.
    fn resolve(&self, run: &Run) -> Result<Panel, Fault>;

    /// What the bags held that it was filled from: names of kinds, and how many tiles of each kind.
    fn bag(&self) -> Vec<(String, u64)>;

    /// The panel as recipes handle it.
    fn shared(&self) -> Dynamic;

    /// Its edits by hand, once it is resolved.
    fn hands(&self) -> Hands;
}

/// A draft that the recipe and the run share.
pub type SharedDraft = Arc<dyn Draft>;

/// The state of one run; clones share it.
#[derive(Clone)]
pub struct Run(Arc<Inner>);

impl std::fmt::Debug for Run {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Run")
            .field("settings", &self.0.settings)
            .finish_non_exhaustive()
    }
}

struct Inner {
    settings: Settings,
    host: Arc<dyn Host>,
    usage: Usage,
    state: Mutex<RunState>,
}

/// What grows while the recipe runs.
struct RunState {
    joint_tolerance: f64,
    kinds: BTreeMap<String, Arc<TileKind>>,
    texts: Texts,
    parameters: Vec<Located<Parameter>>,
    own_seed: Option<u64>,
    seed_used: bool,
    panels: Vec<Located<SharedDraft>>,
    held_nowhere: Vec<Location>,
}

impl RunState {
    /// At the start of a run of these texts.
    fn of(texts: Texts) -> Self {
        Self {
            joint_tolerance: TOLERANCE,
            kinds: BTreeMap::new(),
            texts,
            parameters: Vec::new(),
            own_seed: None,
            seed_used: false,
            panels: Vec::new(),
            held_nowhere: Vec::new(),
        }
    }
}

impl Run {
    /// The start of a run of `recipe`.
    pub fn new(recipe: Arc<Source>, settings: Settings, host: Arc<dyn Host>) -> Self {
        let watch = settings.watch.clone();
        let watch = watch.unwrap_or_else(|| watch::begin(&settings.budget));
        Self(Arc::new(Inner {
            usage: Usage::new(settings.budget.clone(), watch),
            settings,
            host,
            state: Mutex::new(RunState::of(Texts::of(recipe))),
        }))
    }

    /// A run for a thread beside this one, in which pure functions of the same recipe are called.
    pub(super) fn worker(&self) -> Self {
        let mut state = RunState::of(self.state().texts.of_a_worker());
        state.own_seed = self.state().own_seed;
        Self(Arc::new(Inner {
            usage: self.0.usage.worker(),
            settings: self.0.settings.clone(),
            host: Arc::clone(&self.0.host),
            state: Mutex::new(state),
        }))
    }

    /// Takes in what a worker did: whether it asked for the seed.
    pub(super) fn take_in(&self, worker: &Self) {
        let used = worker.state().seed_used;
        self.state().seed_used |= used;
    }

    /// The run that a word was called in.
    ///
    /// # Errors
    /// When the engine was built without a run, which the library never does.
    pub fn of(context: &NativeCallContext) -> Result<Self, Fault> {
        context
            .tag()
            .and_then(|tag| tag.clone().try_cast::<Self>())
            .ok_or_else(|| Misuse::NoRun.into())
    }

    /// What the run was given.
    pub fn settings(&self) -> &Settings {
        &self.0.settings
    }

    /// The door to the world.
    pub fn host(&self) -> &dyn Host {
        &*self.0.host
    }

    // Bounds

    /// What the run has spent of its budget.
    pub(super) fn usage(&self) -> &Usage {
        &self.0.usage
    }

    /// The watch over the run, for long loops of other rooms.
    pub fn watch(&self) -> &Watch {
        self.0.usage.watch()
    }

    /// Ends the run when it has taken too long or too much. Native code that loops for long calls
    /// this now and then; it costs next to nothing.
    ///
    /// # Errors
    /// When a bound was passed.
    pub fn pulse(&self) -> Result<(), Fault> {
        self.0.usage.pulse()
    }

    /// Counts tiles that a word is about to place. Call it BEFORE the work, with all of them at once
    /// or in portions of some thousand.
    ///
    /// # Errors
    /// When all panels together have more tiles than the bound.
    pub fn spend_tiles(&self, tiles: usize) -> Result<(), Fault> {
        self.0.usage.tiles(tiles)
    }

    /// How many more tiles there may be in this run.
    pub fn tiles_left(&self) -> usize {
        self.0.usage.tiles_left()
    }

    /// Passes on what a recipe prints: line by line, without control characters.
    pub(super) fn print(&self, text: &str) {
        for line in text.split('\n') {
            if !self.0.usage.line(line.len()) {
                return;
            }
            self.0.host.printed(&printing::printable(line));
        }
    }

    // Seed, parameters, panels

    /// The seed that random choices start from: the maker's, else the recipe's, else 1.
    pub fn seed(&self) -> u64 {
        let mut state = self.state();
        state.seed_used = true;
        self.0
            .settings
            .seed
            .or(state.own_seed)
            .unwrap_or(DEFAULT_SEED)
    }

    /// Whether a random choice was made.
    pub(super) fn is_by_chance(&self) -> bool {
        self.state().seed_used
    }

    /// Sets the recipe's own seed.
    ///
    /// # Errors
    /// When it was set before, or when a random choice was made already.
    pub(super) fn set_own_seed(&self, seed: u64) -> Result<(), Fault> {
        let mut state = self.state();
        if state.own_seed.is_some() {
            return Err(Misuse::SeedTwice.into());
        }
        if state.seed_used {
            return Err(Misuse::SeedTooLate.into());
        }
        state.own_seed = Some(seed);
        Ok(())
    }

    /// Notes a declared parameter.
    ///
    /// # Errors
    /// When there is one of this name already.
    pub(super) fn declare(&self, parameter: Parameter, place: Location) -> Result<(), Fault> {
        let mut state = self.state();
        if let Some(first) = state
            .parameters
            .iter()
            .find(|known| known.thing.name == parameter.name)
        {
            let (line, _) = first.place.line_column();
            return Err(Fault::from(Misuse::ParameterTwice {
                name: parameter.name,
            })
            .label("here again")
            .help(format!(
                "the first one is in line {line} of {}",
                first.place.source.name
            )));
        }
        state.parameters.push(Located {
            thing: parameter,
            place,
        });
        Ok(())
    }

    /// The parameters declared so far, in order.
    pub fn parameters(&self) -> Vec<Parameter> {
        let state = self.state();
        state
            .parameters
            .iter()
            .map(|made| made.thing.clone())
            .collect()
    }

    /// Takes in a panel that a word began; it is resolved when the script has ended.
    ///
    /// # Errors
    /// When there is one of this name already.
    pub fn add_panel(&self, context: &NativeCallContext, panel: SharedDraft) -> Result<(), Fault> {
        let place = self.place(context);
        let mut state = self.state();
        if let Some(first) = (state.panels.iter()).find(|p| p.thing.name() == panel.name()) {
            let (line, _) = first.place.line_column();
            return Err(Fault::from(Misuse::PanelTwice {
                name: panel.name().to_owned(),
            })
            .help(format!(
                "give each a name of its own: the first one is in line {line} of {}",
                first.place.source.name
            )));
        }
        state.panels.push(Located {
            thing: panel,
            place,
        });
        Ok(())
    }

    /// The panels begun, in order.
    pub(super) fn take_panels(&self) -> Vec<Located<SharedDraft>> {
        std::mem::take(&mut self.state().panels)
    }

    /// Notes that a condition held for no cell of its panel.
    pub(super) fn held_nowhere(&self, context: &NativeCallContext) {
        let place = self.place(context);
        self.state().held_nowhere.push(place);
    }

    /// Where a condition held for no cell, in order.
    pub(super) fn take_held_nowhere(&self) -> Vec<Location> {
        std::mem::take(&mut self.state().held_nowhere)
    }

    // Bars and tiles

    /// How far joints of a bar may be open or pressed, in mm.
    pub fn joint_tolerance(&self) -> f64 {
        self.state().joint_tolerance
    }

    /// Sets how far joints of the bars to come may be open or pressed, in mm.
    pub fn set_joint_tolerance(&self, mm: f64) {
        self.state().joint_tolerance = mm;
    }

    /// Records a kind of tile; gives the known one where both are the same.
    ///
    /// # Errors
    /// When another kind has this name.
    pub fn tile_kind(&self, kind: TileKind) -> Result<Arc<TileKind>, Fault> {
        let mut state = self.state();
        let name = kind.name().to_owned();
        if let Some(known) = state.kinds.get(&name) {
            if known.bar() == kind.bar() {
                return Ok(Arc::clone(known));
            }
            return Err(Misuse::TileTwice { name }.into());
        }
        let kind = Arc::new(kind);
        state.kinds.insert(name, Arc::clone(&kind));
        Ok(kind)
    }

    /// All kinds of tiles, by name.
    pub(super) fn kinds(&self) -> Vec<Arc<TileKind>> {
        self.state().kinds.values().cloned().collect()
    }

    /// The panel of this name, where one was begun.
    pub(super) fn panel_named(&self, name: &str) -> Option<SharedDraft> {
        let state = self.state();
        let found = state.panels.iter().find(|made| made.thing.name() == name);
        found.map(|made| Arc::clone(&made.thing))
    }

    /// The names of the panels begun, in order.
    pub(super) fn panel_names(&self) -> Vec<String> {
        let panels = &self.state().panels;
        panels.iter().map(|p| p.thing.name().to_owned()).collect()
    }

    fn state(&self) -> MutexGuard<'_, RunState> {
        lock(&self.0.state)
    }
}

/// A lock that a panic elsewhere cannot make unusable: the data is counters and lists only.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
