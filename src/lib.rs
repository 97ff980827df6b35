//! Plyloom: patterned plywood from a short recipe.

pub mod files;
pub mod recipe;
