//! Bars from a sheet of 18 mm, for tests of the plan.
#![allow(
    clippy::unwrap_used,
    dead_code,
    reason = "a test may stop at once, and takes what it needs"
)]

use std::sync::Arc;

use plyloom::{
    geom::TOLERANCE,
    stock::{Bar, Colour, Sheet, hexagon::hexagon, shapes},
};

/// A sheet of 13 plies, 18 mm.
pub(crate) fn sheet() -> Arc<Sheet> {
    Arc::new(Sheet::plywood(13, 18.0, Colour::rgb(230, 210, 170)).unwrap())
}

/// Three rhombi.
pub(crate) fn rhombi() -> Bar {
    hexagon(vec![shapes::rhombus(&sheet(), 60.0).unwrap(); 3], TOLERANCE).unwrap()
}

/// Two half hexagons.
pub(crate) fn halves() -> Bar {
    hexagon(
        vec![shapes::half_hexagon(&sheet(), 60.0).unwrap(); 2],
        TOLERANCE,
    )
    .unwrap()
}

/// Six triangles.
pub(crate) fn triangles() -> Bar {
    hexagon(
        vec![shapes::triangle(&sheet(), 60.0).unwrap(); 6],
        TOLERANCE,
    )
    .unwrap()
}

/// A half hexagon, a rhombus and a triangle.
pub(crate) fn mix() -> Bar {
    let s = sheet();
    let parts = vec![
        shapes::half_hexagon(&s, 60.0).unwrap(),
        shapes::rhombus(&s, 60.0).unwrap(),
        shapes::triangle(&s, 60.0).unwrap(),
    ];
    hexagon(parts, TOLERANCE).unwrap()
}

/// The halves of a right triangle.
pub(crate) fn mitre() -> Bar {
    let (_, right) = shapes::triangle(&sheet(), 45.0).unwrap().halve().unwrap();
    Bar::mitred_pair(&right, TOLERANCE).unwrap()
}
