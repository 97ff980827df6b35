//! Words of Rhai's own library that are never to run: its sorting drops errors of the comparing function
//! and may panic on one that contradicts itself.

use crate::recipe::kind::Kind;
use rhai::{Array, Dynamic, Engine, EvalAltResult, FnPtr};

use crate::recipe::fault::Fault;
use crate::recipe::foreign::{SORTED, SORTING};

/// Whether a word of Rhai's library is hidden from recipes.
pub fn is_hidden(name: &str) -> bool {
    SORTING.contains(&name)
}

/// Puts a fault in the place of each hidden word.
pub fn hide(engine: &mut Engine) {
    for name in SORTING {
        let refuse = move || -> Result<Dynamic, Box<EvalAltResult>> {
            let message = format!("a list has no `{name}`");
            let fault = Fault::new(
                Kind::UnknownWord {
                    word: name.to_owned(),
                },
                message,
            )
            .label("not known");
            Err(fault.help(SORTED).into())
        };
        engine
            .register_fn(name, move |_: &mut Array| refuse())
            .register_fn(name, move |_: &mut Array, _: FnPtr| refuse())
            .register_fn(name, move |_: &mut Array, _: &str| refuse());
    }
}
