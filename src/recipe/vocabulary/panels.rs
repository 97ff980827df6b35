//! Words for panels: begin one, say how large it is, fill it.

use rhai::plugin::*;
use rhai::{Array, Dynamic, FnPtr, Map};

use super::filled::fill as filled;
use super::group::{Group, looping};
use super::shapes;
use super::wood::{self, Lattice};
use crate::layout::{self, Trim, nesting::Turns, pieces::Unplaced};
use crate::recipe::args::{self, Options};
use crate::recipe::fault::Fault;
use crate::recipe::misuse::Misuse;
use crate::recipe::run::Run;
use crate::recipe::script_types::{Outline, Panel, Piece};
use crate::stock::tile::Slat;
use crate::stock::{Bar, Tile, TileKind};

/// The group.
pub fn group() -> Group {
    Group {
        name: "panels",
        about: "A panel: first its size, then its tiles. Words on a panel can be chained or written one after the other; a later fill replaces what was there.",
        module: looping(exported_manifest!(words)),
    }
}

/// The width of a cut where none is given, in mm: a full kerf of 1/8 in (common practice).
const KERF: f64 = 3.2;

/// Cuts a panel into pieces.
fn cut(
    panel: &mut Panel,
    pieces: &Dynamic,
    kerf: &Dynamic,
    nest: Option<Turns>,
) -> Result<Panel, Fault> {
    let piece = |value: &Dynamic, what: &str| -> Result<Unplaced, Fault> {
        let piece = value.read_lock::<Piece>();
        piece.map(|piece| piece.0.clone()).ok_or_else(|| {
            args::unexpected(what, "a piece", value)
                .help("write its name and its outline: piece(\"lid\", circle(90))")
        })
    };
    let pieces = args::list(pieces, "the pieces", piece)?;
    let kerf = args::positive_length(kerf, "what the cut takes")?;
    panel.resize(|extent| extent.cut(pieces, kerf, nest))
}

#[export_module(manifest)]
mod words {
    /// Begins a panel. With a lattice, it is filled by rules; without one, tiles are placed one by
    /// one.
    ///
    /// A panel that nothing fills has the tile of its lattice in every cell, as it stands there: a
    /// ground to lay others on by hand.
    ///
    /// # Example
    /// ```rhai
    /// let sheet = laminate([veneer(1, "navy"), plywood(7, 10), veneer(1, "navy")]);
    /// let block = bar(sheet.rip(24)).slice("block");
    /// let p = panel("trivet", squares(block));
    /// p.size(6, 12);
    /// p.fill(block);
    /// ```
    #[rhai_fn(name = "panel", volatile, return_raw)]
    pub fn panel(
        context: NativeCallContext,
        name: &str,
        lattice: Lattice,
    ) -> Result<Panel, Box<EvalAltResult>> {
        Ok(Panel::begin(&context, name, Some(lattice))?)
    }

    #[rhai_fn(name = "panel", volatile, return_raw)]
    pub fn free_panel(context: NativeCallContext, name: &str) -> Result<Panel, Box<EvalAltResult>> {
        Ok(Panel::begin(&context, name, None)?)
    }

    /// So many columns and courses; the rim stays as the tiles make it, unless the panel has a
    /// finished size too.
    ///
    /// # Example
    /// ```rhai
    /// let sheet = laminate([veneer(1, "navy"), plywood(7, 10), veneer(1, "navy")]);
    /// let block = bar(sheet.rip(24)).slice("block");
    /// panel("trivet", squares(block)).size(6, 12).fill(block);
    /// ```
    #[rhai_fn(name = "size", pure, return_raw)]
    pub fn size(
        panel: &mut Panel,
        columns: Dynamic,
        courses: Dynamic,
    ) -> Result<Panel, Box<EvalAltResult>> {
        let columns = args::any_whole(&columns, "the number of columns")?;
        let courses = args::any_whole(&courses, "the number of courses")?;
        Ok(panel.resize(|extent| extent.count(columns, courses))?)
    }

    /// The panel trimmed to a finished width and height.
    ///
    /// Its top left lies at the top left of cell (0, 0), and it takes as many tiles as cover it: a
    /// larger one leaves the tiles where they are. With `size` too, it is cut from the middle of
    /// those cells.
    ///
    /// # Example
    /// ```rhai
    /// let sheet = laminate([veneer(0.6, "navy"), plywood(13, 17.7), veneer(0.6, "navy")]);
    /// let r = sheet.rhombus(60);
    /// let block = hexagon([r, r, r]).slice("block");
    /// panel("tray", hexagons(block)).finished(300, "8 in").fill(block);
    /// ```
    #[rhai_fn(name = "finished", pure, return_raw)]
    pub fn finished(
        panel: &mut Panel,
        width: Dynamic,
        height: Dynamic,
    ) -> Result<Panel, Box<EvalAltResult>> {
        let width = args::length(&width, "the finished width")?;
        let height = args::length(&height, "the finished height")?;
        Ok(panel.resize(|extent| extent.finish(width, height))?)
    }

    /// The panel trimmed to a round of this diameter.
    ///
    /// Like `finished(diameter, diameter)`, with the corners outside the circle left away: tiles that
    /// lie there are not needed.
    ///
    /// # Example
    /// ```rhai
    /// let r = plywood(13, 17.7).rhombus(60);
    /// let block = hexagon([r, r, r]).slice("block");
    /// panel("table", hexagons(block)).finished_round(600).fill(block);
    /// ```
    #[rhai_fn(name = "finished_round", pure, return_raw)]
    pub fn finished_round(
        panel: &mut Panel,
        diameter: Dynamic,
    ) -> Result<Panel, Box<EvalAltResult>> {
        let diameter = args::length(&diameter, "the finished diameter")?;
        Ok(panel.resize(|extent| extent.finish_round(diameter))?)
    }

    /// The panel trimmed to a finished width and height, its corners rounded by a radius.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("tray", squares(block)).finished_rounded(300, 200, 30).fill(block);
    /// ```
    #[rhai_fn(name = "finished_rounded", pure, return_raw)]
    pub fn finished_rounded(
        panel: &mut Panel,
        width: Dynamic,
        height: Dynamic,
        radius: Dynamic,
    ) -> Result<Panel, Box<EvalAltResult>> {
        let width = args::length(&width, "the finished width")?;
        let height = args::length(&height, "the finished height")?;
        let radius = args::length(&radius, "the radius of the corners")?;
        Ok(panel.resize(|extent| extent.finish_rounded(width, height, radius))?)
    }

    /// The panel trimmed to an outline: a shape such as `ellipse` or `l_shape`, or a list of corners in order,
    /// each as `[right, down]`. It is moved so that it begins at the panel's left and top.
    ///
    /// The outline may be concave and have holes. Its lines may not cross or touch, and it must hang
    /// together.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("stand", squares(block))
    ///     .finished_outline([[60, 0], [180, 0], [240, 104], [180, 208], [60, 208], [0, 104]])
    ///     .fill(block);
    /// panel("mirror", squares(block))
    ///     .finished_outline(ellipse(400, 300).hole(ellipse(280, 180)))
    ///     .fill(block);
    /// ```
    #[rhai_fn(name = "finished_outline", pure, return_raw)]
    pub fn finished_outline(
        panel: &mut Panel,
        outline: Dynamic,
    ) -> Result<Panel, Box<EvalAltResult>> {
        let trim = match outline.read_lock::<Outline>() {
            Some(outline) => Trim::region(&outline.region, outline.shape),
            None if outline.is_array() => Trim::corners(&shapes::corners(&outline)?),
            None => {
                let help = if outline.is_string() {
                    "a path as SVG writes it goes to `finished_path(\"M 0 0 H 300 V 200 Z\")`; a drawing is read by outline(\"body.svg\", \"rim\")"
                } else {
                    "write a shape, as in ellipse(400, 300), or the corners: [[0, 0], [300, 0], [150, 260]]"
                };
                return Err(args::unexpected(
                    "the outline",
                    "an outline or a list of corners",
                    &outline,
                )
                .help(help)
                .argument(1)
                .into());
            }
        };
        let trim = trim.map_err(Fault::from)?;
        Ok(panel.resize(|extent| extent.finish_outline(trim))?)
    }

    /// The panel trimmed to a path as SVG writes it: `finished_outline(path(text))`.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("pear", squares(block))
    ///     .finished_path("M 100 0 C 150 0 130 90 180 140 A 90 90 0 1 1 20 140 C 70 90 50 0 100 0 Z")
    ///     .fill(block);
    /// ```
    #[rhai_fn(name = "finished_path", pure, return_raw)]
    pub fn finished_path(panel: &mut Panel, text: &str) -> Result<Panel, Box<EvalAltResult>> {
        let path = shapes::named("path", &shapes::of_path(text)?)?;
        let trim = Trim::region(&path.region, path.shape).map_err(Fault::from)?;
        Ok(panel.resize(|extent| extent.finish_outline(trim))?)
    }

    /// Cuts the panel into pieces when it is done, so that the pattern runs on from one to the next: a list of `piece`,
    /// and what the cut between two of them takes.
    ///
    /// Pieces without places are laid in rows, in order, on the finished size where there is one, else on the smallest
    /// rectangle. With `#{ nested: true }` they are laid by their outlines instead, where that takes less: the largest
    /// first, each as far up and then to the left as it goes. `turned: 180` lets some lie the other way round, `turned: 90`
    /// crosswise too, and with them the pattern on them. Pieces may not overlap, and between any two there is room for the
    /// cut.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let coasters = [];
    /// for i in 1..7 { coasters.push(piece("coaster " + i, circle(90))); }
    /// panel("coasters", squares(block)).pieces(coasters, 4).fill(block);
    /// let brackets = [];
    /// for i in 1..5 { brackets.push(piece("bracket " + i, l_shape(120, 90, 30, 30))); }
    /// panel("brackets", squares(block)).pieces(brackets, 4, #{ turned: 180 }).fill(block);
    /// ```
    #[rhai_fn(name = "pieces", pure, return_raw)]
    pub fn pieces(
        panel: &mut Panel,
        pieces: Dynamic,
        kerf: Dynamic,
    ) -> Result<Panel, Box<EvalAltResult>> {
        Ok(cut(panel, &pieces, &kerf, None)?)
    }

    #[rhai_fn(name = "pieces", pure, return_raw)]
    pub fn nested_pieces(
        panel: &mut Panel,
        pieces: Dynamic,
        kerf: Dynamic,
        options: Map,
    ) -> Result<Panel, Box<EvalAltResult>> {
        let known = ["nested", "turned"];
        let mut options = Options::read(options, "the options of `pieces`", &known)?;
        let turned = options.with("turned", |value, what| args::whole(value, what, 0, 180))?;
        let turns = match turned {
            None | Some(0) => Turns::None,
            Some(180) => Turns::Half,
            Some(90) => Turns::Quarter,
            Some(other) => {
                let words = format!("pieces can be turned by 180 or by 90 degrees, not by {other}");
                return Err(Fault::wrong_value(words)
                    .help("`turned: 180` keeps the grain as it runs, `turned: 90` turns them crosswise too")
                    .into());
            }
        };
        let nested = options.yes_no("nested")?.unwrap_or(turned.is_some());
        Ok(cut(panel, &pieces, &kerf, nested.then_some(turns))?)
    }

    /// Shifts the pattern under the finished size: so far to the right and down.
    ///
    /// # Example
    /// ```rhai
    /// let sheet = laminate([veneer(0.6, "navy"), plywood(13, 17.7), veneer(0.6, "navy")]);
    /// let r = sheet.rhombus(60);
    /// let block = hexagon([r, r, r]).slice("block");
    /// panel("tray", hexagons(block)).finished(300, 200).shift(-10, 5).fill(block);
    /// ```
    #[rhai_fn(name = "shift", pure, return_raw)]
    pub fn shift(
        panel: &mut Panel,
        right: Dynamic,
        down: Dynamic,
    ) -> Result<Panel, Box<EvalAltResult>> {
        let right = args::length(&right, "the shift to the right")?;
        let down = args::length(&down, "the shift down")?;
        Ok(panel.resize(|extent| extent.shift(right, down))?)
    }

    /// Fills all cells: with a tile, by a rule (`sequence`, `random`, `bag`, `keeping`), or by a function that
    /// gets each cell and gives its tile. Where the function gives nothing, the cell stays as it is.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).square()).slice("light");
    /// let dark = bar(laminate([ply(12, "walnut")]).square()).slice("dark");
    /// panel("chequered", squares(light)).size(8, 8)
    ///     .fill(|cell| if (cell.column + cell.course) % 2 == 0 { light } else { dark });
    /// ```
    #[rhai_fn(name = "fill", pure, return_raw)]
    pub fn fill(
        context: NativeCallContext,
        panel: &mut Panel,
        tile_or_rule: Dynamic,
    ) -> Result<Panel, Box<EvalAltResult>> {
        filled(&context, panel, None, &tile_or_rule)
    }

    /// Fills those cells for which a condition holds, like `fill`; the others stay as they are.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).square()).slice("light");
    /// let dark = bar(laminate([ply(12, "walnut")]).square()).slice("dark");
    /// panel("framed", squares(light)).size(8, 8)
    ///     .fill(random("turns", light.looks()))
    ///     .fill_where(|cell| cell.edge, dark);
    /// ```
    #[rhai_fn(name = "fill_where", pure, return_raw)]
    pub fn fill_where(
        context: NativeCallContext,
        panel: &mut Panel,
        condition: FnPtr,
        tile_or_rule: Dynamic,
    ) -> Result<Panel, Box<EvalAltResult>> {
        filled(&context, panel, Some(&condition), &tile_or_rule)
    }

    /// The panel cut again: glued and flattened, it is ripped to slats of one width, a list of tiles from the left.
    ///
    /// Each slat shows what lies between two cuts, and is as thick as the panel. Lay the slats as tiles of another
    /// panel: turned, turned over, shifted. Options: `kerf`, what each cut takes (3.2 mm unless you say otherwise; a
    /// plan holds it against your saw); `across`, whether slats lie along the courses, from the top. What is left
    /// beyond the last slat is waste. The panel must have a straight rim, and cannot change afterwards.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 24).square()).slice("light");
    /// let dark = bar(plywood(9, 24, "walnut").square()).slice("dark");
    /// let first = panel("first", squares(light)).size(8, 6).fill(sequence([light, dark], "falling right"));
    /// let slats = first.slats("slat", 20);
    /// panel("second", squares(slats[0])).size(8, 1)
    ///     .fill(|cell| if cell.column % 2 == 0 { slats[cell.column].rotate(180) } else { slats[cell.column] });
    /// ```
    #[rhai_fn(name = "slats", pure, return_raw)]
    pub fn slats(
        context: NativeCallContext,
        panel: &mut Panel,
        name: &str,
        width: Dynamic,
    ) -> Result<Array, Box<EvalAltResult>> {
        slats_with(context, panel, name, width, Map::new())
    }

    #[rhai_fn(name = "slats", pure, return_raw)]
    pub fn slats_with(
        context: NativeCallContext,
        panel: &mut Panel,
        name: &str,
        width: Dynamic,
        options: Map,
    ) -> Result<Array, Box<EvalAltResult>> {
        let name = name.trim();
        if name.is_empty() {
            return Err(Misuse::NamelessTile.into());
        }
        let width = args::length(&width, "the width of a slat")?;
        let mut options = Options::read(options, "the options of `slats`", &["kerf", "across"])?;
        let kerf = options.length("kerf")?.unwrap_or(KERF);
        let across = options.yes_no("across")?.unwrap_or(false);
        let run = Run::of(&context)?;
        let whole = panel.ripped(&run)?;
        let cut = layout::slats::slats(&whole, width, kerf, across);
        let cut = cut.map_err(|error| Fault::from(Misuse::Slats(error)))?;
        let tile = |(number, (piece, slat)): (usize, (Bar, Slat))| {
            let kind = TileKind::of_panel(format!("{name} {number}"), piece, slat);
            let kind = run.tile_kind(kind)?;
            Ok(Dynamic::from(wood::Tile(Tile::new(kind))))
        };
        Ok((1..).zip(cut).map(tile).collect::<Result<Array, Fault>>()?)
    }

    /// Places a tile with the top left of its bounds so far to the right and down, on a panel
    /// without a lattice.
    ///
    /// The tiles must lie side by side, without overlap or hole.
    ///
    /// # Example
    /// ```rhai
    /// let plank = bar(plywood(9, 12).rip(36)).slice("plank");
    /// let p = panel("wheel");
    /// p.place(plank, 0, 0).place(plank.rotate(90), 36, 0);
    /// p.place(plank, 12, 36).place(plank.rotate(90), 0, 12);
    /// p.place(bar(plywood(9, 24).square()).slice("hub"), 12, 12);
    /// ```
    #[rhai_fn(name = "place", pure, return_raw)]
    pub fn place(
        context: NativeCallContext,
        panel: &mut Panel,
        tile: wood::Tile,
        right: Dynamic,
        down: Dynamic,
    ) -> Result<Panel, Box<EvalAltResult>> {
        let right = args::length(&right, "the place of a tile from the left")?;
        let down = args::length(&down, "the place of a tile from the top")?;
        Ok(panel.place(&context, tile.0, right, down)?)
    }
}
