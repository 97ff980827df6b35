//! The commands, run as a maker runs them.

mod arrangements;
#[path = "../common/mod.rs"]
mod common;
mod compare;
mod gallery;
mod laid;
mod layers;
mod legible;
mod new;
mod outline;
mod pick;
mod plan;
mod plan_figures;
mod plan_parts;
mod plan_wood;
mod preview;
mod rack;
mod rack_ledger;
mod shells;
mod template;
#[cfg(unix)]
mod terminal;
mod trial;
mod vary;
mod vary_looks;
mod vary_search;
mod watch;
mod words;
