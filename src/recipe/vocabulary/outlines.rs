//! Words for outlines: the shapes that a panel is trimmed to.

use std::sync::Arc;

use rhai::Dynamic;
use rhai::plugin::*;

use super::group::{Group, looping};
use super::shapes::{self, named, of_drawing, of_path, piece_of, within};
use crate::geom::{
    Point, Rect,
    curve::{Affine, Arc as Bow, Contour, Curve},
};
use crate::layout::trim::TrimShape;
use crate::recipe::args;
use crate::recipe::fault::Fault;
use crate::recipe::run::Run;
use crate::recipe::script_types::{Outline, Piece};

/// The group.
pub fn group() -> Group {
    Group {
        name: "outlines",
        about: "Shapes to trim a panel to, with `finished_outline`. Each is drawn with its left and top at 0, in mm to the right and down.",
        module: looping(exported_manifest!(words)),
    }
}

#[export_module(manifest)]
mod words {
    /// A polygon by its corners in order, each as `[right, down]`. It may be concave; its sides may not
    /// cross or touch.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let arrow = outline([[0, 60], [120, 60], [120, 0], [240, 100], [120, 200], [120, 140], [0, 140]]);
    /// panel("arrow", squares(block)).finished_outline(arrow).fill(block);
    /// ```
    #[rhai_fn(name = "outline", return_raw)]
    pub fn outline(corners: Dynamic) -> Result<Outline, Box<EvalAltResult>> {
        let corners = shapes::corners(&corners)?;
        let shape = TrimShape::Corners(corners.len());
        Ok(Outline::of(&[Contour::corners(&corners)], shape)?)
    }

    /// An outline out of a drawing that lies beside the recipe: the part of an SVG with this id, or the layer
    /// with this label. Shapes and paths are followed, with their transforms, at the size that the drawing
    /// gives itself; one within another is a hole.
    ///
    /// The drawing is packed with the recipe. It may not be longer than 2 MiB.
    #[rhai_fn(name = "outline", volatile, return_raw)]
    pub fn drawn(
        context: NativeCallContext,
        file: &str,
        part: &str,
    ) -> Result<Outline, Box<EvalAltResult>> {
        let run = Run::of(&context)?;
        Ok(named("drawing", &of_drawing(&run, file, part)?)?)
    }

    /// An outline as SVG writes a path: all commands of the standard, in mm. A path within another is a
    /// hole.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let leaf = path("M 0 100 C 60 0 180 0 240 100 C 180 200 60 200 0 100 Z");
    /// panel("leaf", squares(block)).finished_outline(leaf).fill(block);
    /// ```
    #[rhai_fn(name = "path", return_raw)]
    pub fn path(text: &str) -> Result<Outline, Box<EvalAltResult>> {
        Ok(named("path", &of_path(text)?)?)
    }

    /// A rectangle, for holes and frames: a panel of this outline takes `finished`.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let frame = rectangle(300, 240).hole(rectangle(180, 120));
    /// panel("frame", squares(block)).finished_outline(frame).fill(block);
    /// ```
    #[rhai_fn(name = "rectangle", return_raw)]
    pub fn rectangle(width: Dynamic, height: Dynamic) -> Result<Outline, Box<EvalAltResult>> {
        let (width, height) = (
            args::positive_length(&width, "the width")?,
            args::positive_length(&height, "the height")?,
        );
        let corners = Rect::sized(width, height).polygon();
        Ok(named("rectangle", &[Contour::corners(corners.corners())])?)
    }

    /// A rectangle with its corners rounded by a radius.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let board = rounded_rectangle(300, 200, 40).hole(rounded_rectangle(90, 30, 15), 180, 20);
    /// panel("board", squares(block)).finished_outline(board).fill(block);
    /// ```
    #[rhai_fn(name = "rounded_rectangle", return_raw)]
    pub fn rounded_rectangle(
        width: Dynamic,
        height: Dynamic,
        radius: Dynamic,
    ) -> Result<Outline, Box<EvalAltResult>> {
        let (width, height) = (
            args::positive_length(&width, "the width")?,
            args::positive_length(&height, "the height")?,
        );
        let radius = within(&radius, "the radius", width.min(height) / 2.0)?;
        let contour = Contour::rounded_rectangle(width, height, radius);
        Ok(named("rounded_rectangle", &[contour])?)
    }

    /// A circle of this diameter. With a hole in it, it is a ring.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("ring", squares(block)).finished_outline(circle(300).hole(circle(180))).fill(block);
    /// ```
    #[rhai_fn(name = "circle", return_raw)]
    pub fn circle(diameter: Dynamic) -> Result<Outline, Box<EvalAltResult>> {
        let radius = args::positive_length(&diameter, "the diameter")? / 2.0;
        let contour = Contour::ellipse(Point::new(radius, radius), radius, radius);
        Ok(named("circle", &[contour])?)
    }

    /// An ellipse of this width and height.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("tray", squares(block)).finished_outline(ellipse(400, 260)).fill(block);
    /// ```
    #[rhai_fn(name = "ellipse", return_raw)]
    pub fn ellipse(width: Dynamic, height: Dynamic) -> Result<Outline, Box<EvalAltResult>> {
        let (a, b) = (
            args::positive_length(&width, "the width")? / 2.0,
            args::positive_length(&height, "the height")? / 2.0,
        );
        let contour = Contour::ellipse(Point::new(a, b), a, b);
        Ok(named("ellipse", &[contour])?)
    }

    /// An upright board with an arch of a circle as its top. The height is that of the middle; the sides
    /// end lower by the rise. A rise of half the width makes a half circle.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("headboard", squares(block)).finished_outline(arch(400, 260, 90)).fill(block);
    /// ```
    #[rhai_fn(name = "arch", return_raw)]
    pub fn arch(
        width: Dynamic,
        height: Dynamic,
        rise: Dynamic,
    ) -> Result<Outline, Box<EvalAltResult>> {
        let (width, height) = (
            args::positive_length(&width, "the width")?,
            args::positive_length(&height, "the height")?,
        );
        let half = width / 2.0;
        let rise = within(&rise, "the rise", half.min(height))?;
        // By the chord: r = (half^2 + rise^2) / (2 rise).
        let radius = (half * half + rise * rise) / (2.0 * rise);
        let (left, right) = (Point::new(0.0, rise), Point::new(width, rise));
        let bow = Bow::between((left, right), (radius, radius), 0.0, (false, true));
        let low = [Point::new(width, height), Point::new(0.0, height)];
        let curves = bow.map(Curve::Arc).into_iter().chain([
            Curve::Line(right, low[0]),
            Curve::Line(low[0], low[1]),
            Curve::Line(low[1], left),
        ]);
        // Where the rise is the whole height, there are no sides.
        let curves = curves.filter(|c| c.start().distance(c.end()) > 1e-6);
        Ok(named("arch", &[Contour::of(curves)])?)
    }

    /// An L: a rectangle from whose right and bottom a rectangle is left out. The arm down the left is
    /// `left` wide, the arm along the top `top` high.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("worktop", squares(block)).finished_outline(l_shape(400, 300, 130, 120)).fill(block);
    /// ```
    #[rhai_fn(name = "l_shape", return_raw)]
    pub fn l_shape(
        width: Dynamic,
        height: Dynamic,
        left: Dynamic,
        top: Dynamic,
    ) -> Result<Outline, Box<EvalAltResult>> {
        let (width, height) = (
            args::positive_length(&width, "the width")?,
            args::positive_length(&height, "the height")?,
        );
        let left = within(&left, "the arm down the left", width - 1.0)?;
        let top = within(&top, "the arm along the top", height - 1.0)?;
        let corners = [
            (0.0, 0.0),
            (width, 0.0),
            (width, top),
            (left, top),
            (left, height),
            (0.0, height),
        ];
        let corners: Vec<Point> = corners.iter().map(|&(x, y)| Point::new(x, y)).collect();
        Ok(named("l_shape", &[Contour::corners(&corners)])?)
    }

    /// A regular polygon with so many sides of this length, one of them level at the bottom.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("stand", squares(block)).finished_outline(regular_polygon(8, 90)).fill(block);
    /// ```
    #[rhai_fn(name = "regular_polygon", return_raw)]
    pub fn regular_polygon(
        sides: Dynamic,
        side_length: Dynamic,
    ) -> Result<Outline, Box<EvalAltResult>> {
        let sides = args::whole(&sides, "the number of sides", 3, 100)?;
        let length = args::positive_length(&side_length, "the length of a side")?;
        let step = 360.0 / sides as f64;
        let mut at = Point::ZERO;
        let corners: Vec<Point> = (0..sides)
            .map(|k| {
                let corner = at;
                at = at + Point::unit(180.0 + step * k as f64) * length;
                corner
            })
            .collect();
        let polygon = named("regular_polygon", &[Contour::corners(&corners)])?;
        Ok(polygon.moved(Affine::IDENTITY))
    }

    /// The outline with another shape cut out of it: in the middle, or with its left and top so far from
    /// those of the outline.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let clock = circle(300).hole(circle(10)).hole(rectangle(40, 20), 130, 230);
    /// panel("clock", squares(block)).finished_outline(clock).fill(block);
    /// ```
    #[rhai_fn(name = "hole", return_raw)]
    pub fn hole(outline: Outline, shape: Outline) -> Result<Outline, Box<EvalAltResult>> {
        Ok(outline.without(&shape, None)?)
    }

    #[rhai_fn(name = "hole", return_raw)]
    pub fn hole_at(
        outline: Outline,
        shape: Outline,
        right: Dynamic,
        down: Dynamic,
    ) -> Result<Outline, Box<EvalAltResult>> {
        let right = args::length(&right, "the place of a hole from the left")?;
        let down = args::length(&down, "the place of a hole from the top")?;
        Ok(outline.without(&shape, Some(Point::new(right, down)))?)
    }

    /// A piece to cut out of a panel by `pieces`: what it is called, and its outline. With two lengths, its left and top
    /// come to lie so far from those of the panel.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("set", squares(block))
    ///     .pieces([piece("tray", ellipse(300, 200), 0, 0), piece("coaster", circle(90), 310, 50)], 4)
    ///     .fill(block);
    /// ```
    #[rhai_fn(name = "piece", return_raw)]
    pub fn piece(name: &str, outline: Outline) -> Result<Piece, Box<EvalAltResult>> {
        Ok(piece_of(name, &outline, None)?)
    }

    #[rhai_fn(name = "piece", return_raw)]
    pub fn piece_at(
        name: &str,
        outline: Outline,
        right: Dynamic,
        down: Dynamic,
    ) -> Result<Piece, Box<EvalAltResult>> {
        let right = args::length(&right, "the place of a piece from the left")?;
        let down = args::length(&down, "the place of a piece from the top")?;
        Ok(piece_of(name, &outline, Some(Point::new(right, down)))?)
    }

    /// The outline larger by so many mm on all sides, its holes smaller; below 0 it is smaller. Outer corners
    /// become round.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let top = l_shape(400, 300, 130, 120);
    /// panel("inlay", squares(block)).finished_outline(top.offset(-20)).fill(block);
    /// ```
    #[rhai_fn(name = "offset", return_raw)]
    pub fn offset(outline: Outline, distance: Dynamic) -> Result<Outline, Box<EvalAltResult>> {
        let by = args::length(&distance, "the distance")?;
        if by == 0.0 {
            return Ok(outline);
        }
        let grown = outline.region.grown(by).ok_or_else(|| {
            Fault::wrong_value(format!(
                "nothing is left of the outline {} mm farther in",
                -by
            ))
            .help("offset by less")
        })?;
        let outline = Outline {
            shape: outline.shape,
            region: Arc::new(grown),
        };
        Ok(outline.moved(Affine::IDENTITY))
    }

    /// The outline turned clockwise by an angle, with its left and top at 0 again.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("diamond", squares(block)).finished_outline(rectangle(200, 200).rotate(45)).fill(block);
    /// ```
    #[rhai_fn(name = "rotate", return_raw)]
    pub fn rotate(outline: Outline, angle: Dynamic) -> Result<Outline, Box<EvalAltResult>> {
        let angle = args::angle(&angle, "the angle")?;
        Ok(outline.moved(Affine::turn(angle)))
    }

    /// The outline turned over, left to right.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("worktop", squares(block)).finished_outline(l_shape(400, 300, 130, 120).flip()).fill(block);
    /// ```
    #[rhai_fn(name = "flip")]
    pub fn flip(outline: Outline) -> Outline {
        outline.moved(Affine::scale(-1.0, 1.0))
    }
}
