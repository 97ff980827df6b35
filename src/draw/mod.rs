//! Drawings.
//!
//! Lives here: SVG text from resolved data. Never here: recipes, files, the terminal.

pub mod saw_setup;
