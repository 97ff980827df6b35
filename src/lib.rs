//! Plyloom: patterned plywood from a short recipe.
//!
//! Data goes one way. A recipe (Rhai text) is evaluated within bounds; its words build the wood
//! (layers are laminated to a sheet, a sheet is ripped to strips, strips are glued to a bar, a bar
//! is sliced to tiles) and choose a tile for each place of a panel. The resolved panel, with
//! everything in millimetres and nothing left to choose, is what drawings, measures and the shop
//! plan are pure functions of. Only the last modules, of the feature `program`, which is on by
//! default, reach files and the terminal. Without it the crate needs no operating system.
//!
//! Lengths are in mm and angles in degrees; x runs right, y runs down, turns are clockwise as seen.
//! The same recipe, seed and settings give the same bytes on any machine.

#![forbid(unsafe_code)]

pub mod geom;
pub mod stock;
pub mod watch;

pub mod layout;

pub mod appearance;
pub mod plan;
pub mod recipe;

pub mod draw;

pub mod bundle;
pub mod check;
pub mod explore;

pub mod edge;
pub mod session;

#[cfg(feature = "program")]
pub mod files;
#[cfg(feature = "program")]
pub mod live;
#[cfg(feature = "program")]
pub mod rack;

#[cfg(feature = "program")]
pub mod cli;
