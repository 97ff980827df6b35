//! Looking for patterns: what symmetry a pattern has, and in how many ways tiles can be turned.
//!
//! Lives here: symmetry groups of patterns, distinct arrangements of a small repeat, measures of a
//! panel; sweeps over a recipe's parameters and seeds, which of them are alike, which to show, and
//! the forms of a pinned choice and of a link. Never here: how recipes run, drawing, files, the terminal.

pub mod alike;
pub mod around;
pub mod axis;
pub mod bar_turns;
pub mod choose;
pub mod counting;
pub mod enumeration;
pub mod error;
mod field;
pub mod index;
pub mod known_faces;
pub mod limits;
pub mod link;
mod matching;
pub mod material;
pub mod measured;
pub mod measures;
pub mod moves;
pub mod panel_facts;
pub mod parameter_value;
pub mod pattern;
pub mod periods;
pub mod pinned;
pub mod plane_group;
pub mod repeat;
pub mod repeated_panel;
mod shifts;
pub mod spread;
pub mod sweep;
mod sweep_error;
mod sweep_range;
pub mod symmetries;
mod vertex_signature;

pub use error::ExploreError;
