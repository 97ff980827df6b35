//! The wood: layers, sheets, strips, bars, tiles.
//!
//! layers are laminated to a sheet, a sheet is ripped to strips, strips are glued to a bar, a bar
//! is sliced to tiles. Every step keeps where each layer lies, in mm.
//!
//! Lives here: sections and faces, and the checks that wood obeys. Never here: where tiles go in a
//! panel, what a saw must be set to, recipes, drawing.

pub mod bar;
pub mod colour;
pub mod comparison;
pub mod error;
pub mod face;
pub mod hexagon;
pub mod layer;
pub mod shapes;
pub mod sheet;
pub mod strip;
pub mod symmetry;
pub mod tile;
pub mod use_up;

pub use bar::Bar;
pub use colour::Colour;
pub use comparison::Comparison;
pub use error::StockError;
pub use face::Face;
pub use layer::{Grain, Layer, LayerKind};
pub use sheet::Sheet;
pub use strip::Strip;
pub use tile::{Pose, Tile, TileKind};
