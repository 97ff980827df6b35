//! Words for rules that fill many cells at once.

use std::sync::Arc;

use rhai::plugin::*;
use rhai::{Array, Dynamic};

use super::group::{Group, looping};
use super::wood::{self, Rule};
use crate::layout::{self, Order, random::Weights};
use crate::recipe::args;
use crate::recipe::fault::Fault;
use crate::stock::Tile;

/// The group.
pub fn group() -> Group {
    Group {
        name: "rules",
        about: "Which tile goes where, for `fill` and `fill_where`: by order or by chance. A chance has a name: the same name and seed give the same choice, whatever else changes.",
        module: looping(exported_manifest!(words)),
    }
}

/// A rule that takes any number of tiles but none.
pub(super) fn tiles(list: Array) -> Result<Vec<Tile>, Fault> {
    if list.is_empty() {
        return Err(layout::LayoutError::NoTiles.into());
    }
    args::list(&Dynamic::from(list), "the tiles", wood::tile)
}

/// Weights, one for each of `count` things.
pub(super) fn weights(list: Array, count: usize) -> Result<Weights, Fault> {
    let list = args::list(&Dynamic::from(list), "the weights", args::number)?;
    if list.len() != count {
        let problem = format!("there are {} of them for {count}", list.len());
        return Err(layout::LayoutError::Weights { problem }.into());
    }
    Ok(Weights::new(&list)?)
}

fn rule(rule: layout::Rule) -> Rule {
    Rule(Arc::new(rule))
}

/// A tile and how many there are of it.
fn counted(entry: &Dynamic, what: &str) -> Result<(Tile, u64), Fault> {
    let pair = entry.read_lock::<Array>();
    let Some([tile, count]) = pair.as_deref().map(Vec::as_slice) else {
        let expected = "a list of a tile and a count";
        return Err(args::unexpected(what, expected, entry).help("[[light, 30], [dark, 12]]"));
    };
    let tile = wood::tile(tile, &format!("the tile in {what}"))?;
    let count = args::count(count, &format!("the count in {what}"), 0)?;
    Ok((tile, count as u64))
}

#[export_module(manifest)]
mod words {
    /// A list of tiles, over and over.
    ///
    /// The order is `"along courses"` (each course begins anew), `"down columns"` (each column
    /// begins anew), `"falling left"` or `"falling right"` (the same tile on each diagonal),
    /// `"rings"` (the same tile all round the middle), `"reading"` (on and on, course by course from
    /// the left) or `"back and forth"` (on and on, every other course from the right).
    ///
    /// # Example
    /// ```rhai
    /// let birch = bar(plywood(9, 12).rip(24)).slice("block");
    /// let tiles = [birch, birch.rotate(180), birch.flip()];
    /// panel("stripes", squares(birch)).size(9, 8).fill(sequence(tiles, "falling right"));
    /// ```
    #[rhai_fn(name = "sequence", return_raw)]
    pub fn sequence(tiles: Array, order: &str) -> Result<Rule, Box<EvalAltResult>> {
        let tiles = self::tiles(tiles)?;
        let Some(order) = Order::named(order) else {
            let names = Order::ALL.map(|(name, _)| name);
            return Err(args::no_choice(order, "the order of a sequence", &names).into());
        };
        Ok(rule(layout::Rule::Sequence(tiles, order)))
    }

    /// One of some tiles for each cell, by chance.
    ///
    /// Without weights each is as likely; with weights, `[3, 1]` gives three of the first to one of
    /// the second. The choice of a cell depends on the seed, the name and the cell alone: a larger
    /// panel leaves the tiles where they are, and another name chooses anew.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let ways = block.looks();
    /// panel("mixed", squares(block)).size(12, 8).fill(random("turns", ways));
    /// panel("mostly", squares(block)).size(12, 8).fill(random("turns", [ways[0], ways[1]], [3, 1]));
    /// ```
    #[rhai_fn(name = "random", return_raw)]
    pub fn random(name: &str, tiles: Array) -> Result<Rule, Box<EvalAltResult>> {
        let tiles = self::tiles(tiles)?;
        Ok(rule(layout::Rule::Random {
            name: name.to_owned(),
            weights: Weights::equal(tiles.len()),
            tiles,
        }))
    }

    #[rhai_fn(name = "random", return_raw)]
    pub fn random_weighted(
        name: &str,
        tiles: Array,
        weights: Array,
    ) -> Result<Rule, Box<EvalAltResult>> {
        let tiles = self::tiles(tiles)?;
        Ok(rule(layout::Rule::Random {
            name: name.to_owned(),
            weights: self::weights(weights, tiles.len())?,
            tiles,
        }))
    }

    /// Just the tiles there are: a list of tiles, each with its count, shuffled over the cells.
    ///
    /// The counts must add up to the number of cells to fill. A panel of another size is shuffled
    /// anew.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).square()).slice("light");
    /// let dark = bar(laminate([ply(12, "walnut")]).square()).slice("dark");
    /// panel("from stock", squares(light)).size(8, 5).fill(bag("shuffle", [[light, 28], [dark, 12]]));
    /// ```
    #[rhai_fn(name = "bag", return_raw)]
    pub fn bag(name: &str, counts: Array) -> Result<Rule, Box<EvalAltResult>> {
        let tiles = args::list(&Dynamic::from(counts), "the bag", counted)?;
        Ok(rule(layout::Rule::Bag {
            name: name.to_owned(),
            tiles,
        }))
    }
}
