//! The recipe language: parameters, modules, maths, and what a maker reads when something is wrong.

mod advice;
mod diagnostics;
mod doubts;
mod hands;
mod hands_foretold;
#[path = "../in_memory/mod.rs"]
mod in_memory;
mod library;
mod maths;
mod modules;
mod parallel_calls;
mod parameters;
mod session;
mod tasks;
