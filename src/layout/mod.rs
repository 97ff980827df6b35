//! Layouts: which tile goes where, and the panel that comes of it.
//!
//! Lives here: lattices, the choice of a tile for each cell, trimming, the tally, and the checks
//! that nothing overlaps or is left open. Never here: how tiles are made, recipes, drawing, files.

pub mod panel;
