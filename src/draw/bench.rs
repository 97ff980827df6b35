//! Lines, shapes and words of the drawings for the bench. Units: CSS pixels.

use svg::{
    Document,
    node::element::{Line, Polygon, Rectangle, Text},
};

use crate::geom::Point;

/// Ink for main text, and for notes.
pub(super) const INK: &str = "#222";
pub(super) const FAINT: &str = "#777";

/// Wood that is made, wood that stays, and waste or steel.
pub(super) const MADE: &str = "#e3c48d";
pub(super) const REST: &str = "#f4e9d3";
pub(super) const WASTE: &str = "#b9c0c7";
/// Glue, and what it bounds.
pub(super) const GLUE: &str = "#9a5b00";
/// The first pencil line, and the sheet's face; the second pencil line.
pub(super) const FIRST: &str = "#d2001f";
pub(super) const SECOND: &str = "#0047c2";

/// A white sheet.
pub(super) fn paper(width: f64, height: f64) -> Document {
    Document::new()
        .set("width", px(width))
        .set("height", px(height))
        .set("viewBox", format!("0 0 {} {}", px(width), px(height)))
        .set("font-family", "sans-serif")
        .set("font-size", "13")
        .set("fill", INK)
        .add(block(0.0, 0.0, width, height, "#fff"))
}

/// A closed shape.
pub(super) fn shape(corners: &[Point], fill: &str) -> Polygon {
    Polygon::new()
        .set("points", places(corners))
        .set("fill", fill)
}

pub(super) fn places(points: &[Point]) -> String {
    let each: Vec<String> = points
        .iter()
        .map(|p| format!("{},{}", px(p.x), px(p.y)))
        .collect();
    each.join(" ")
}

pub(super) fn block(x: f64, y: f64, width: f64, height: f64, fill: &str) -> Rectangle {
    Rectangle::new()
        .set("x", px(x))
        .set("y", px(y))
        .set("width", px(width))
        .set("height", px(height))
        .set("fill", fill)
}

pub(super) fn words(text: &str, at: Point, anchor: &str) -> Text {
    Text::new(text)
        .set("x", px(at.x))
        .set("y", px(at.y))
        .set("text-anchor", anchor)
}

pub(super) fn line(from: Point, to: Point) -> Line {
    Line::new()
        .set("x1", px(from.x))
        .set("y1", px(from.y))
        .set("x2", px(to.x))
        .set("y2", px(to.y))
        .set("stroke", INK)
}

/// Pixels with two decimals, no trailing zeros, no minus zero.
pub(super) fn px(value: f64) -> String {
    let hundredths = libm::round(value * 100.0) / 100.0 + 0.0;
    format!("{hundredths}")
}
