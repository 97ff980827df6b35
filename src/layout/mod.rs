//! Layouts: which tile goes where, and the panel that comes of it.
//!
//! lattice -> cells (by size) -> filling (by rules, chance or one by one) -> resolved panel -> tally;
//! or tiles placed freely -> resolved panel.
//!
//! Lives here: lattices, the choice of a tile for each cell, trimming, the tally, and the checks
//! that nothing overlaps or is left open. Never here: how tiles are made, recipes, drawing, files.

mod apart;
mod cell;
pub mod cells;
pub mod colouring;
pub mod constraints;
pub mod cut_out;
pub mod edges;
pub mod error;
pub mod extent;
mod faces;
pub mod filling;
pub mod fits;
pub mod free;
pub mod images;
pub mod lattice;
mod lattice_joints;
pub mod laying;
mod limits;
pub mod nesting;
mod palette;
pub mod panel;
pub mod pieces;
pub mod random;
pub mod resolve;
pub mod shape;
pub mod shifts;
pub mod slats;
pub mod solver;
pub mod tally;
pub mod tile_joints;
pub mod trim;
pub mod window;

pub use cell::NumberedCell;
pub use cells::Cells;
pub use error::LayoutError;
pub use extent::Extent;
pub use faces::MOST_LAYERS_SHOWN;
pub use filling::{Filling, Order, Rule};
pub use free::Placements;
pub use lattice::Lattice;
pub use palette::Palette;
pub use panel::{Cell, Panel};
pub use resolve::resolve;
pub use tally::Tally;
pub use tile_joints::tile_joints;
pub use trim::Trim;
