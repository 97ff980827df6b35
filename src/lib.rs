//! Plyloom: patterned plywood from a short recipe.

pub mod geom;
pub mod recipe;
