//! The shop plan: counting back, saw set-ups, tolerances, trial bars, glue-up.

mod balance;
mod blanks;
#[path = "../common/mod.rs"]
mod common;
mod count;
#[path = "../draw_support/mod.rs"]
mod draw_support;
mod drawings;
mod exhaustive;
mod fewest;
mod glue_up;
mod hostile;
mod largest;
mod leaves;
mod loaf;
mod numbering;
mod page;
mod parts;
mod rack;
mod saw;
mod scraps;
mod scraps_plainly;
#[path = "../../benches/table/shop.rs"]
mod shop_of_scraps;
mod template;
mod tolerance;
mod trial;
mod words;
