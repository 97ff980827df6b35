//! Plyloom: patterned plywood from a short recipe.

pub mod draw;
pub mod geom;
pub mod layout;
pub mod recipe;
pub mod stock;

pub mod files;
pub mod live;

pub mod cli;
