//! Plyloom: patterned plywood from a short recipe.

pub mod draw;
pub mod geom;
pub mod layout;
pub mod recipe;
pub mod stock;
