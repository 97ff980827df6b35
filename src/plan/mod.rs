//! The shop plan: from a resolved panel back to tiles, slices, bars, strips, rips and sheets.
//!
//! Lives here: what a shop has ([`shop`]), counting back and its sums ([`count`]), which scraps to
//! rip ([`scraps`]), what a stock of tiles can fill ([`parts`]), glue, mass and cost ([`cost`]).
//! Never here: recipes, drawing, the terminal, files. A shop file comes in as text; whoever calls
//! has read it.

pub mod cost;
pub mod count;
pub mod count_balance;
pub mod count_cut;
pub mod count_lay;
mod count_lines;
pub mod count_ripped;
pub mod count_sheets;
pub mod count_strips;
pub mod figure;
pub mod scraps;
mod scraps_greedy;
mod scraps_solve;
pub mod shop;
pub mod shop_error;
mod shop_file;
mod shop_value;
pub mod units;

pub use count::{CountBack, PlanError, count_back};
pub use figure::{Figure, Unit};
pub use shop::Shop;
pub use shop_error::ShopError;
pub use units::Units;
