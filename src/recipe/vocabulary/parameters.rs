//! Words by which a recipe says what a maker may change: parameters and the seed.

use crate::recipe::misuse::Misuse;
use rhai::plugin::*;
use rhai::{Dynamic, Map};

use super::group::Group;
use crate::recipe::declare;
use crate::recipe::fault::Fault;
use crate::recipe::run::Run;

/// The group.
pub fn group() -> Group {
    Group {
        name: "parameters",
        about: "What a maker may change without touching the recipe.",
        module: exported_module!(words),
    }
}

#[export_module]
mod words {
    /// Declares a parameter and gives its value: the default, or what the maker sets with
    /// `--set name=value`.
    ///
    /// Its kind follows from the default: `true` or `false`, a whole number, a number, a text.
    /// Options say more:
    ///
    /// - `from`, `to`: the smallest and the largest value;
    /// - `unit`: `"mm"` or `"in"` for a length, `"deg"` for an angle, or any other word for show;
    /// - `choices`: the texts to choose from;
    /// - `kind`: `"colour"`, `"length"`, `"angle"` or `"number"`, where the default does not tell;
    /// - `help`: what it does, in a few words.
    ///
    /// A length comes out in mm, whatever unit it was typed in: `18`, `18 mm`, `3/4 in`, `23/32"`.
    /// A number without a unit counts in the parameter's unit.
    ///
    /// # Example
    /// ```rhai
    /// let rows = param("rows", 8, #{ from: 2, to: 40, help: "courses of tiles" });
    /// let thick = param("thick", "3/4 in", #{ unit: "in", from: "1/4 in", to: "1 1/2 in" });
    /// let edge = param("edge", "square", #{ choices: ["square", "round"] });
    /// ```
    #[rhai_fn(name = "param", volatile, return_raw)]
    pub fn param(
        context: NativeCallContext,
        name: &str,
        default: Dynamic,
        options: Map,
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        let run = Run::of(&context)?;
        let place = run.place(&context);
        Ok(declare::declare(&run, place, name, &default, options)?)
    }

    #[rhai_fn(name = "param", volatile, return_raw)]
    pub fn plain_param(
        context: NativeCallContext,
        name: &str,
        default: Dynamic,
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        let run = Run::of(&context)?;
        let place = run.place(&context);
        Ok(declare::declare(&run, place, name, &default, Map::new())?)
    }

    /// Sets the recipe's own seed, or gives the seed of this run.
    ///
    /// All random choices follow from the seed: the same seed gives the same panel on any machine.
    /// `seed(7)` stands at the top of a recipe; a maker's `--seed` goes before it. Without either
    /// the seed is 1.
    ///
    /// # Example
    /// ```rhai
    /// seed(7);
    /// print(`this panel has seed ${seed()}`);
    /// ```
    #[rhai_fn(name = "seed", volatile, return_raw)]
    pub fn set_seed(context: NativeCallContext, number: i64) -> Result<(), Box<EvalAltResult>> {
        let seed = u64::try_from(number).map_err(|_| {
            Fault::wrong_value(format!(
                "the seed must be a whole number from 0, not {number}"
            ))
        })?;
        Ok(Run::of(&context)?.set_own_seed(seed)?)
    }

    #[rhai_fn(name = "seed", volatile, return_raw)]
    pub fn seed(context: NativeCallContext) -> Result<i64, Box<EvalAltResult>> {
        let seed = Run::of(&context)?.seed();
        Ok(i64::try_from(seed).map_err(|_| Misuse::SeedTooLarge { seed })?)
    }
}
