//! Plyloom: patterned plywood from a short recipe.

pub mod draw;
pub mod explore;
pub mod geom;
pub mod layout;
pub mod plan;
pub mod recipe;
pub mod sight;
pub mod stock;

pub mod files;
pub mod live;

pub mod cli;
