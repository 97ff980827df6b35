//! Words for ripping strips and for how they lie.

use rhai::plugin::*;
use rhai::{Array, Dynamic};

use super::group::{Group, looping};
use super::wood::{Sheet, Strip};
use crate::recipe::args;
use crate::recipe::fault::Fault;
use crate::stock::strip::EdgeName;
use crate::stock::{StockError, shapes};

/// The group.
pub fn group() -> Group {
    Group {
        name: "strips",
        about: "Ripping strips from a sheet. Edge angles are measured in the wood between its face and the cut: 90 is square, and the blade tilts by 90 minus the edge angle.",
        module: looping(exported_manifest!(words)),
    }
}

/// An edge of a strip, by word or by number from 1.
///
/// # Errors
/// When it is neither.
pub(super) fn edge_name(value: &Dynamic, what: &str) -> Result<EdgeName, Fault> {
    if value.is_int() {
        let number = args::count(value, what, 1)?;
        return Ok(EdgeName::Number(number));
    }
    if !value.is_string() {
        let expected = "an edge: \"top\", \"right\", \"bottom\", \"left\" or a number from 1";
        return Err(args::unexpected(what, expected, value));
    }
    let which = args::choice(value, what, &EdgeName::WORDS)?;
    Ok(EdgeName::from_word(EdgeName::WORDS[which]).expect("invariant: the words name edges"))
}

fn strip(made: Result<crate::stock::Strip, StockError>) -> Result<Strip, Box<EvalAltResult>> {
    Ok(made.map_err(Fault::from)?.into())
}

fn pieces(
    made: Result<(crate::stock::Strip, crate::stock::Strip), StockError>,
) -> Result<Array, Box<EvalAltResult>> {
    let (left, right) = made.map_err(Fault::from)?;
    Ok(vec![
        Dynamic::from(Strip::from(left)),
        Dynamic::from(Strip::from(right)),
    ])
}

const WIDTH: &str = "the width of a strip";
const EDGE: &str = "the edge angle";

#[export_module(manifest)]
mod words {
    /// A strip ripped from a sheet, so wide on its face.
    ///
    /// Without an angle both edges are square. With one edge angle the cuts are parallel, and the
    /// strip is a parallelogram. With two, the first is the left edge, the second the right one:
    /// below 90 the strip grows narrower towards its back, above 90 wider.
    ///
    /// # Example
    /// ```rhai
    /// let birch = plywood(9, 12);
    /// let lath  = birch.rip(40);
    /// let lean  = birch.rip("1 1/2 in", 60);
    /// let mitre = birch.rip(40, 90, 45);
    /// ```
    #[rhai_fn(name = "rip", pure, return_raw)]
    pub fn rip(sheet: &mut Sheet, width: Dynamic) -> Result<Strip, Box<EvalAltResult>> {
        let width = args::length(&width, WIDTH)?;
        strip(crate::stock::Strip::rip(&sheet.0, width, 90.0, 90.0))
    }

    #[rhai_fn(name = "rip", pure, return_raw)]
    pub fn rip_leaning(
        sheet: &mut Sheet,
        width: Dynamic,
        angle: Dynamic,
    ) -> Result<Strip, Box<EvalAltResult>> {
        let width = args::length(&width, WIDTH)?;
        let angle = args::angle(&angle, EDGE)?;
        strip(shapes::parallelogram(&sheet.0, width, angle))
    }

    #[rhai_fn(name = "rip", pure, return_raw)]
    pub fn rip_bevelled(
        sheet: &mut Sheet,
        width: Dynamic,
        left_angle: Dynamic,
        right_angle: Dynamic,
    ) -> Result<Strip, Box<EvalAltResult>> {
        let width = args::length(&width, WIDTH)?;
        let left = args::angle(&left_angle, "the left edge angle")?;
        let right = args::angle(&right_angle, "the right edge angle")?;
        strip(crate::stock::Strip::rip(&sheet.0, width, left, right))
    }

    /// A square strip: as wide as the sheet is thick.
    ///
    /// # Example
    /// ```rhai
    /// let stick = plywood(13, 17.7).square();
    /// ```
    #[rhai_fn(name = "square", pure, return_raw)]
    pub fn square(sheet: &mut Sheet) -> Result<Strip, Box<EvalAltResult>> {
        strip(shapes::square(&sheet.0))
    }

    /// A strip with a rhombus for its section: parallel cuts at an edge angle, as wide as they are
    /// high.
    ///
    /// Three of them at 60 degrees make a hexagon.
    ///
    /// # Example
    /// ```rhai
    /// let r = plywood(13, 17.7).rhombus(60);
    /// ```
    #[rhai_fn(name = "rhombus", pure, return_raw)]
    pub fn rhombus(sheet: &mut Sheet, angle: Dynamic) -> Result<Strip, Box<EvalAltResult>> {
        strip(shapes::rhombus(&sheet.0, args::angle(&angle, EDGE)?))
    }

    /// A strip with a trapezoid for its section, so wide on the face, both edges at the same angle.
    ///
    /// # Example
    /// ```rhai
    /// let t = plywood(9, 12).trapezoid(50, 60);
    /// ```
    #[rhai_fn(name = "trapezoid", pure, return_raw)]
    pub fn trapezoid(
        sheet: &mut Sheet,
        width: Dynamic,
        angle: Dynamic,
    ) -> Result<Strip, Box<EvalAltResult>> {
        let width = args::length(&width, WIDTH)?;
        strip(shapes::trapezoid(
            &sheet.0,
            width,
            args::angle(&angle, EDGE)?,
        ))
    }

    /// The trapezoid that is half a hexagon: edge angles of 60 degrees, the narrow face as wide as
    /// the cuts are high. Two of them make a hexagon.
    ///
    /// # Example
    /// ```rhai
    /// let half = plywood(13, 17.7).half_hexagon();
    /// let tile = hexagon([half, half]).slice("halves");
    /// ```
    #[rhai_fn(name = "half_hexagon", pure, return_raw)]
    pub fn half_hexagon(sheet: &mut Sheet) -> Result<Strip, Box<EvalAltResult>> {
        strip(shapes::half_hexagon(&sheet.0, 60.0))
    }

    /// A strip with a triangle for its section: its base on the face, both edges at the same angle.
    ///
    /// # Example
    /// ```rhai
    /// let t = plywood(13, 17.7).triangle(60);
    /// let right = plywood(13, 17.7).triangle(45);
    /// ```
    #[rhai_fn(name = "triangle", pure, return_raw)]
    pub fn triangle(sheet: &mut Sheet, angle: Dynamic) -> Result<Strip, Box<EvalAltResult>> {
        strip(shapes::triangle(&sheet.0, args::angle(&angle, EDGE)?))
    }

    /// The strip ripped down the middle into two mirror pieces: a list of the left and the right
    /// one.
    ///
    /// # Example
    /// ```rhai
    /// let halves = plywood(13, 17.7).triangle(45).halve();
    /// let tile = mitred_pair(halves[1]).slice("mitre");
    /// ```
    #[rhai_fn(name = "halve", pure, return_raw)]
    pub fn halve(strip: &mut Strip) -> Result<Array, Box<EvalAltResult>> {
        pieces(strip.0.halve())
    }

    /// The strip ripped once more along its length: a list of the left and the right piece.
    ///
    /// The cut meets the top so many mm from the strip's left end, at an edge angle measured in the
    /// left piece.
    ///
    /// # Example
    /// ```rhai
    /// let lath = plywood(9, 12).rip(40);
    /// let pieces = lath.rip_again(15, 60);
    /// ```
    #[rhai_fn(name = "rip_again", pure, return_raw)]
    pub fn rip_again(
        strip: &mut Strip,
        at: Dynamic,
        angle: Dynamic,
    ) -> Result<Array, Box<EvalAltResult>> {
        let at = args::length(&at, "the place of the cut")?;
        pieces(strip.0.rip_again(at, args::angle(&angle, EDGE)?))
    }

    /// The strip rolled half a turn about its own length: face and back change places.
    ///
    /// # Example
    /// ```rhai
    /// let r = laminate([veneer(0.6, "navy"), plywood(13, 17.7)]).rhombus(60);
    /// let tile = hexagon([r, r.roll(), r]).slice("one rolled");
    /// ```
    #[rhai_fn(name = "roll", pure)]
    pub fn roll(strip: &mut Strip) -> Strip {
        strip.0.roll().into()
    }

    /// The strip turned end for end: its section shows the mirror image.
    ///
    /// In a hexagon, the plies of a rhombus turned end for end run along the other pair of sides.
    ///
    /// # Example
    /// ```rhai
    /// let r = plywood(13, 17.7).rhombus(60);
    /// let tile = hexagon([r, r, r.end_for_end()]).slice("one turned");
    /// ```
    #[rhai_fn(name = "end_for_end", pure)]
    pub fn end_for_end(strip: &mut Strip) -> Strip {
        strip.0.end_for_end().into()
    }

    /// The strip laid on one of its edges: `"top"`, `"right"`, `"bottom"`, `"left"`, or a number
    /// from 1 clockwise from its top left corner.
    ///
    /// # Example
    /// ```rhai
    /// let t = plywood(13, 17.7).triangle(60);
    /// let tile = hexagon([t, t.lay_on("left"), t, t.lay_on("left"), t, t.lay_on("left")])
    ///     .slice("spinner");
    /// ```
    #[rhai_fn(name = "lay_on", pure, return_raw)]
    pub fn lay_on(strip: &mut Strip, edge: Dynamic) -> Result<Strip, Box<EvalAltResult>> {
        let edge = edge_name(&edge, "the edge to lay it on").map_err(|fault| fault.argument(0))?;
        self::strip(strip.0.lay_on(edge))
    }

    /// The name of a strip's shape: `"rectangle"`, `"rhombus"`, `"trapezoid"` and so on.
    ///
    /// # Example
    /// ```rhai
    /// print(plywood(13, 17.7).rhombus(90).shape);
    /// ```
    #[rhai_fn(get = "shape", pure)]
    pub fn shape(strip: &mut Strip) -> String {
        strip.0.shape().to_owned()
    }

    /// Width in mm of a strip as it lies.
    ///
    /// # Example
    /// ```rhai
    /// let r = plywood(13, 17.7).rhombus(60);
    /// print(`${r.width} mm wide, ${r.height} mm high`);
    /// ```
    #[rhai_fn(get = "width", pure)]
    pub fn width(strip: &mut Strip) -> f64 {
        args::measured(strip.0.section().bounds().width())
    }

    /// Height in mm of a strip as it lies.
    ///
    /// # Example
    /// ```rhai
    /// let t = plywood(13, 17.7).triangle(60);
    /// print(t.lay_on("left").height);
    /// ```
    #[rhai_fn(get = "height", pure)]
    pub fn height(strip: &mut Strip) -> f64 {
        args::measured(strip.0.section().bounds().height())
    }
}
