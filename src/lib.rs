//! Plyloom: patterned plywood from a short recipe.

pub mod geom;
pub mod layout;
pub mod plan;
pub mod recipe;
pub mod stock;
