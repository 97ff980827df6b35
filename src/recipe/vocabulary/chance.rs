//! Words for single draws by chance, of a cell or of the whole recipe.

use rhai::plugin::*;
use rhai::{Array, Dynamic};

use super::Group;
use super::cells::Cell;
use super::rules::weights;
use crate::layout::random::{CellDraws, ListDraws, Weights};
use crate::recipe::args;
use crate::recipe::fault::Fault;
use crate::recipe::run::Run;

/// The group.
#[must_use]
pub fn group() -> Group {
    Group {
        name: "chance",
        about: "Draws by chance. Each has a name, and the same seed, name and cell always give the same draw: give independent draws different names, in a loop for example `\"wood \" + i`.",
        module: exported_module!(words),
    }
}

/// From `from` to `to`: how many whole numbers these are.
fn span(from: i64, to: i64) -> Result<u64, Fault> {
    if from > to {
        return Err(Fault::new(
            "layout::range",
            format!("a whole number from {from} to {to} cannot be drawn"),
        )
        .help("write the smaller one first"));
    }
    to.abs_diff(from)
        .checked_add(1)
        .ok_or_else(|| Fault::new("layout::range", "there are too many numbers to draw from"))
}

fn drawn(from: i64, by: u64) -> i64 {
    from.wrapping_add_unsigned(by)
}

fn share(share: &Dynamic) -> Result<f64, Fault> {
    let share = args::number(share, "a chance")?;
    if (0.0..=1.0).contains(&share) {
        return Ok(share);
    }
    Err(Fault::new(
        "layout::chance",
        format!("a chance must be from 0 (never) to 1 (always), not {share}"),
    ))
}

fn some(list: &Array) -> Result<(), Fault> {
    if list.is_empty() {
        return Err(Fault::new(
            "layout::pick",
            "there is nothing to pick from: the list is empty",
        ));
    }
    Ok(())
}

fn entry(list: &Array, index: u64) -> Dynamic {
    let index = usize::try_from(index).expect("invariant: below the length of the list");
    list[index].clone()
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

    /// An entry of a list by chance, each as likely unless weights are given. Of a cell, or once for
    /// the recipe.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let dye = pick("dye", ["navy", "darkred", "seagreen"]);
    /// panel("turned", squares(block)).size(12, 8)
    ///     .fill(|cell| block.rotate(cell.pick("turn", [0, 90], [3, 1])));
    /// ```
    #[rhai_fn(name = "pick", pure, return_raw)]
    pub fn cell_pick(
        context: NativeCallContext,
        cell: &mut Cell,
        name: &str,
        list: Array,
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        some(&list)?;
        let run = Run::of(&context)?;
        let n = list.len() as u64;
        Ok(entry(
            &list,
            cell.draw(&run, name, |draws, place| draws.below(place, n)),
        ))
    }

    #[rhai_fn(name = "pick", pure, return_raw)]
    pub fn cell_pick_weighted(
        context: NativeCallContext,
        cell: &mut Cell,
        name: &str,
        list: Array,
        weights: Array,
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        some(&list)?;
        let run = Run::of(&context)?;
        let weights = self::weights(weights, list.len())?;
        let draw = cell.draw(&run, name, |draws, place| draws.below(place, weights.sum()));
        Ok(list[weights.chosen(draw)].clone())
    }

    #[rhai_fn(name = "pick", volatile, return_raw)]
    pub fn pick(
        context: NativeCallContext,
        name: &str,
        list: Array,
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        some(&list)?;
        let mut draws = ListDraws::new(Run::of(&context)?.seed(), name);
        Ok(entry(&list, draws.below(0, list.len() as u64)))
    }

    #[rhai_fn(name = "pick", volatile, return_raw)]
    pub fn pick_weighted(
        context: NativeCallContext,
        name: &str,
        list: Array,
        weights: Array,
    ) -> Result<Dynamic, Box<EvalAltResult>> {
        some(&list)?;
        let weights: Weights = self::weights(weights, list.len())?;
        let mut draws = ListDraws::new(Run::of(&context)?.seed(), name);
        Ok(list[weights.chosen(draws.below(0, weights.sum()))].clone())
    }

    /// A whole number by chance from one number to another, both included. Of a cell, or once for
    /// the recipe.
    ///
    /// # Example
    /// ```rhai
    /// let r = plywood(13, 17.7).rhombus(60);
    /// let block = hexagon([r, r, r]).slice("block");
    /// panel("turned", hexagons(block)).size(9, 8)
    ///     .fill(|cell| block.rotate(60 * cell.whole("turn", 0, 5)));
    /// let columns = whole("columns", 8, 12);
    /// ```
    #[rhai_fn(name = "whole", pure, return_raw)]
    pub fn cell_whole(
        context: NativeCallContext,
        cell: &mut Cell,
        name: &str,
        from: i64,
        to: i64,
    ) -> Result<i64, Box<EvalAltResult>> {
        let n = span(from, to)?;
        let run = Run::of(&context)?;
        Ok(drawn(
            from,
            cell.draw(&run, name, |draws, place| draws.below(place, n)),
        ))
    }

    #[rhai_fn(name = "whole", volatile, return_raw)]
    pub fn whole(
        context: NativeCallContext,
        name: &str,
        from: i64,
        to: i64,
    ) -> Result<i64, Box<EvalAltResult>> {
        let n = span(from, to)?;
        let mut draws = ListDraws::new(Run::of(&context)?.seed(), name);
        Ok(drawn(from, draws.below(0, n)))
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
