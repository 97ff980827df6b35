//! A panel while the recipe works on it.
//!
//! First its size, then its tiles: with the first fill the cells are laid out, and the size stays.
//! It is resolved when the script has ended.

use crate::recipe::misuse::Misuse;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rhai::{Dynamic, EvalAltResult, NativeCallContext};

use crate::layout::laying::LaidTiles;
use crate::layout::{self, Cells, Extent, Filling, LayoutError, Placements};
use crate::recipe::fault::Fault;
use crate::recipe::run::{Draft, Run};
use crate::recipe::script_types::{Hands, Lattice, Panel, PanelInner, PanelState, PanelTiles};
use crate::recipe::source::Location;
use crate::stock::Tile;

use super::laying;

impl Panel {
    /// Begins a panel at the place of the call.
    pub(super) fn begin(
        context: &NativeCallContext,
        name: &str,
        lattice: Option<Lattice>,
    ) -> Result<Self, Fault> {
        let name = name.trim();
        if name.is_empty() {
            return Err(Misuse::NamelessPanel.into());
        }
        let run = Run::of(context)?;
        let panel = Self(Arc::new(PanelInner {
            name: name.to_owned(),
            state: Mutex::new(PanelState {
                extent: Extent::default(),
                tiles: lattice.map_or_else(
                    || PanelTiles::Free(Placements::default(), Vec::new()),
                    PanelTiles::Unfilled,
                ),
                laid: Vec::new(),
                ripped: false,
                hands: Hands::default(),
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
        if matches!(state.tiles, PanelTiles::Filled(_) | PanelTiles::BeingFilled) {
            return Err(Misuse::SizeTooLate.into());
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
        self.state().tiles = PanelTiles::Filled(filling);
        result
    }

    fn take_filling(&self, run: &Run) -> Result<Filling, Fault> {
        let mut state = self.state();
        self.may_change(&state)?;
        match std::mem::replace(&mut state.tiles, PanelTiles::BeingFilled) {
            PanelTiles::Filled(filling) => Ok(filling),
            PanelTiles::Unfilled(lattice) => {
                let made = Cells::new(
                    Arc::clone(&lattice.lattice),
                    &state.extent,
                    run.tiles_left(),
                )
                .map_err(Fault::from)
                .and_then(|cells| run.spend_tiles(cells.list().len()).map(|()| cells));
                match made {
                    Ok(cells) => Ok(Filling::new(Arc::new(cells))),
                    Err(fault) => {
                        state.tiles = PanelTiles::Unfilled(lattice);
                        Err(fault)
                    }
                }
            }
            PanelTiles::BeingFilled => Err(Misuse::FillInFill.into()),
            free @ PanelTiles::Free(..) => {
                state.tiles = free;
                Err(without_cells("filled"))
            }
        }
    }

    /// Lays tiles by hand, over whatever the fills give.
    pub(super) fn lay(&self, laid: LaidTiles, place: Location) -> Result<(), Fault> {
        let mut state = self.state();
        self.may_change(&state)?;
        if matches!(state.tiles, PanelTiles::Free(..)) {
            return Err(without_cells("laid in"));
        }
        state.laid.push((laid, place));
        Ok(())
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
        self.may_change(&state)?;
        let PanelTiles::Free(placements, places) = &mut state.tiles else {
            return Err(Misuse::HasLattice.into());
        };
        run.spend_tiles(1)?;
        placements.place(tile, x, y)?;
        places.push(run.place(context));
        drop(state);
        Ok(self.clone())
    }

    /// Ripped to slats: from now on it stays as it is.
    pub(super) fn ripped(&self, run: &Run) -> Result<layout::Panel, Fault> {
        self.may_change(&self.state())?;
        let panel = self.resolve(run)?;
        self.state().ripped = true;
        Ok(panel)
    }

    fn may_change(&self, state: &PanelState) -> Result<(), Fault> {
        if state.ripped {
            let name = self.0.name.clone();
            return Err(Misuse::RippedAlready { name }.into());
        }
        Ok(())
    }

    fn state(&self) -> MutexGuard<'_, PanelState> {
        self.0.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Draft for Panel {
    fn name(&self) -> &str {
        &self.0.name
    }

    fn resolve(&self, run: &Run) -> Result<layout::Panel, Fault> {
        let unfilled = match &self.state().tiles {
            PanelTiles::Unfilled(lattice) => Some(lattice.tile.clone()),
            _ => None,
        };
        if let Some(tile) = unfilled {
            let mut filling = self.take_filling(run)?;
            for number in 0..filling.cells().list().len() {
                filling.put(number, &tile);
            }
            self.state().tiles = PanelTiles::Filled(filling);
        }
        let mut state = self.state();
        let PanelState {
            extent,
            tiles,
            laid,
            hands,
            ..
        } = &mut *state;
        let name = &self.0.name;
        match tiles {
            PanelTiles::Filled(filling) => {
                *hands = lay_all(run, name, filling, laid)?;
                layout::resolve(name, filling, run.settings().threads).map_err(|error| {
                    let laid = error.cell().filter(|cell| hands.laid.contains_key(cell));
                    let place = laid.and_then(|_| hands.blocks.last().cloned());
                    let mut fault = Fault::from(error);
                    fault.place = place;
                    fault
                })
            }
            PanelTiles::Free(placements, places) => {
                placements.resolve(name, extent).map_err(|error| {
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
            PanelTiles::Unfilled(_) | PanelTiles::BeingFilled => {
                Err(Misuse::NotFilled { name: name.clone() }.into())
            }
        }
    }

    fn bag(&self) -> Vec<(String, u64)> {
        match &self.state().tiles {
            PanelTiles::Filled(filling) => filling.bag().to_vec(),
            _ => Vec::new(),
        }
    }

    fn shared(&self) -> Dynamic {
        Dynamic::from(self.clone())
    }

    fn hands(&self) -> Hands {
        self.state().hands.clone()
    }
}

/// Lays what hands laid, one block after the other.
fn lay_all(
    run: &Run,
    name: &str,
    filling: &mut Filling,
    laid: &[(LaidTiles, Location)],
) -> Result<Hands, Fault> {
    let cells = Arc::clone(filling.cells());
    let mut hands = Hands {
        cells: Some(Arc::clone(&cells)),
        blocks: laid.iter().map(|(_, place)| place.clone()).collect(),
        ..Hands::default()
    };
    for (laid, place) in laid {
        run.pulse()?;
        let before = filling.clone();
        let lying = filling
            .lay(laid)
            .map_err(|error| Fault::from(error).at(place.clone()))?;
        let own = lying.by_hand.iter().zip(cells.list()).enumerate();
        for (number, (_, &cell)) in own.filter(|(_, (laid, _))| **laid) {
            let rule = || before.tile(number).cloned();
            hands.laid.entry(cell).or_insert_with(rule);
        }
        hands.outside.0 += lying.outside;
        hands.outside.1.extend(lying.first_outside);
    }
    if hands.outside.0 > 0 {
        run.print(&laying::outside(name, &hands.outside));
    }
    Ok(hands)
}

/// The fault that a panel has no cells to be filled.
fn without_cells(how: &'static str) -> Fault {
    Misuse::NoLattice { how }.into()
}
