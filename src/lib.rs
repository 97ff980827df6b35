//! Plyloom: patterned plywood from a short recipe.

pub mod geom;

pub mod recipe;

pub mod files;
pub mod live;

pub mod cli;
