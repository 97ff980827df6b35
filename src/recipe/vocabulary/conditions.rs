//! Words for conditions that a whole panel is to keep, and the rule that finds such a panel.

use crate::recipe::misuse::Misuse;
use std::sync::Arc;

use rhai::plugin::*;
use rhai::{Array, Dynamic};

use super::group::{Group, looping};
use super::wood::{Condition, Conditions, Tile};
use crate::layout::{
    Cells, Filling,
    constraints::Limits,
    solver::{LayoutRule, Likeness, PanelSymmetry, fill_by_rules},
};
use crate::recipe::args;
use crate::recipe::fault::Fault;
use crate::recipe::run::Run;
use crate::recipe::script_types::Kept;

/// The group.
pub fn group() -> Group {
    Group {
        name: "conditions",
        about: "What a whole panel is to keep: lines that run on, neighbours that differ, counts, symmetry. `keeping` finds such a panel, or tells which conditions contradict each other.",
        module: looping(exported_manifest!(words)),
    }
}

/// Dead ends after which the search gives up.
const CONFLICTS: u64 = 20_000;

impl Kept {
    /// All cells filled so that every condition holds.
    pub(super) fn fill(
        &self,
        run: &Run,
        cells: &Arc<Cells>,
        some_only: bool,
    ) -> Result<Filling, Fault> {
        if some_only {
            return Err(Misuse::KeepingSome.into());
        }
        run.pulse()?;
        let limits = Limits {
            conflicts: CONFLICTS,
            stop: &|| run.pulse().is_err(),
        };
        let filling = fill_by_rules(
            cells,
            &self.tiles,
            &self.conditions,
            run.seed(),
            &self.name,
            limits,
        );
        run.pulse()?;
        Ok(filling?)
    }
}

fn likeness(value: &Dynamic) -> Result<Likeness, Fault> {
    let which = args::choice(value, "what makes tiles alike", &["kind", "look"])?;
    Ok([Likeness::Kind, Likeness::Look][which])
}

fn condition(rule: LayoutRule) -> Condition {
    Condition(Arc::new(rule))
}

fn of_kind(tile: Tile, least: usize, most: usize) -> Condition {
    condition(LayoutRule::OfKind {
        kind: tile.0.kind,
        least,
        most,
    })
}

#[export_module(manifest)]
mod words {
    /// Fills a panel with some tiles so that every condition in a list holds.
    ///
    /// The seed and the name choose one of the fillings; which, depends on the whole panel, so that
    /// another size chooses anew. The search is exact: where there is no such panel, the message
    /// names conditions that contradict each other. At most 2,500 cells.
    ///
    /// # Example
    /// ```rhai
    /// let line = veneer(2, "black");
    /// let block = bar(laminate([line, plywood(5, 12), line]).square()).slice("block");
    /// let ways = [block, block.rotate(90)];
    /// panel("woven", squares(block)).size(8, 8)
    ///     .fill(keeping("woven", ways, [in_a_row(2, "look"), symmetric("half turn")]));
    /// ```
    #[rhai_fn(name = "keeping", return_raw)]
    pub fn keeping(
        name: &str,
        tiles: Array,
        conditions: Array,
    ) -> Result<Conditions, Box<EvalAltResult>> {
        let tiles = crate::recipe::vocabulary::rules::tiles(tiles)?;
        let conditions = args::list(
            &Dynamic::from(conditions),
            "the conditions",
            |value, what| {
                args::thing::<Condition>(value, what, "a condition").map(|c| (*c.0).clone())
            },
        )?;
        Ok(Conditions(Arc::new(Kept {
            name: name.to_owned(),
            tiles,
            conditions,
        })))
    }

    /// The condition that lines run on through every joint: wherever two tiles meet, the same
    /// colours meet.
    ///
    /// # Example
    /// ```rhai
    /// let light = plywood(9, 12).triangle(45);
    /// let dark = laminate([ply(12, "walnut")]).triangle(45);
    /// let block = stack([light.roll(), dark]).slice("halved").rotate(45);
    /// let ways = [block, block.rotate(90), block.rotate(180), block.rotate(270)];
    /// panel("diamonds", squares(block)).size(8, 6)
    ///     .fill(keeping("diamonds", ways, [lines_run_on()]));
    /// ```
    #[rhai_fn(name = "lines_run_on")]
    pub fn lines_run_on() -> Condition {
        condition(LayoutRule::LinesRunOn)
    }

    /// The condition that no two tiles that are alike lie side by side: of one `"kind"`, however
    /// they are turned, or with the same `"look"`.
    ///
    /// # Example
    /// ```rhai
    /// let wood = |name| bar(laminate([ply(18, name)]).rhombus(60)).slice(name);
    /// let three = [wood.call("birch"), wood.call("cherry"), wood.call("walnut")];
    /// panel("blocks", tumbling_blocks(three[0])).size(9, 6)
    ///     .fill(keeping("woods", three, [neighbours_differ("kind")]));
    /// ```
    #[rhai_fn(name = "neighbours_differ", return_raw)]
    pub fn neighbours_differ(alike: Dynamic) -> Result<Condition, Box<EvalAltResult>> {
        Ok(condition(LayoutRule::NoLikeNeighbours(likeness(&alike)?)))
    }

    /// The condition that no more than so many tiles in a row are alike (of one `"kind"`, or with
    /// the same `"look"`), along courses and along columns.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).square()).slice("light");
    /// let dark = bar(laminate([ply(12, "walnut")]).square()).slice("dark");
    /// panel("quiet", squares(light)).size(10, 8)
    ///     .fill(keeping("quiet", [light, dark], [in_a_row(2, "kind")]));
    /// ```
    #[rhai_fn(name = "in_a_row", return_raw)]
    pub fn in_a_row(most: Dynamic, alike: Dynamic) -> Result<Condition, Box<EvalAltResult>> {
        Ok(condition(LayoutRule::InARow {
            most: args::count(&most, "the most tiles in a row", 1)?,
            like: likeness(&alike)?,
        }))
    }

    /// The condition that the panel has just so many tiles of a tile's kind, or from so many to so
    /// many.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).square()).slice("light");
    /// let dark = bar(laminate([ply(12, "walnut")]).square()).slice("dark");
    /// panel("from stock", squares(light)).size(8, 8)
    ///     .fill(keeping("stock", [light, dark], [of_kind(dark, 20), in_a_row(3, "kind")]));
    /// ```
    #[rhai_fn(name = "of_kind", return_raw)]
    pub fn of_kind(tile: Tile, count: Dynamic) -> Result<Condition, Box<EvalAltResult>> {
        let count = args::count(&count, "the number of tiles", 0)?;
        Ok(super::of_kind(tile, count, count))
    }

    #[rhai_fn(name = "of_kind", return_raw)]
    pub fn of_kind_from_to(
        tile: Tile,
        least: Dynamic,
        most: Dynamic,
    ) -> Result<Condition, Box<EvalAltResult>> {
        let least = args::count(&least, "the least number of tiles", 0)?;
        let most = args::count(&most, "the greatest number of tiles", 0)?;
        Ok(super::of_kind(tile, least, most))
    }

    /// The condition that the whole panel is the same `"left and right"`, `"above and below"`, after
    /// a `"half turn"` or after a `"quarter turn"`.
    ///
    /// Tiles are turned and flipped with it: the tiles to choose from must have those turns.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("mirrored", squares(block)).size(9, 6)
    ///     .fill(keeping("mirrored", block.orientations(), [symmetric("left and right")]));
    /// ```
    #[rhai_fn(name = "symmetric", return_raw)]
    pub fn symmetric(symmetry: Dynamic) -> Result<Condition, Box<EvalAltResult>> {
        let names = [
            "left and right",
            "above and below",
            "half turn",
            "quarter turn",
        ];
        let which = args::choice(&symmetry, "the symmetry of a panel", &names)?;
        Ok(condition(LayoutRule::Symmetric(
            [
                PanelSymmetry::LeftRight,
                PanelSymmetry::TopBottom,
                PanelSymmetry::HalfTurn,
                PanelSymmetry::QuarterTurn,
            ][which],
        )))
    }
}
