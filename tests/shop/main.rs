//! A simulated shop that knows nothing of the planner carries out the steps of plans, as their JSON
//! tells them, and holds what comes of it against the recipe.
#![allow(clippy::cast_precision_loss, reason = "counts of pieces are small")]

mod bench;
mod carried_out;
mod crosscut;
mod demos;
mod fewest;
mod gluing;
mod loaves;
mod objects;
mod panels;
mod pieces;
mod random;
mod recipes;
mod rip;
mod saw;
mod section;
mod slats;
mod thickness;
mod told;
