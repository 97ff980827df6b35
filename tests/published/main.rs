//! Checks of the main job against published values. Each file names its sources.
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test may stop at once, and checks our trigonometry by another one"
)]

mod colours;
mod eyes;
mod gluing;
mod known_patterns;
mod plane_groups;
mod plywood;
mod polygons;
mod sheen;
