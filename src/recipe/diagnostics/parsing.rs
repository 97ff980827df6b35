//! Words for what is wrong with the text of a recipe.

use rhai::{Engine, ParseErrorType};

use crate::recipe::fault::Fault;
use crate::recipe::run::Run;
use crate::recipe::source::Place;

pub(super) fn fault(_engine: &Engine, _run: &Run, _place: &Place, error: &ParseErrorType) -> Fault {
    Fault::new("recipe::syntax", error.to_string())
}
