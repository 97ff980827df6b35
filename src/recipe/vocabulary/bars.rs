//! Words for gluing strips to bars and slicing bars to tiles.

use crate::recipe::misuse::Misuse;
use std::sync::Arc;

use rhai::plugin::*;
use rhai::{Array, Dynamic, Map};

use super::group::Group;
use super::strips::edge_name;
use super::things::{self, Bar, Strip, Tile};
use crate::layout::random::ListDraws;
use crate::recipe::args::{self, Options};
use crate::recipe::fault::Fault;
use crate::recipe::run::Run;
use crate::stock::bar::{EdgeRef, Mate};
use crate::stock::use_up::{Bars, Sets, use_up};
use crate::stock::{self, Pose, StockError, TileKind, hexagon};

/// The most strips that are used up at once.
const MOST_STRIPS: u64 = 10_000;

/// The group.
#[must_use]
pub fn group() -> Group {
    Group {
        name: "bars and tiles",
        about: "Gluing strips to bars, slicing bars to tiles, turning tiles over and round.",
        module: exported_module!(words),
    }
}

fn bar(made: Result<stock::Bar, StockError>) -> Result<Bar, Box<EvalAltResult>> {
    Ok(made.map_err(Fault::from)?.into())
}

fn strips(list: Array) -> Result<Vec<stock::Strip>, Fault> {
    args::list(&Dynamic::from(list), "the strips", things::strip)
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

/// A strip and how many there are.
fn counted(entry: &Dynamic, what: &str) -> Result<(stock::Strip, u64), Fault> {
    let pair = entry.read_lock::<Array>();
    let Some([strip, count]) = pair.as_deref().map(Vec::as_slice) else {
        let expected = "a list of a strip and a count";
        return Err(args::unexpected(what, expected, entry).help("[[teal, 7], [rose, 5]]"));
    };
    let strip = things::strip(strip, &format!("the strip in {what}"))?;
    let count = args::count(count, &format!("the count in {what}"), 0)?;
    Ok((strip, count as u64))
}

/// Which strips may be glued together, as the option `mix` says.
fn sets(
    mix: Option<Dynamic>,
    have: &[(stock::Strip, u64)],
    each: usize,
    draws: &mut ListDraws,
) -> Result<Sets, Fault> {
    const WAYS: [&str; 3] = ["alike", "any", "random"];
    let what = "the option `mix`";
    let Some(mix) = mix else {
        return Ok(Sets::Any);
    };
    if !mix.is_array() {
        return Ok(match args::choice(&mix, what, &WAYS)? {
            0 => Sets::Alike,
            1 => Sets::Any,
            _ => {
                let strips = have.iter().enumerate();
                let mut order: Vec<usize> = strips
                    .flat_map(|(kind, (_, count))| {
                        std::iter::repeat_n(kind, usize::try_from(*count).unwrap_or(0))
                    })
                    .collect();
                draws.shuffle(&mut order);
                Sets::InOrder(order)
            }
        });
    }
    let set = |set: &Dynamic, what: &str| {
        let strips = args::list(set, what, things::strip)?;
        if strips.len() != each {
            return Err(Misuse::SetOfStrips {
                strips: strips.len(),
                each,
            }
            .into());
        }
        let mut of = vec![0; have.len()];
        for strip in strips {
            let kind = have.iter().position(|(known, _)| *known == strip);
            of[kind.ok_or(Misuse::StrangeStrip)?] += 1;
        }
        Ok(of)
    };
    Ok(Sets::Only(args::list(&mix, what, set)?))
}

#[export_module]
mod words {
    /// Uneven numbers of strips used up: the bars that leave least, as a list.
    ///
    /// The strips are a list of strips, each with its count; a bar takes `each` of them and gives so many tiles. Options:
    ///
    /// - `mix`: which strips share a bar: `"any"` (the default: bars of one kind as far as they go, then what remains,
    ///   mixed), `"alike"` (never mixed), `"random"` (mixed by the seed), or a list of sets, the one liked best first:
    ///   `[[teal, rose, gold], [teal, teal, rose]]`;
    /// - `short`: how many tiles a bar gives whose strips are cut from one strip, in thirds where a bar has three. What
    ///   no full bar takes then makes short ones; without it, it is left;
    /// - `cells`: how many tiles are wanted: the last bars give no more than that.
    ///
    /// Each entry has `name` (the name with a number), `strips` (those of one bar), `bars`, `short_bars`, and `tiles`,
    /// of all its bars together.
    ///
    /// # Example
    /// ```rhai
    /// fn dyed(dye) { laminate([veneer(0.6, dye), plywood(13, 18)]).rhombus(60) }
    /// let strips = [[dyed("teal"), 7], [dyed("poppy"), 5], [dyed("gold"), 4]];
    /// let bars = use_up("block", strips, 3, 30, #{ short: 8, cells: 12 * 13 });
    /// let tiles = bars.map(|b| [hexagon(b.strips).slice(b.name), b.tiles]);
    /// panel("Uneven", hexagons(tiles[0][0])).size(12, 13).fill(bag("mixed", tiles));
    /// ```
    #[rhai_fn(name = "use_up", volatile, return_raw)]
    pub fn use_up_with(
        context: NativeCallContext,
        name: &str,
        strips: Array,
        each: i64,
        tiles: i64,
        options: Map,
    ) -> Result<Array, Box<EvalAltResult>> {
        let known = ["mix", "short", "cells"];
        let mut options = Options::read(options, "the options of `use_up`", &known)?;
        let have = args::list(&Dynamic::from(strips), "the strips", counted)?;
        let each = args::whole(&each.into(), "the number of strips in a bar", 1, 100)?;
        let each = usize::try_from(each).unwrap_or(1);
        let tiles = args::count(&tiles.into(), "the tiles of a bar", 1)?;
        let all: u64 = have.iter().map(|(_, count)| *count).sum();
        if all > MOST_STRIPS {
            return Err(Fault::from(Misuse::ManyStrips { most: MOST_STRIPS }).into());
        }
        let short = options.with("short", |v, what| args::count(v, what, 1))?;
        if let Some(short) = short.filter(|short| short * each > tiles) {
            return Err(Fault::from(Misuse::LongShortBars { short, each, tiles }).into());
        }
        let cells = options.with("cells", |v, what| args::count(v, what, 1))?;
        let mut draws = ListDraws::new(Run::of(&context)?.seed(), name);
        let sets = sets(options.take("mix"), &have, each, &mut draws)?;
        let counts: Vec<u64> = have.iter().map(|(_, count)| *count).collect();
        let used = use_up(&counts, each as u64, &sets, short.is_some());
        let gives = |bars: &Bars| bars.full * tiles as u64 + bars.short * short.unwrap_or(0) as u64;
        let made: u64 = used.bars.iter().map(gives).sum();
        let mut open = cells.map_or(made, |cells| cells as u64);
        if open > made {
            return Err(Fault::from(Misuse::TooFewTiles { made, wanted: open }).into());
        }
        let mut list = Array::new();
        for (number, bars) in (1_i64..).zip(&used.bars) {
            let tiles = gives(bars).min(open);
            open -= tiles;
            let each = have.iter().zip(&bars.of);
            let strips = each.flat_map(|((strip, _), &n)| (0..n).map(move |_| strip));
            let strips: Array = strips
                .map(|strip| Dynamic::from(Strip(Arc::new(strip.clone()))))
                .collect();
            // Bars and tiles are far fewer than 2^63: strips are bounded, and so are the tiles of each.
            let whole = |n: u64| Dynamic::from(i64::try_from(n).unwrap_or(i64::MAX));
            let entry = [
                ("name", Dynamic::from(format!("{name} {number}"))),
                ("strips", Dynamic::from(strips)),
                ("bars", whole(bars.full)),
                ("short_bars", whole(bars.short)),
                ("tiles", whole(tiles)),
            ];
            let map: Map = entry
                .into_iter()
                .map(|(key, value)| (key.into(), value))
                .collect();
            list.push(Dynamic::from(map));
        }
        Ok(list)
    }

    #[rhai_fn(name = "use_up", volatile, return_raw)]
    pub fn use_up_plainly(
        context: NativeCallContext,
        name: &str,
        strips: Array,
        each: i64,
        tiles: i64,
    ) -> Result<Array, Box<EvalAltResult>> {
        use_up_with(context, name, strips, each, tiles, Map::new())
    }

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
