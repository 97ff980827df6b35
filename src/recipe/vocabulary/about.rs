//! The word by which an author speaks of the recipe.

use rhai::Map;
use rhai::plugin::*;

use super::group::Group;
use crate::recipe::about::About;
use crate::recipe::run::Run;

/// The group.
pub fn group() -> Group {
    Group {
        name: "about",
        about: "What an author says of a recipe; it goes wherever the recipe goes.",
        module: exported_module!(words),
    }
}

#[export_module]
mod words {
    /// Says what this recipe is: once, at its top. Each rule module may have one of its own.
    ///
    /// `preview` shows it, and drawings carry it along. All keys may be left out:
    ///
    /// - `title`, `author`: of the recipe;
    /// - `licence`: how others may use it, by its short name on the list of SPDX: `"CC-BY-4.0"`,
    ///   `"CC0-1.0"`, `"MIT OR Apache-2.0"`;
    /// - `purpose`: what it is for, on one line;
    /// - `try_next`: what to try next, a text or a list of texts;
    /// - `notes`: whatever else there is to say, on as many lines as it takes;
    /// - `language`: the version of the language of recipes that it is written for, 1 by now. A
    ///   text that does not say is taken for 1. Later versions keep the meaning of older ones;
    /// - `needs`: the oldest Plyloom that has all its words, such as `"0.1"`.
    ///
    /// # Example
    /// ```rhai
    /// about(#{
    ///     title: "Ferry house floor",
    ///     author: "the joiners of Sandle Ness",
    ///     licence: "CC-BY-4.0",
    ///     purpose: "a tray of 300 by 200 mm, from one half sheet",
    ///     try_next: ["--set dye=poppy", "--seed 4"],
    ///     language: 1,
    /// });
    /// ```
    #[rhai_fn(name = "about", volatile, return_raw)]
    pub fn about(context: NativeCallContext, said: Map) -> Result<(), Box<EvalAltResult>> {
        let run = Run::of(&context)?;
        Ok(run.set_about(&context, About::read(said)?)?)
    }
}
