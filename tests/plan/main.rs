//! The shop plan: counting back, saw set-ups, tolerances, trial bars, glue-up.

#[path = "../common/mod.rs"]
mod common;
mod count;
mod glue_up;
mod page;
mod parts;
mod saw;
mod scraps;
mod template;
mod tolerance;
mod trial;
mod words;
