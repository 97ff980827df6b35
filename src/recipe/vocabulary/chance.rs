//! Words for single draws by chance, of a cell or of the whole recipe.

use crate::recipe::misuse::Misuse;
use std::ops::{Range, RangeInclusive};

use rhai::plugin::*;
use rhai::{Array, Dynamic};

use super::group::Group;
use crate::layout::random::{CellDraws, ListDraws, Weights};
use crate::recipe::args;
use crate::recipe::fault::Fault;
use crate::recipe::run::Run;
use crate::recipe::script_types::Cell;

/// The group.
pub fn group() -> Group {
    Group {
        name: "chance",
        about: "Draws by chance. Each has a name, and the same seed, name and cell always give the same draw: give independent draws different names, in a loop for example `\"wood \" + i`.",
        module: exported_module!(words),
    }
}

fn share(share: &Dynamic) -> Result<f64, Fault> {
    let share = args::number(share, "a chance")?;
    if (0.0..=1.0).contains(&share) {
        return Ok(share);
    }
    Err(Misuse::Chance { share }.into())
}

/// What a draw chooses from: the entries of a list, or the whole numbers of a range.
enum Choices {
    List(Array),
    Numbers { from: i64, count: u64 },
}

impl Choices {
    fn of(value: Dynamic) -> Result<Self, Fault> {
        let what = "what to pick from";
        if let Some(range) = value.read_lock::<Range<i64>>() {
            return Self::numbers(range.start, range.end, 0);
        }
        if let Some(range) = value.read_lock::<RangeInclusive<i64>>() {
            return Self::numbers(*range.start(), *range.end(), 1);
        }
        let list = value
            .read_lock::<Array>()
            .ok_or_else(|| args::unexpected(what, "a list or a range such as 0..=5", &value))?;
        if list.is_empty() {
            return Err(Misuse::NothingToPick.into());
        }
        Ok(Self::List(list.clone()))
    }

    /// The numbers from `from` up to `to`; `more` is 1 where `to` is one of them, else 0.
    fn numbers(from: i64, to: i64, more: u64) -> Result<Self, Fault> {
        let count = if from > to {
            Some(0)
        } else {
            to.abs_diff(from).checked_add(more)
        };
        match count {
            Some(0) => Err(Misuse::EmptyRange { from, to }.into()),
            Some(count) => Ok(Self::Numbers { from, count }),
            None => Err(Misuse::EndlessRange.into()),
        }
    }

    fn len(&self) -> u64 {
        match self {
            Self::List(list) => list.len() as u64,
            Self::Numbers { count, .. } => *count,
        }
    }

    fn entry(&self, index: u64) -> Dynamic {
        match self {
            Self::List(list) => {
                let index =
                    usize::try_from(index).expect("invariant: below the length of the list");
                list[index].clone()
            }
            Self::Numbers { from, .. } => Dynamic::from(from.wrapping_add_unsigned(index)),
        }
    }

    fn weights(&self, weights: Array) -> Result<Weights, Fault> {
        let count = usize::try_from(self.len()).unwrap_or(usize::MAX);
        super::rules::weights(weights, count)
    }
}

#[export_module]
mod words {
    /// Yes or no by chance: yes with a share from 0 to 1. Of a cell, or once for the recipe.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("speckled", squares(block)).size(12, 8)
    ///     .fill(|cell| if cell.chance("speck", 0.2) { block.rotate(90) } else { block });
    /// let flipped = chance("flip all", 0.5);
    /// ```
    #[rhai_fn(name = "chance", pure, return_raw)]
    pub fn cell_chance(
        context: NativeCallContext,
        cell: &mut Cell,
        name: &str,
        share: Dynamic,
    ) -> Result<bool, Box<EvalAltResult>> {
        let share = self::share(&share)?;
        let run = Run::of(&context)?;
        Ok(cell.draw(&run, name, CellDraws::share) < share)
    }

    #[rhai_fn(name = "chance", volatile, return_raw)]
    pub fn chance(
        context: NativeCallContext,
        name: &str,
        share: Dynamic,
    ) -> Result<bool, Box<EvalAltResult>> {
        let share = self::share(&share)?;
        Ok(ListDraws::new(Run::of(&context)?.seed(), name).share(0) < share)
    }

    /// An entry of a list, or a whole number of a range, by chance: each as likely unless weights are
    /// given. Of a cell, or once for the recipe.
    ///
    /// A range with `..=` has its last number too: `1..=6` is a die.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let dye = pick("dye", ["navy", "darkred", "seagreen"]);
    /// let columns = pick("columns", 8..=12);
    /// panel("turned", squares(block)).size(columns, 8)
    ///     .fill(|cell| block.rotate(cell.pick("turn", [0, 90], [3, 1])));
    /// ```
    #[rhai_fn(name = "pick", pure, return_raw)]
    pub fn cell_pick(
        context: NativeCallContext,
        cell: &mut Cell,
        name: &str,
        choices: Dynamic,
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        let choices = Choices::of(choices)?;
        let run = Run::of(&context)?;
        let draw = cell.draw(&run, name, |draws, place| draws.below(place, choices.len()));
        Ok(choices.entry(draw))
    }

    #[rhai_fn(name = "pick", pure, return_raw)]
    pub fn cell_pick_weighted(
        context: NativeCallContext,
        cell: &mut Cell,
        name: &str,
        choices: Dynamic,
        weights: Array,
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        let choices = Choices::of(choices)?;
        let run = Run::of(&context)?;
        let weights = choices.weights(weights)?;
        let draw = cell.draw(&run, name, |draws, place| draws.below(place, weights.sum()));
        Ok(choices.entry(weights.chosen(draw) as u64))
    }

    #[rhai_fn(name = "pick", volatile, return_raw)]
    pub fn pick(
        context: NativeCallContext,
        name: &str,
        choices: Dynamic,
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        let choices = Choices::of(choices)?;
        let mut draws = ListDraws::new(Run::of(&context)?.seed(), name);
        Ok(choices.entry(draws.below(0, choices.len())))
    }

    #[rhai_fn(name = "pick", volatile, return_raw)]
    pub fn pick_weighted(
        context: NativeCallContext,
        name: &str,
        choices: Dynamic,
        weights: Array,
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        let choices = Choices::of(choices)?;
        let weights = choices.weights(weights)?;
        let mut draws = ListDraws::new(Run::of(&context)?.seed(), name);
        Ok(choices.entry(weights.chosen(draws.below(0, weights.sum())) as u64))
    }

    /// A list in an order by chance, each order as likely.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let ways = shuffle("ways", block.orientations());
    /// panel("striped", squares(block)).size(12, 8).fill(sequence(ways, "along courses"));
    /// ```
    #[rhai_fn(name = "shuffle", volatile, return_raw)]
    pub fn shuffle(
        context: NativeCallContext,
        name: &str,
        list: Array,
    ) -> Result<Array, Box<EvalAltResult>> {
        let mut list = list;
        ListDraws::new(Run::of(&context)?.seed(), name).shuffle(&mut list);
        Ok(list)
    }
}
