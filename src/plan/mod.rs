//! The shop plan: from a resolved panel back to tiles, slices, bars, strips, rips and sheets, and
//! to the saw that cuts them.
//!
//! Lives here: what a shop has ([`shop`]), counting back and its sums ([`count`]), glue, mass and
//! cost ([`count::cost`]), which scraps to rip ([`scraps`]), what tiles in hand can fill ([`parts`]), how the
//! saw is set for each cut ([`saw`]), how errors of the saw come out ([`tolerance`]), what a trial bar
//! tells ([`trial`]), glue-up ([`glue_up`]), whether a loaf is less work ([`loaf`]), and cautions; all of it
//! together ([`Plan`]), and in words ([`report`]). Never here: recipes, drawing, the terminal, files. A shop file
//! comes in as text; whoever calls has read it.

pub mod cautions;
pub mod count;
pub mod figure;
pub mod glue_up;
pub mod loaf;
pub mod parts;
pub mod report;
pub mod rounds;
pub mod saw;
pub mod scraps;
pub mod shop;
pub mod steps;
pub mod tolerance;
pub mod trial;
pub mod units;
mod whole;

pub use count::{CountBack, PlanError, count_back};
pub use figure::{Figure, Unit};
pub use shop::Shop;
pub use shop::error::ShopError;
pub use units::Units;
pub use whole::{BarPlan, OverPanel, Plan};
