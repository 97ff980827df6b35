//! A panel while the recipe works on it.
//!
//! First its size, then its tiles: with the first fill the cells are laid out, and the size stays.
//! It is resolved when the script has ended.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rhai::{EvalAltResult, NativeCallContext};

use crate::layout::{self, Cells, Extent, Filling, Lattice, LayoutError, Placements};
use crate::recipe::fault::Fault;
use crate::recipe::outcome::Draft;
use crate::recipe::run::Run;
use crate::recipe::source::Place;
use crate::stock::Tile;

/// A panel that recipe and run share; clones are the same panel.
#[derive(Debug, Clone)]
pub struct Panel(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    name: String,
    state: Mutex<State>,
}

#[derive(Debug)]
struct State {
    extent: Extent,
    tiles: Tiles,
}

#[derive(Debug)]
enum Tiles {
    /// On a lattice, without cells yet.
    Unfilled(Arc<Lattice>),
    /// On a lattice.
    Filled(Filling),
    /// On a lattice, and a function of the recipe is filling it now.
    BeingFilled,
    /// Placed one by one, with where in the recipe each was placed.
    Free(Placements, Vec<Place>),
}

impl Panel {
    /// Begins a panel at the place of the call.
    pub(super) fn begin(
        context: &NativeCallContext,
        name: &str,
        lattice: Option<Arc<Lattice>>,
    ) -> Result<Self, Fault> {
        let name = name.trim();
        if name.is_empty() {
            return Err(Fault::new("layout::no_name", "a panel needs a name")
                .help("panel(\"tray\", squares(tile))"));
        }
        let run = Run::of(context)?;
        let panel = Self(Arc::new(Inner {
            name: name.to_owned(),
            state: Mutex::new(State {
                extent: Extent::default(),
                tiles: lattice.map_or_else(
                    || Tiles::Free(Placements::default(), Vec::new()),
                    Tiles::Unfilled,
                ),
            }),
        }));
        run.add_panel(context, Arc::new(panel.clone()))?;
        Ok(panel)
    }

    /// Changes the size.
    pub(super) fn resize(
        &self,
        change: impl FnOnce(&mut Extent) -> Result<(), LayoutError>,
    ) -> Result<Self, Fault> {
        let mut state = self.state();
        if matches!(state.tiles, Tiles::Filled(_) | Tiles::BeingFilled) {
            return Err(Fault::new(
                "layout::size_too_late",
                "the size of a panel cannot change once it is being filled",
            )
            .help("write size(...), finished(...) and shift(...) before the first fill"));
        }
        change(&mut state.extent)?;
        drop(state);
        Ok(self.clone())
    }

    /// Works on the filling; the cells are laid out now if they were not. The panel is not locked
    /// meanwhile, as a function of the recipe may look at it.
    pub(super) fn with_filling(
        &self,
        run: &Run,
        work: impl FnOnce(&mut Filling) -> Result<(), Box<EvalAltResult>>,
    ) -> Result<(), Box<EvalAltResult>> {
        let mut filling = self.take_filling(run)?;
        let result = work(&mut filling);
        self.state().tiles = Tiles::Filled(filling);
        result
    }

    fn take_filling(&self, run: &Run) -> Result<Filling, Fault> {
        let mut state = self.state();
        match std::mem::replace(&mut state.tiles, Tiles::BeingFilled) {
            Tiles::Filled(filling) => Ok(filling),
            Tiles::Unfilled(lattice) => {
                let made = Cells::new(Arc::clone(&lattice), &state.extent, run.tiles_left())
                    .map_err(Fault::from)
                    .and_then(|cells| run.spend_tiles(cells.list().len()).map(|()| cells));
                match made {
                    Ok(cells) => Ok(Filling::new(Arc::new(cells))),
                    Err(fault) => {
                        state.tiles = Tiles::Unfilled(lattice);
                        Err(fault)
                    }
                }
            }
            Tiles::BeingFilled => Err(Fault::new(
                "layout::fill_in_fill",
                "a panel cannot be filled from inside a function that is filling it",
            )
            .help("give the tile back from the function instead")),
            free @ Tiles::Free(..) => {
                state.tiles = free;
                Err(Fault::new(
                    "layout::no_lattice",
                    "this panel has no lattice, so there are no cells to fill",
                )
                .help("begin it with one: panel(\"tray\", squares(tile)), or place(tile, x, y) each tile"))
            }
        }
    }

    /// Places one tile.
    pub(super) fn place(
        &self,
        context: &NativeCallContext,
        tile: Tile,
        x: f64,
        y: f64,
    ) -> Result<Self, Fault> {
        let run = Run::of(context)?;
        let mut state = self.state();
        let Tiles::Free(placements, places) = &mut state.tiles else {
            return Err(Fault::new(
                "layout::has_lattice",
                "this panel has a lattice, so its tiles go into cells",
            )
            .help("fill it, or begin one without a lattice: panel(\"tray\")"));
        };
        run.spend_tiles(1)?;
        placements.place(tile, x, y)?;
        places.push(run.place(context));
        drop(state);
        Ok(self.clone())
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.0.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Draft for Panel {
    fn name(&self) -> &str {
        &self.0.name
    }

    fn resolve(&self, run: &Run) -> Result<layout::Panel, Fault> {
        let state = self.state();
        let name = &self.0.name;
        match &state.tiles {
            Tiles::Filled(filling) => {
                Ok(layout::resolve_on(name, filling, run.settings().threads)?)
            }
            Tiles::Free(placements, places) => {
                placements.resolve(name, &state.extent).map_err(|error| {
                    // The tile that came last of those to blame; none: the panel itself.
                    let blamed = error
                        .placed()
                        .and_then(|number| places.get(number))
                        .cloned();
                    let mut fault = Fault::from(error);
                    fault.place = blamed;
                    fault
                })
            }
            Tiles::Unfilled(_) | Tiles::BeingFilled => Err(Fault::new(
                "layout::not_filled",
                format!("the panel {name:?} is never filled"),
            )
            .help("give it a size and tiles: .size(8, 6).fill(tile)")),
        }
    }

    fn bag(&self) -> Vec<(String, u64)> {
        match &self.state().tiles {
            Tiles::Filled(filling) => filling.bag().to_vec(),
            _ => Vec::new(),
        }
    }
}
