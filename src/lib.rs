//! Plyloom: patterned plywood from a short recipe.
