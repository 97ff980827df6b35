//! Outlines as SVG: a group a layer, a path a contour, arcs and Beziers as they are.

use std::fmt::Write as _;

use super::layers::{Outlines, number};
use crate::geom::{
    Point, angle,
    curve::{Arc, Contour, Curve},
};
use crate::watch;

/// The outlines as SVG, with nothing filled.
pub fn outlines_svg(outlines: &Outlines) -> String {
    let (width, height) = (number(outlines.width), number(outlines.height));
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\">\n"
    );
    for layer in &outlines.layers {
        let _ = writeln!(
            text,
            "<g id=\"{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"0.1\">",
            layer.name
        );
        for contour in &layer.contours {
            watch::ask();
            let _ = writeln!(text, "<path d=\"{}\"/>", data(contour));
        }
        text += "</g>\n";
    }
    text + "</svg>\n"
}

fn place(p: Point) -> String {
    format!("{} {}", number(p.x), number(p.y))
}

fn data(contour: &Contour) -> String {
    let mut text = String::new();
    let curves = contour.curves();
    if let Some(first) = curves.first() {
        let _ = write!(text, "M{}", place(first.start()));
    }
    for (i, curve) in curves.iter().enumerate() {
        match curve {
            // The line back to the start is the closing one.
            Curve::Line(..) if i + 1 == curves.len() => {}
            Curve::Line(_, b) => {
                let _ = write!(text, "L{}", place(*b));
            }
            Curve::Arc(arc) => push_arc(&mut text, arc),
            Curve::Cubic([_, a, b, c]) => {
                let _ = write!(text, "C{} {} {}", place(*a), place(*b), place(*c));
            }
        }
    }
    text + "Z"
}

/// An arc, in two halves where it is so long that its ends hardly determine it.
fn push_arc(text: &mut String, arc: &Arc) {
    let (a, b) = arc.axes();
    let turn = angle::direction(a.x, a.y);
    let parts = if arc.sweep.abs() > 180.0 { 2 } else { 1 };
    for part in 1..=parts {
        let end = arc.at(arc.from + arc.sweep * f64::from(part) / f64::from(parts));
        let _ = write!(
            text,
            "A{} {} {} 0 {} {}",
            number(a.length()),
            number(b.length()),
            number(turn),
            u8::from(arc.is_clockwise()),
            place(end)
        );
    }
}
