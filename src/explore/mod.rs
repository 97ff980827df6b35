//! Looking for patterns: what symmetry a pattern has, and in how many ways tiles can be turned.
//!
//! Lives here: symmetry groups of patterns, distinct arrangements of a small repeat, measures of a
//! panel. Never here: how recipes run, drawing, files, the terminal.

pub mod bar_turns;
pub mod counting;
pub mod error;
mod field;
pub mod laid;
pub mod listing;
mod matching;
pub mod measures;
pub mod moves;
pub mod pattern;
pub mod periods;
pub mod plane_group;
pub mod repeat;
mod shifts;
mod star;
pub mod symmetries;

pub use error::ExploreError;
