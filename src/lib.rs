//! Plyloom: patterned plywood from a short recipe.

pub mod recipe;
