//! The words that a recipe may use, one group a file.
//!
//! # How to add a word
//!
//! 1. Write it in the plugin module of its group (or start a group: a file here, a line in
//!    [`groups`]):
//!
//!    ```text
//!    #[export_module]
//!    mod words {
//!        /// A sheet with veneers or other sheets glued to it, from face to face.
//!        ///
//!        /// # Example
//!        /// ```rhai
//!        /// let blue = laminate([veneer(0.6, "navy"), plywood(13, 17.7)]);
//!        /// ```
//!        #[rhai_fn(name = "laminate", return_raw)]
//!        pub fn laminate(context: NativeCallContext, layers: Array) -> Result<Sheet, Box<EvalAltResult>> {
//!            let run = Run::of(&context)?;
//!            let layers = args::list(&layers.into(), "the layers", as_layer)?;
//!            Sheet::laminate(&layers).map_err(|error| Fault::from(error).into())
//!        }
//!    }
//!    ```
//!
//!    The first paragraph says what it is; then units, range, errors; then the example, which a test
//!    runs on its own. Parameter names show in messages and in the reference: where a parameter is
//!    `Dynamic`, its NAME is what a maker reads (`angle: Dynamic` shows as "an angle"). Several
//!    functions of one `name` are forms of one word; one of them has the documentation.
//! 2. A type of its own gets a line in [`super::script_types`]: its Rust name and its word. It must be cheap to
//!    clone (an `Arc` inside), as Rhai clones at every turn.
//! 3. Arguments are converted by [`super::args`], objections raised as [`super::fault::Fault`], shared
//!    state reached by [`super::run::Run::of`]. Whoever places tiles calls `spend_tiles` first; a word
//!    that loops for long calls `pulse`; one that calls back into the recipe uses a
//!    [`super::call::Caller`]. A group whose words ask the watch from their loops is exported with
//!    `#[export_module(manifest)]` and made by `looping`.

#![allow(
    unreachable_pub,
    clippy::needless_pass_by_value,
    clippy::unnecessary_wraps,
    clippy::wildcard_imports,
    clippy::unwrap_used,
    reason = "Rhai's plugin modules register only `pub` functions that take their arguments by value, need \
              `rhai::plugin::*`, and expand to code that unwraps arguments whose kinds are checked"
)]

pub mod about;
pub mod bars;
pub mod cells;
pub mod chance;
pub mod conditions;
pub mod draft;
mod filled;
mod group;
pub mod hidden;
pub mod lattices;
pub mod laying;
pub mod lists;
pub mod maths;
pub mod outlines;
pub mod panels;
pub mod parameters;
pub mod rules;
mod shapes;
pub mod sheets;
pub mod strips;
mod using_up;
pub mod wood;

pub use self::group::Group;

/// All groups, in the order of the reference.
pub fn groups() -> Vec<Group> {
    super::hashing::fix();
    vec![
        about::group(),
        parameters::group(),
        sheets::group(),
        strips::group(),
        bars::group(),
        lattices::group(),
        outlines::group(),
        panels::group(),
        laying::group(),
        rules::group(),
        conditions::group(),
        cells::group(),
        chance::group(),
        maths::group(),
        lists::group(),
    ]
}
