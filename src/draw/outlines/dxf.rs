//! Outlines as DXF of release 12, which every tool reads: closed polylines on named layers, in mm. Arcs of
//! circles are kept as bulges; other curves are chords within 0.005 mm.
//!
//! Group codes by the DXF Reference: 0 what it is, 2 a name, 8 the layer, 10/20/30 a place, 42 the bulge
//! (the tangent of a quarter of the arc's angle, above 0 where it runs anticlockwise), 66 vertices follow,
//! 70 flags (1: closed).

use std::fmt::Write as _;

use super::layers::{Outlines, number};
use crate::geom::{
    Point, angle,
    curve::{Contour, Curve},
};
use crate::watch;

/// The outlines as DXF.
pub fn outlines_dxf(outlines: &Outlines) -> String {
    let mut text = String::new();
    let mut pair = |code: u16, value: &str| {
        let _ = write!(text, "{code:>3}\n{value}\n");
    };
    pair(999, "all lengths in mm");
    for (code, value) in [
        (0, "SECTION"),
        (2, "HEADER"),
        (9, "$ACADVER"),
        (1, "AC1009"),
    ] {
        pair(code, value);
    }
    // Millimetres, for the readers that look for it.
    for (code, value) in [(9, "$INSUNITS"), (70, "4"), (0, "ENDSEC")] {
        pair(code, value);
    }
    for (code, value) in [(0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LAYER")] {
        pair(code, value);
    }
    pair(70, &outlines.layers.len().to_string());
    for (layer, colour) in outlines.layers.iter().zip(1..) {
        pair(0, "LAYER");
        pair(2, &name(&layer.name));
        pair(70, "0");
        pair(62, &i32::to_string(&colour));
        pair(6, "CONTINUOUS");
    }
    for (code, value) in [
        (0, "ENDTAB"),
        (0, "ENDSEC"),
        (0, "SECTION"),
        (2, "ENTITIES"),
    ] {
        pair(code, value);
    }
    for layer in &outlines.layers {
        let on = name(&layer.name);
        for contour in &layer.contours {
            watch::ask();
            for (code, value) in [(0, "POLYLINE"), (8, on.as_str()), (66, "1")] {
                pair(code, value);
            }
            for (code, value) in [(10, "0"), (20, "0"), (30, "0"), (70, "1")] {
                pair(code, value);
            }
            for (at, bulge) in vertices(contour) {
                pair(0, "VERTEX");
                pair(8, &on);
                pair(10, &number(at.x));
                pair(20, &number(outlines.height - at.y));
                pair(30, "0");
                if bulge != 0.0 {
                    pair(42, &format!("{bulge:.9}"));
                }
            }
            pair(0, "SEQEND");
            pair(8, &on);
        }
    }
    for (code, value) in [(0, "ENDSEC"), (0, "EOF")] {
        pair(code, value);
    }
    text
}

/// A layer's name as the release has them.
fn name(layer: &str) -> String {
    layer.to_uppercase().replace('-', "_")
}

/// The places of a closed polyline, each with the bulge of what leads on from it.
fn vertices(contour: &Contour) -> Vec<(Point, f64)> {
    let mut vertices = Vec::new();
    for curve in contour.curves() {
        match curve {
            Curve::Arc(arc) if arc.radius().is_some() => {
                // A bulge of an arc of 180 degrees and more is read poorly.
                let parts = if arc.sweep.abs() > 170.0 { 3 } else { 1 };
                let sweep = arc.sweep.abs() / f64::from(parts);
                let bulge = angle::tan(sweep / 4.0) * if arc.is_clockwise() { -1.0 } else { 1.0 };
                for part in 0..parts {
                    let at = arc.from + arc.sweep * f64::from(part) / f64::from(parts);
                    vertices.push((arc.at(at), bulge));
                }
            }
            other => vertices.extend(other.chords().into_iter().map(|p| (p, 0.0))),
        }
    }
    vertices
}
