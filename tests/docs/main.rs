//! The documents are true: commands and recipes in them are run as written.

mod book;
#[path = "../common/mod.rs"]
mod common;
mod cookbook;
mod editors;
mod from_the_rack;
mod getting_started;
mod language;
mod readme;
mod reference;
mod terms;
