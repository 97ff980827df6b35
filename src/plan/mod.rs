//! The plan: from a panel back to the shop.
//!
//! Lives here: what must be sawn and how the saw is set for it, how errors of the saw come out,
//! what a trial bar tells, how a panel is glued up. Never here: recipes, drawing, files, terminal.

pub mod cautions;
pub mod cut_sequence;
pub mod glue_up;
pub mod glue_up_words;
pub mod saw;
pub mod saw_again;
pub mod saw_number;
pub mod saw_rip;
pub mod saw_settings;
pub mod saw_words;
pub mod tolerance;
pub mod tolerance_measure;
pub mod tolerance_words;
pub mod trial;
mod trial_judge;
mod trial_solve;
pub mod trial_words;
