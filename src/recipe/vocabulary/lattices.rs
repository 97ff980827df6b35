//! Words for lattices: the places that tiles go.

use crate::recipe::misuse::Misuse;
use std::sync::Arc;

use rhai::plugin::*;
use rhai::{Array, Dynamic, Map};

use super::group::{Group, looping};
use super::wood::{Lattice, Tile};
use crate::geom::Point;
use crate::layout::{self, LayoutError};
use crate::recipe::args::{self, Options};
use crate::recipe::fault::Fault;

/// The group.
pub fn group() -> Group {
    Group {
        name: "lattices",
        about: "The places that tiles go, made to the measure of a tile as it stands. Columns count to the right and courses down, both from 0.",
        module: looping(exported_manifest!(words)),
    }
}

fn lattice(
    tile: &Tile,
    made: Result<layout::Lattice, LayoutError>,
) -> Result<Lattice, Box<EvalAltResult>> {
    Ok(Lattice {
        lattice: Arc::new(made.map_err(Fault::from)?),
        tile: tile.0.clone(),
    })
}

/// A step as a list of two lengths; `alone` makes one of a single length.
fn step(value: &Dynamic, what: &str, alone: impl Fn(f64) -> Point) -> Result<Point, Fault> {
    if value.read_lock::<Array>().is_none() {
        let expected = "a length, or a list of two: to the right and down";
        return args::length(value, what).map(alone).map_err(|fault| {
            if value.is_string() {
                fault
            } else {
                args::unexpected(what, expected, value)
            }
        });
    }
    match args::list(value, what, args::length)?.as_slice() {
        &[x, y] => Ok(Point::new(x, y)),
        other => Err(Misuse::StepShape {
            what: what.to_owned(),
            count: other.len(),
        }
        .into()),
    }
}

#[export_module(manifest)]
mod words {
    /// Rectangles in straight columns and courses.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).rip(24)).slice("light");
    /// let dark = bar(plywood(9, 12, "walnut").rip(24)).slice("dark");
    /// let both = sequence([light, dark], "along courses");
    /// panel("straight", squares(light)).size(6, 8).fill(both);
    /// ```
    #[rhai_fn(name = "squares", return_raw)]
    pub fn squares(tile: Tile) -> Result<Lattice, Box<EvalAltResult>> {
        lattice(&tile, layout::Lattice::squares(&tile.0))
    }

    /// Rectangles in courses that are each shifted to the right against the one above, by a share of
    /// the tile's width: a half unless another is given.
    ///
    /// The share is a plain fraction from 0 to 1, such as `1.0/3`. Courses that would begin more
    /// than a tile further right start over.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).rip(36)).slice("light");
    /// let dark = bar(plywood(9, 12, "walnut").rip(36)).slice("dark");
    /// let both = sequence([light, dark], "along courses");
    /// panel("bricks", running_bond(light)).finished(300, 200).fill(both);
    /// panel("raking", running_bond(light, 1.0/3)).finished(300, 200).fill(both);
    /// ```
    #[rhai_fn(name = "running_bond", return_raw)]
    pub fn running_bond(tile: Tile) -> Result<Lattice, Box<EvalAltResult>> {
        lattice(&tile, layout::Lattice::running_bond(&tile.0, 0.5))
    }

    #[rhai_fn(name = "running_bond", return_raw)]
    pub fn running_bond_by(tile: Tile, share: Dynamic) -> Result<Lattice, Box<EvalAltResult>> {
        let share = args::number(&share, SHIFT)?;
        lattice(&tile, layout::Lattice::running_bond(&tile.0, share))
    }

    /// Rectangles in courses of which every other one is shifted to the right, by a share of the
    /// tile's width from 0 to 1.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).rip(48)).slice("light");
    /// let dark = bar(plywood(9, 12, "walnut").rip(48)).slice("dark");
    /// let both = sequence([light, dark], "along courses");
    /// panel("quarters", to_and_fro(light, 0.25)).finished(300, 200).fill(both);
    /// ```
    #[rhai_fn(name = "to_and_fro", return_raw)]
    pub fn to_and_fro(tile: Tile, share: Dynamic) -> Result<Lattice, Box<EvalAltResult>> {
        let share = args::number(&share, SHIFT)?;
        lattice(&tile, layout::Lattice::to_and_fro(&tile.0, share))
    }

    /// Rectangles in herringbone, lying and standing by turns.
    ///
    /// A course runs down to the right in steps: even columns take the tile as it stands, odd ones
    /// turned clockwise by 90 degrees. The next course lies down to the left. A finished size cuts a
    /// rectangle out of it.
    ///
    /// # Example
    /// ```rhai
    /// let sheet = laminate([veneer(1, "navy"), plywood(7, 10), veneer(1, "navy")]);
    /// let plank = bar(sheet.rip(48)).slice("plank");
    /// panel("herringbone", herringbone(plank)).finished(300, 200).fill(plank);
    /// ```
    #[rhai_fn(name = "herringbone", return_raw)]
    pub fn herringbone(tile: Tile) -> Result<Lattice, Box<EvalAltResult>> {
        lattice(&tile, layout::Lattice::herringbone(&tile.0))
    }

    /// Rectangles in basket weave: squares of lying tiles and squares of standing ones by turns.
    ///
    /// The tile lies, and is as long as a whole number of its widths. A course is a row of squares;
    /// each square takes as many columns as it has tiles.
    ///
    /// # Example
    /// ```rhai
    /// let sheet = laminate([veneer(1, "navy"), plywood(7, 10), veneer(1, "navy")]);
    /// let plank = bar(sheet.rip(36)).slice("plank");
    /// panel("basket", basket_weave(plank)).size(12, 6).fill(plank);
    /// ```
    #[rhai_fn(name = "basket_weave", return_raw)]
    pub fn basket_weave(tile: Tile) -> Result<Lattice, Box<EvalAltResult>> {
        lattice(&tile, layout::Lattice::basket_weave(&tile.0))
    }

    /// Regular hexagons.
    ///
    /// Standing on a point, as `hexagon` makes them, every other course is shifted to the right by
    /// half a tile; turned by 30 degrees, every other column is shifted down by half a tile.
    ///
    /// # Example
    /// ```rhai
    /// let sheet = laminate([veneer(0.6, "navy"), plywood(13, 17.7), veneer(0.6, "navy")]);
    /// let r = sheet.rhombus(60);
    /// let block = hexagon([r, r, r]).slice("block");
    /// panel("honeycomb", hexagons(block)).size(7, 8).fill(block);
    /// ```
    #[rhai_fn(name = "hexagons", return_raw)]
    pub fn hexagons(tile: Tile) -> Result<Lattice, Box<EvalAltResult>> {
        lattice(&tile, layout::Lattice::hexagons(&tile.0))
    }

    /// Rhombi and other parallelograms.
    ///
    /// A rhombus that stands on a point makes level courses, every other one shifted to the right by
    /// half a tile. Any other tile makes courses along its more level edge, and columns along the
    /// other.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).rhombus(60)).slice("light");
    /// let dark = bar(plywood(9, 12, "walnut").rhombus(60)).slice("dark");
    /// let both = sequence([light, dark], "falling right");
    /// panel("slanting", rhombi(light)).size(8, 6).fill(both);
    /// let upright = light.rotate(30);
    /// panel("harlequin", rhombi(upright)).finished(200, 300).fill(upright);
    /// ```
    #[rhai_fn(name = "rhombi", return_raw)]
    pub fn rhombi(tile: Tile) -> Result<Lattice, Box<EvalAltResult>> {
        lattice(&tile, layout::Lattice::rhombi(&tile.0))
    }

    /// Parallelograms of which every other course leans the other way; where the tile has upright
    /// instead of level edges, every other column.
    ///
    /// A rhombus is turned for that, any other tile turned over.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).rip(60, 60)).slice("light");
    /// let dark = bar(plywood(9, 12, "walnut").rip(60, 60)).slice("dark");
    /// let both = sequence([light, dark], "down columns");
    /// panel("zigzag", chevrons(light)).size(4, 10).fill(both);
    /// ```
    #[rhai_fn(name = "chevrons", return_raw)]
    pub fn chevrons(tile: Tile) -> Result<Lattice, Box<EvalAltResult>> {
        lattice(&tile, layout::Lattice::chevrons(&tile.0))
    }

    /// Rhombi of 60 degrees in three directions, three to a hexagon: tumbling blocks.
    ///
    /// Of the three columns of a hexagon, the first takes the tile as it stands, the others turned
    /// clockwise by 120 and 240 degrees. So `cell.column % 3` tells the direction.
    ///
    /// # Example
    /// ```rhai
    /// let sheet = laminate([veneer(0.6, "navy"), plywood(13, 17.7), veneer(0.6, "navy")]);
    /// let top = bar(sheet.rhombus(60)).slice("rhombus").rotate(-30);
    /// panel("blocks", tumbling_blocks(top)).size(12, 6).fill(top);
    /// ```
    #[rhai_fn(name = "tumbling_blocks", return_raw)]
    pub fn tumbling_blocks(tile: Tile) -> Result<Lattice, Box<EvalAltResult>> {
        lattice(&tile, layout::Lattice::tumbling(&tile.0))
    }

    /// Triangles with a level edge, by turns as the tile stands and turned by half a turn.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).triangle(60)).slice("light");
    /// let dark = bar(plywood(9, 12, "walnut").triangle(60)).slice("dark");
    /// let both = sequence([light, dark], "along courses");
    /// panel("triangles", triangles(light)).size(15, 8).fill(both);
    /// ```
    #[rhai_fn(name = "triangles", return_raw)]
    pub fn triangles(tile: Tile) -> Result<Lattice, Box<EvalAltResult>> {
        lattice(&tile, layout::Lattice::triangles(&tile.0))
    }

    /// Tiles of any outline, each a step from the next: `column` is the step to the next column,
    /// `course` the step to the next course.
    ///
    /// A step is a list of two lengths, to the right and down. A single length is a step straight to
    /// the right for `column`, straight down for `course`. The steps must lay the tiles side by side,
    /// without overlap or hole.
    ///
    /// # Example
    /// ```rhai
    /// let lath = plywood(9, 12).rip(36);
    /// let dark = plywood(9, 12, "walnut").rip(36);
    /// let step = bar(lath).mate("top", dark, "bottom", #{ slide: 12 }).slice("step");
    /// let stairs = lattice(step, #{ column: 36, course: [-24, 24] });
    /// panel("stairs", stairs).finished(300, 200).fill(step);
    /// ```
    #[rhai_fn(name = "lattice", return_raw)]
    pub fn general(tile: Tile, steps: Map) -> Result<Lattice, Box<EvalAltResult>> {
        let mut steps = Options::read(steps, "the steps of `lattice`", &["column", "course"])?;
        let missing = |key| Misuse::NoStep { key };
        let across = steps
            .with("column", |v, what| step(v, what, |x| Point::new(x, 0.0)))?
            .ok_or_else(|| missing("column"))?;
        let down = steps
            .with("course", |v, what| step(v, what, |y| Point::new(0.0, y)))?
            .ok_or_else(|| missing("course"))?;
        lattice(&tile, layout::Lattice::steps(&tile.0, across, down))
    }
}

const SHIFT: &str = "the shift of a course";
