//! Plyloom: patterned plywood from a short recipe.

pub mod geom;
pub mod layout;
pub mod recipe;
pub mod sight;
pub mod stock;
