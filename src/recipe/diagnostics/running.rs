//! Words for what goes wrong while a recipe runs.

use rhai::{Engine, EvalAltResult};

use crate::recipe::fault::Fault;
use crate::recipe::run::Run;
use crate::recipe::source::Place;

pub(super) fn fault(_engine: &Engine, _run: &Run, _place: &Place, error: EvalAltResult) -> Fault {
    match error {
        EvalAltResult::ErrorRuntime(value, _) | EvalAltResult::ErrorTerminated(value, _)
            if value.is::<Fault>() =>
        {
            value.cast::<Fault>()
        }
        other => Fault::new("recipe::failed", format!("{other:?}")),
    }
}
