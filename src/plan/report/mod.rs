//! The plan in plain words: sections of entries, put together once and shown anywhere.
//!
//! A terminal indents what stands below; a page makes lists of it. Names of a recipe or of a shop
//! file stand here as they were written: whoever shows them makes them harmless for its own form.
//! Never here: markup, the width of lines, drawing.

mod boards;
mod brief;
mod count;
mod cutting;
mod glue_steps;
mod gluing;
mod loaf;
mod panel_steps;
mod rip_steps;
mod section;
mod steps;
mod tolerances;
mod totals;

pub use self::{
    boards::boards,
    brief::brief,
    count::{bars, loaves, rips, sheets, short, strips, tiles},
    cutting::{SetUp, set_ups},
    glue_steps::{lies, lies_in_loaf},
    gluing::{after_gluing, gluing},
    loaf::ways,
    section::{Entry, Section, Span},
    steps::{MEASURED, StepWords, cut_length, fetch, steps},
    tolerances::{BarWords, TRIAL_BAR, bars_told},
    totals::{assumed, from_stock, to_buy, totals, wood},
};
