//! The types that recipes handle: wood, lattices, rules, panels and their cells, all cheap to clone. What can
//! be done with them is in the vocabulary.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use super::fault::Fault;
use super::source::Location;
use crate::geom::Region;
use crate::layout::laying::LaidTiles;
use crate::layout::random::CellDraws;
use crate::layout::solver::LayoutRule;
use crate::layout::{self, Cells, Extent, Filling, Placements};
use crate::stock;

/// A layer.
#[derive(Debug, Clone)]
pub struct Layer(pub stock::Layer);

/// A sheet.
#[derive(Debug, Clone)]
pub struct Sheet(pub Arc<stock::Sheet>);

/// A strip.
#[derive(Debug, Clone)]
pub struct Strip(pub Arc<stock::Strip>);

/// A bar.
#[derive(Debug, Clone)]
pub struct Bar(pub Arc<stock::Bar>);

/// A tile in some pose.
#[derive(Debug, Clone)]
pub struct Tile(pub stock::Tile);

/// A lattice, and the tile that it was made for.
#[derive(Debug, Clone)]
pub struct Lattice {
    /// Its cells.
    pub lattice: Arc<layout::Lattice>,
    /// The tile as it stands: it fits every cell.
    pub tile: stock::Tile,
}

/// The shape that a panel is trimmed to.
#[derive(Debug, Clone)]
pub struct Outline {
    /// What it is.
    pub shape: layout::trim::TrimShape,
    /// What it encloses.
    pub region: Arc<Region>,
}

/// A piece to cut out of a panel.
#[derive(Debug, Clone)]
pub struct Piece(pub layout::pieces::Unplaced);

/// A rule that fills cells.
#[derive(Debug, Clone)]
pub struct Rule(pub Arc<layout::Rule>);

/// A condition that a whole panel is to keep.
#[derive(Debug, Clone)]
pub struct Condition(pub Arc<LayoutRule>);

/// Tiles and the conditions under which they fill a panel.
#[derive(Debug, Clone)]
pub struct Conditions(pub Arc<Kept>);

impl From<stock::Sheet> for Sheet {
    fn from(sheet: stock::Sheet) -> Self {
        Self(Arc::new(sheet))
    }
}

impl From<stock::Strip> for Strip {
    fn from(strip: stock::Strip) -> Self {
        Self(Arc::new(strip))
    }
}

impl From<stock::Bar> for Bar {
    fn from(bar: stock::Bar) -> Self {
        Self(Arc::new(bar))
    }
}

/// Tiles and the conditions under which they fill a panel.
#[derive(Debug)]
pub struct Kept {
    pub(in crate::recipe) name: String,
    pub(in crate::recipe) tiles: Vec<stock::Tile>,
    pub(in crate::recipe) conditions: Vec<LayoutRule>,
}

/// What the cells of one panel share.
#[derive(Debug)]
pub struct CellShared {
    pub(in crate::recipe) cells: Arc<Cells>,
    pub(in crate::recipe) draws: Mutex<BTreeMap<String, CellDraws>>,
}

/// A cell of a panel.
#[derive(Debug, Clone)]
pub struct Cell {
    pub(in crate::recipe) shared: Arc<CellShared>,
    pub(in crate::recipe) number: usize,
}

/// A panel that recipe and run share; clones are the same panel.
#[derive(Debug, Clone)]
pub struct Panel(pub(in crate::recipe) Arc<PanelInner>);

/// What the clones of a panel share.
#[derive(Debug)]
pub struct PanelInner {
    pub(in crate::recipe) name: String,
    pub(in crate::recipe) state: Mutex<PanelState>,
}

/// The size and the tiles of a panel so far.
#[derive(Debug)]
pub struct PanelState {
    pub(in crate::recipe) extent: Extent,
    pub(in crate::recipe) tiles: PanelTiles,
    /// What is laid by hand, each with where it is written; it goes over all fills.
    pub(in crate::recipe) laid: Vec<(LaidTiles, Location)>,
    /// Whether it is ripped to slats: then it stays as it is.
    pub(in crate::recipe) ripped: bool,
    /// What became of it.
    pub(in crate::recipe) hands: Hands,
}

/// How far the filling of a panel has come.
#[derive(Debug)]
pub enum PanelTiles {
    /// On a lattice, without cells yet.
    Unfilled(Lattice),
    /// On a lattice.
    Filled(Filling),
    /// On a lattice, and a function of the recipe is filling it now.
    BeingFilled,
    /// Placed one by one, with where in the recipe each was placed.
    Free(Placements, Vec<Location>),
}

/// What can be laid by hand in a panel, and what was.
#[derive(Debug, Clone, Default)]
pub struct Hands {
    /// Its cells; none where its tiles are placed one by one.
    pub cells: Option<Arc<Cells>>,
    /// The cells that `lay` filled, each with the tile that the rules had put there.
    pub laid: BTreeMap<layout::Cell, Option<stock::Tile>>,
    /// How many cells `lay` names that the panel does not have, and the first few of them.
    pub outside: (u64, Vec<layout::Cell>),
    /// Where `lay` is called for it, in the order of the calls.
    pub blocks: Vec<Location>,
}

/// Rust names and words of these types.
pub fn types() -> Vec<(&'static str, &'static str)> {
    use std::any::type_name;
    vec![
        (type_name::<Layer>(), "layer"),
        (type_name::<Sheet>(), "sheet"),
        (type_name::<Strip>(), "strip"),
        (type_name::<Bar>(), "bar"),
        (type_name::<Tile>(), "tile"),
        (type_name::<Lattice>(), "lattice"),
        (type_name::<Outline>(), "outline"),
        (type_name::<Piece>(), "piece"),
        (type_name::<Rule>(), "rule"),
        (type_name::<Condition>(), "condition"),
        (type_name::<Conditions>(), "rule with conditions"),
        (type_name::<Panel>(), "panel"),
        (type_name::<Cell>(), "cell"),
        (type_name::<Fault>(), "fault"),
    ]
}
