//! Words for gluing strips to bars and slicing bars to tiles.

use crate::recipe::misuse::Misuse;
use std::sync::Arc;

use rhai::plugin::*;
use rhai::{Array, Dynamic, Map};

use super::group::{Group, looping};
use super::strips::edge_name;
use super::wood::{self, Bar, Strip, Tile};
use crate::recipe::args::{self, Options};
use crate::recipe::fault::Fault;
use crate::recipe::run::Run;
use crate::stock::bar::{EdgeRef, Mate};
use crate::stock::{self, Pose, StockError, TileKind, hexagon};

/// The group.
pub fn group() -> Group {
    let mut module = looping(exported_manifest!(words));
    module.combine(super::using_up::words());
    Group {
        name: "bars and tiles",
        about: "Gluing strips to bars, slicing bars to tiles, turning tiles over and round.",
        module,
    }
}

fn bar(made: Result<stock::Bar, StockError>) -> Result<Bar, Box<EvalAltResult>> {
    Ok(made.map_err(Fault::from)?.into())
}

fn strips(list: Array) -> Result<Vec<stock::Strip>, Fault> {
    args::list(&Dynamic::from(list), "the strips", wood::strip)
}

/// Glues a strip onto a bar; options `part`, `align` and `slide`.
fn mate_onto(
    run: &Run,
    bar: &Bar,
    onto: &Dynamic,
    strip: &Strip,
    edge: &Dynamic,
    options: Map,
) -> Result<Bar, Box<EvalAltResult>> {
    let mut options = Options::read(
        options,
        "the options of `mate`",
        &["part", "align", "slide"],
    )?;
    let last = bar.0.parts().len() - 1;
    let part = options
        .with("part", |v, what| part_index(bar, args::any_whole(v, what)?))?
        .unwrap_or(last);
    let aligned = ["left", "middle", "right"];
    let align = options
        .with("align", |v, what| args::choice(v, what, &aligned))?
        .unwrap_or(0);
    let slide = options.length("slide")?.unwrap_or(0.0);

    let there = &bar.0.parts()[part];
    let onto = there
        .strip
        .edge(edge_name(onto, "the edge of the bar's part").map_err(|fault| fault.argument(0))?)
        .map_err(|error| Fault::from(error).argument(0))?;
    let own = strip
        .0
        .edge(edge_name(edge, "the edge of the strip").map_err(|fault| fault.argument(2))?)
        .map_err(|error| Fault::from(error).argument(2))?;
    let (a, b) = there.strip.section().edge(onto);
    // Looking out over the joint, the part's edge runs from left to right, the strip's back again.
    let share = 1.0 - align as f64 / 2.0;
    let mate = Mate {
        onto: EdgeRef { part, edge: onto },
        onto_at: share - slide / a.distance(b),
        edge: own,
        at: share,
    };
    self::bar(bar.0.with((*strip.0).clone(), mate, run.joint_tolerance()))
}

/// The tile in some of the poses that map its outline, as the bar stands, onto itself. A tile that
/// stands askew stays so.
fn poses(tile: &Tile, poses: Vec<Pose>) -> Array {
    let kind = &tile.0.kind;
    let upright = kind.fits(tile.0.pose);
    poses
        .into_iter()
        .map(|pose| {
            let way = stock::Tile {
                kind: Arc::clone(kind),
                pose,
            };
            Dynamic::from(Tile(if upright { way } else { way.then(tile.0.pose) }))
        })
        .collect()
}

#[export_module(manifest)]
mod words {
    /// A bar of one strip.
    ///
    /// # Example
    /// ```rhai
    /// let plank = bar(plywood(9, 12).rip(48)).slice("plank");
    /// ```
    #[rhai_fn(name = "bar", return_raw)]
    pub fn plain(strip: Strip) -> Result<Bar, Box<EvalAltResult>> {
        bar(stock::Bar::plain((*strip.0).clone()))
    }

    /// Strips laid one under the other, left ends flush.
    ///
    /// # Example
    /// ```rhai
    /// let lath = laminate([veneer(0.6, "darkred"), plywood(5, 6.4)]).rip(28);
    /// let block = stack([lath, lath, lath, lath]).slice("block");
    /// ```
    #[rhai_fn(name = "stack", return_raw)]
    pub fn stack(context: NativeCallContext, strips: Array) -> Result<Bar, Box<EvalAltResult>> {
        let tolerance = Run::of(&context)?.joint_tolerance();
        bar(stock::Bar::stack(self::strips(strips)?, tolerance))
    }

    /// A strip and its mirror image, which is another piece of it turned end for end, glued along
    /// the edge that looks right: the plies bend at the joint.
    ///
    /// Half of a right triangle makes a square tile, half of a trapezoid an elbow, a parallelogram
    /// a chevron.
    ///
    /// # Example
    /// ```rhai
    /// let halves = plywood(13, 17.7).triangle(45).halve();
    /// let mitre = mitred_pair(halves[1]).slice("mitre");
    /// let chevron = mitred_pair(plywood(9, 12).rip(30, 60)).slice("chevron");
    /// ```
    #[rhai_fn(name = "mitred_pair", return_raw)]
    pub fn mitred_pair(
        context: NativeCallContext,
        strip: Strip,
    ) -> Result<Bar, Box<EvalAltResult>> {
        bar(stock::Bar::mitred_pair(
            &strip.0,
            Run::of(&context)?.joint_tolerance(),
        ))
    }

    /// A hexagon of strips round its centre, clockwise from the top: three rhombi, two half
    /// hexagons, six triangles, or a mix that fills the turn.
    ///
    /// A triangle fills one sixth, a rhombus two, a trapezoid three. A rhombus has an obtuse corner
    /// at the centre: `end_for_end()` lets its plies run along the other pair of sides, `roll()`
    /// brings its back to where its face was.
    ///
    /// # Example
    /// ```rhai
    /// let blue = laminate([veneer(0.6, "navy"), plywood(13, 17.7), veneer(0.6, "navy")]);
    /// let r = blue.rhombus(60);
    /// let block = hexagon([r, r, r]).slice("block");
    /// let mixed = hexagon([blue.half_hexagon(), r, blue.triangle(60)]).slice("mixed");
    /// ```
    #[rhai_fn(name = "hexagon", return_raw)]
    pub fn hexagon_of(
        context: NativeCallContext,
        strips: Array,
    ) -> Result<Bar, Box<EvalAltResult>> {
        let tolerance = Run::of(&context)?.joint_tolerance();
        bar(hexagon::hexagon(self::strips(strips)?, tolerance))
    }

    /// The bar with one more strip glued on: an edge of its last part against an edge of the strip.
    ///
    /// Edges are `"top"`, `"right"`, `"bottom"`, `"left"` of each strip as it lay before gluing, `"base"` (the
    /// level edge of a triangle, the longer one of a trapezoid), `"hypotenuse"` (of a right triangle), or
    /// numbers from 1 clockwise from its top left corner. Edges of unlike length are flush on the
    /// left, looking out over the joint. Options say otherwise:
    ///
    /// - `part`: onto which part of the bar, counted from 1 in the order of gluing;
    /// - `align`: `"left"`, `"middle"` or `"right"`;
    /// - `slide`: so many mm further to the right.
    ///
    /// # Example
    /// ```rhai
    /// let lath = plywood(9, 12).rip(36);
    /// let corner = bar(lath).mate("top", lath, "left");
    /// let tee = bar(lath).mate("bottom", lath, "left", #{ align: "middle" });
    /// let zed = bar(lath).mate("top", lath, "bottom", #{ slide: 12 })
    ///     .mate("left", lath, "right", #{ part: 1 });
    /// ```
    #[rhai_fn(name = "mate", pure, return_raw)]
    pub fn mate(
        context: NativeCallContext,
        bar: &mut Bar,
        onto_edge: Dynamic,
        strip: Strip,
        edge: Dynamic,
    ) -> Result<Bar, Box<EvalAltResult>> {
        mate_with_options(context, bar, onto_edge, strip, edge, Map::new())
    }

    #[rhai_fn(name = "mate", pure, return_raw)]
    pub fn mate_with_options(
        context: NativeCallContext,
        bar: &mut Bar,
        onto_edge: Dynamic,
        strip: Strip,
        edge: Dynamic,
        options: Map,
    ) -> Result<Bar, Box<EvalAltResult>> {
        mate_onto(&Run::of(&context)?, bar, &onto_edge, &strip, &edge, options)
    }

    /// Allows joints of the bars that are glued from here on to be open, or pressed, by so many mm.
    ///
    /// Without it, 0.01 mm. A wider one hides errors of angle, it does not mend them.
    ///
    /// # Example
    /// ```rhai
    /// joint_tolerance(0.3);
    /// let r = plywood(13, 17.7).rhombus(60.2);
    /// let nearly = hexagon([r, r, r]).slice("nearly");
    /// ```
    #[rhai_fn(name = "joint_tolerance", volatile, return_raw)]
    pub fn joint_tolerance(
        context: NativeCallContext,
        mm: Dynamic,
    ) -> Result<(), Box<EvalAltResult>> {
        let mm = args::positive_length(&mm, "the tolerance of joints")?;
        if mm > MOST_TOLERANCE {
            return Err(Misuse::Tolerance {
                mm,
                most: MOST_TOLERANCE,
            }
            .into());
        }
        Run::of(&context)?.set_joint_tolerance(mm);
        Ok(())
    }

    /// The tiles that a bar is sliced to, under a name.
    ///
    /// The name tells kinds apart in the tally and the plan: one kind, one name.
    ///
    /// # Example
    /// ```rhai
    /// let r = plywood(13, 17.7).rhombus(60);
    /// let block = hexagon([r, r, r]).slice("block");
    /// ```
    #[rhai_fn(name = "slice", pure, return_raw)]
    pub fn slice(
        context: NativeCallContext,
        bar: &mut Bar,
        name: &str,
    ) -> Result<Tile, Box<EvalAltResult>> {
        let name = name.trim();
        if name.is_empty() {
            return Err(Misuse::NamelessTile.into());
        }
        let kind = Run::of(&context)?.tile_kind(TileKind::new(name, Arc::clone(&bar.0)))?;
        Ok(Tile(stock::Tile::new(kind)))
    }

    /// The tile rotated clockwise by so many degrees.
    ///
    /// # Example
    /// ```rhai
    /// let r = plywood(13, 17.7).rhombus(60);
    /// let block = hexagon([r, r, r.end_for_end()]).slice("block");
    /// let turned = block.rotate(120);
    /// ```
    #[rhai_fn(name = "rotate", pure, return_raw)]
    pub fn rotate(tile: &mut Tile, angle: Dynamic) -> Result<Tile, Box<EvalAltResult>> {
        Ok(Tile(
            tile.0
                .rotate(args::angle(&angle, "the rotation of a tile")?),
        ))
    }

    /// The tile turned over, left for right: a slice shows its mirror image on its back.
    ///
    /// A leaning tile is turned over about its own axis of symmetry, so that it keeps its outline.
    ///
    /// # Example
    /// ```rhai
    /// let r = plywood(13, 17.7).rhombus(60);
    /// let block = hexagon([r, r, r]).slice("block");
    /// let back = block.flip();
    /// ```
    #[rhai_fn(name = "flip", pure)]
    pub fn flip(tile: &mut Tile) -> Tile {
        Tile(tile.0.flip())
    }

    /// All ways in which the tile's outline fits its place: a list of the tile turned and flipped.
    ///
    /// # Example
    /// ```rhai
    /// let r = plywood(13, 17.7).rhombus(60);
    /// let ways = hexagon([r, r, r]).slice("block").orientations();
    /// print(ways.len());
    /// ```
    #[rhai_fn(name = "orientations", pure)]
    pub fn orientations(tile: &mut Tile) -> Array {
        poses(tile, tile.0.kind.orientations())
    }

    /// Of all ways in which the tile fits, those that look different.
    ///
    /// # Example
    /// ```rhai
    /// let r = plywood(13, 17.7).rhombus(60);
    /// let looks = hexagon([r, r, r]).slice("block").looks();
    /// ```
    #[rhai_fn(name = "looks", pure)]
    pub fn looks(tile: &mut Tile) -> Array {
        poses(tile, tile.0.kind.looks())
    }

    /// The name of a tile's kind.
    ///
    /// # Example
    /// ```rhai
    /// print(bar(plywood(9, 12).square()).slice("stick").name);
    /// ```
    #[rhai_fn(get = "name", pure)]
    pub fn name(tile: &mut Tile) -> String {
        tile.0.kind.name().to_owned()
    }

    /// How far a tile is rotated, in degrees, after any flip.
    ///
    /// # Example
    /// ```rhai
    /// print(bar(plywood(9, 12).square()).slice("stick").rotate(90).rotated);
    /// ```
    #[rhai_fn(get = "rotated", pure)]
    pub fn rotated(tile: &mut Tile) -> f64 {
        tile.0.pose.turn
    }

    /// Whether a tile is turned over.
    ///
    /// # Example
    /// ```rhai
    /// print(bar(plywood(9, 12).square()).slice("stick").flip().flipped);
    /// ```
    #[rhai_fn(get = "flipped", pure)]
    pub fn flipped(tile: &mut Tile) -> bool {
        tile.0.pose.flip
    }

    /// Width in mm of a bar or a tile as it stands.
    ///
    /// # Example
    /// ```rhai
    /// let half = plywood(13, 17.7).half_hexagon();
    /// print(hexagon([half, half]).width);
    /// ```
    #[rhai_fn(get = "width", pure)]
    pub fn bar_width(bar: &mut Bar) -> f64 {
        args::measured(bar.0.outline().bounds().width())
    }

    /// Height in mm of a bar or a tile as it stands.
    ///
    /// # Example
    /// ```rhai
    /// let half = plywood(13, 17.7).half_hexagon();
    /// print(hexagon([half, half]).slice("halves").rotate(30).height);
    /// ```
    #[rhai_fn(get = "height", pure)]
    pub fn bar_height(bar: &mut Bar) -> f64 {
        args::measured(bar.0.outline().bounds().height())
    }

    #[rhai_fn(get = "width", pure)]
    pub fn tile_width(tile: &mut Tile) -> f64 {
        args::measured(outline(tile).bounds().width())
    }

    #[rhai_fn(get = "height", pure)]
    pub fn tile_height(tile: &mut Tile) -> f64 {
        args::measured(outline(tile).bounds().height())
    }
}

/// The widest joint tolerance that a recipe may ask for, in mm.
const MOST_TOLERANCE: f64 = 1.0;

fn outline(tile: &Tile) -> crate::geom::Polygon {
    tile.0.kind.face().outline().moved(tile.0.isometry())
}

/// The index of a part counted from 1.
fn part_index(bar: &Bar, part: i64) -> Result<usize, Fault> {
    let count = bar.0.parts().len();
    usize::try_from(part)
        .ok()
        .filter(|p| (1..=count).contains(p))
        .map(|p| p - 1)
        .ok_or_else(|| StockError::NoSuchPart { part, count }.into())
}
