//! Recipes: from Rhai text to panels. Knows the engine; never touches files or the terminal.
//!
//! [`evaluate()`] takes a recipe's text, the settings of the run and a [`host::Host`], the one door
//! to the world outside. It gives an [`Outcome`] with resolved panels or a [`Failure`] with the place.
//!
//! - [`source`], [`settings`], [`parameter`], [`host`], [`failure`], [`outcome`]: what goes in and out;
//! - [`store`], [`memory_store`]: where texts of recipes are kept;
//! - `engine`, `division`, [`limits`], `usage`, `watch`, `ended`: what the language of recipes has, its bounds,
//!   and a run that passes them;
//! - [`run`], [`fault`], [`args`], [`call`]: what the words of the vocabulary are written with;
//! - [`vocabulary`], [`words`], [`definitions`]: the words, the list of them, and files for editors;
//! - [`about`], [`language`]: what an author says of a recipe, and versions of the language;
//! - `pure`, `parallel_calls`: functions that can be called on several threads, and calling them there;
//! - [`reading`]: a text read without running it;
//! - `modules`, [`library`], [`library_words`]: rule modules, those that come along, and their words;
//! - [`rewrite`]: a text with other defaults;
//! - `diagnostics`: from the engine's errors to messages for makers.

pub mod about;
pub mod args;
pub mod call;
mod comparing;
mod declare;
pub mod definitions;
mod diagnostics;
mod division;
pub mod doubts;
pub mod drawn;
mod ended;
mod engine;
pub mod evaluate;
pub mod failure;
pub mod fault;
pub mod foreign;
pub mod formula;
pub mod handles;
pub mod hands;
mod hashing;
pub mod host;
pub mod kind;
pub mod language;
pub mod library;
pub mod library_words;
pub mod limits;
pub mod literals;
pub mod memory_host;
pub mod memory_store;
pub mod misuse;
pub(crate) mod modules;
pub mod outcome;
mod parallel_calls;
pub mod parameter;
pub(crate) mod printing;
mod pure;
pub mod reading;
mod refusals;
pub mod rewrite;
pub mod run;
pub mod script_types;
pub mod settings;
pub mod source;
pub mod steps;
pub mod store;
pub mod to_parameter;
pub mod topics;
mod usage;
pub mod vocabulary;
pub mod watch;
pub mod words;

pub use evaluate::evaluate;
pub use failure::Failure;
pub use outcome::Outcome;
