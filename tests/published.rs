//! Checks of the main job against published values. Each file names its sources.
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test may stop at once, and checks our trigonometry by another one"
)]

#[path = "published/colours.rs"]
mod colours;
#[path = "published/eyes.rs"]
mod eyes;
#[path = "published/plane_groups.rs"]
mod plane_groups;
#[path = "published/plywood.rs"]
mod plywood;
#[path = "published/polygons.rs"]
mod polygons;
#[path = "published/sheen.rs"]
mod sheen;
