//! The shop plan: from a resolved panel back to tiles, slices, bars, strips, rips and sheets, and
//! to the saw that cuts them.
//!
//! Lives here: what a shop has ([`shop`]), counting back and its sums ([`count`]), glue, mass and
//! cost ([`cost`]), which scraps to rip ([`scraps`]), what tiles in hand can fill ([`parts`]), how the
//! saw is set for each cut ([`saw`]), how errors of the saw come out ([`tolerance`]), what a trial bar
//! tells ([`trial`]), glue-up ([`glue_up`]), and cautions. Never here: recipes, drawing, the terminal,
//! files. A shop file comes in as text; whoever calls has read it.

pub mod cautions;
pub mod cost;
pub mod count;
pub mod count_balance;
pub mod count_cut;
pub mod count_lay;
mod count_lines;
pub mod count_ripped;
pub mod count_sheets;
pub mod count_strips;
pub mod cut_sequence;
pub mod figure;
pub mod glue_up;
pub mod glue_up_words;
pub mod parts;
pub mod saw;
pub mod saw_again;
pub mod saw_number;
pub mod saw_rip;
pub mod saw_settings;
pub mod saw_words;
pub mod scraps;
mod scraps_greedy;
mod scraps_programme;
mod scraps_solve;
pub mod shop;
pub mod shop_error;
mod shop_file;
mod shop_value;
pub mod tolerance;
pub mod tolerance_measure;
pub mod tolerance_words;
pub mod trial;
mod trial_judge;
mod trial_solve;
pub mod trial_words;
pub mod units;

pub use count::{CountBack, PlanError, count_back};
pub use figure::{Figure, Unit};
pub use shop::Shop;
pub use shop_error::ShopError;
pub use units::Units;
