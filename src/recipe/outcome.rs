//! The result of a recipe that succeeded.

use std::collections::BTreeMap;
use std::sync::Arc;

use rhai::{Array, Dynamic};

use super::about::About;
use super::ended::at_call;
use super::fault::Fault;
use super::parameter::Parameter;
use super::run::{Run, SharedDraft};
pub use super::script_types::Hands;
use super::source::{Located, Location, Source};
use super::vocabulary::wood;
use crate::layout::panel::Panel;
use crate::layout::{LayoutError, MOST_LAYERS_SHOWN};
use crate::stock::{Tile, TileKind};

/// The name that a recipe has for a tile when it has ended: `block`, `woods[2]`.
#[derive(Debug, Clone)]
pub struct Named {
    /// As a recipe writes it.
    pub written: String,
    /// The tile.
    pub tile: Tile,
}

/// What one run of a recipe gave.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// What its author says of it; empty where that is nothing.
    pub about: About,
    /// What the authors of its rule modules say of them, by their number in `sources`.
    pub credits: BTreeMap<usize, About>,
    /// The version of the language that it is written for.
    pub language: u32,
    /// How far joints of bars might be open or pressed at the end, in mm.
    pub joint_tolerance: f64,
    /// All kinds of tiles that were sliced, by name.
    pub kinds: Vec<Arc<TileKind>>,
    /// What the recipe itself calls its tiles.
    pub named: Vec<Named>,
    /// For each panel its edits by hand, and where in the recipe it is begun.
    pub hands: Vec<Located<Hands>>,
    /// The panels, in the order in which the recipe began them.
    pub panels: Vec<Panel>,
    /// For each panel what the bags held that it was filled from: names of kinds, and how many tiles
    /// of each; empty where it was filled from none.
    pub bags: Vec<Vec<(String, u64)>>,
    /// The parameters, in the order in which the recipe declared them.
    pub parameters: Vec<Parameter>,
    /// The seed that random choices started from.
    pub seed: u64,
    /// Whether anything was chosen by chance.
    pub chance: bool,
    /// Every source that was read: the recipe first, then its modules in the order of loading.
    pub sources: Vec<Arc<Source>>,
    /// What each of these sources is: `./rings` of the recipe's own folder or `plyloom/rings` of the
    /// library; an empty text for the recipe.
    pub modules: Vec<String>,
    /// Where `fill_where` was called with a condition that held for no cell.
    pub held_nowhere: Vec<Location>,
    /// Script operations that the run took.
    pub operations: u64,
}

/// Resolves what a recipe began, when its script has ended.
///
/// # Errors
/// What the first panel that cannot be resolved objects to, and where it was begun.
pub(super) fn finish(
    run: &Run,
    begun: &[Located<SharedDraft>],
) -> Result<Vec<Panel>, (Fault, Location)> {
    let mut layers = 0;
    begun
        .iter()
        .map(|made| {
            let of_place = |fault| (fault, made.place.clone());
            let panel = at_call(|| made.thing.resolve(run))
                .and_then(|panel| panel)
                .map_err(of_place)?;
            layers += panel
                .faces
                .iter()
                .map(|f| f.face.regions().len())
                .sum::<usize>();
            if layers > MOST_LAYERS_SHOWN {
                return Err(of_place(
                    LayoutError::TooManyLayers {
                        most: MOST_LAYERS_SHOWN,
                    }
                    .into(),
                ));
            }
            Ok(panel)
        })
        .collect()
}

/// The edits by hand of a panel.
pub(super) fn hands(made: &Located<SharedDraft>) -> Located<Hands> {
    Located {
        thing: made.thing.hands(),
        place: made.place.clone(),
    }
}

/// Tiles that have a name where a recipe ends: variables, and entries of lists.
pub(super) fn named(scope: &rhai::Scope<'_>) -> Vec<Named> {
    /// The most entries of one list that are named.
    const MOST: usize = 200;
    let mut found: Vec<Named> = Vec::new();
    let mut seen = std::collections::BTreeSet::new();
    let mut variables: Vec<(&str, bool, Dynamic)> = scope.iter().collect();
    // Of variables of one name, the latest counts.
    variables.reverse();
    variables.retain(|(name, ..)| seen.insert(*name));
    variables.reverse();
    for (name, _, value) in &variables {
        if let Some(tile) = value.read_lock::<wood::Tile>() {
            found.push(Named {
                written: (*name).to_owned(),
                tile: tile.0.clone(),
            });
        } else if let Some(list) = value.read_lock::<Array>() {
            for (i, entry) in list.iter().enumerate().take(MOST) {
                if let Some(tile) = entry.read_lock::<wood::Tile>() {
                    found.push(Named {
                        written: format!("{name}[{i}]"),
                        tile: tile.0.clone(),
                    });
                }
            }
        }
    }
    found.truncate(MOST);
    found
}
