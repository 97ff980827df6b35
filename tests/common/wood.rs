//! Tiles for tests.
#![allow(
    dead_code,
    clippy::unwrap_used,
    reason = "each test file takes what it needs, and may stop at once"
)]

use std::sync::Arc;

use plyloom::{
    geom::TOLERANCE,
    stock::{Bar, Colour, Sheet, Strip, Tile, TileKind, hexagon::hexagon, shapes},
};

/// A sheet of five plies.
pub(crate) fn sheet(thickness: f64) -> Arc<Sheet> {
    Arc::new(Sheet::plywood(5, thickness, Colour::rgb(230, 210, 170)).unwrap())
}

/// A tile of one strip.
pub(crate) fn plain(name: &str, strip: Strip) -> Tile {
    Tile::new(Arc::new(TileKind::new(
        name,
        Arc::new(Bar::plain(strip).unwrap()),
    )))
}

/// A rectangle `width` by `height` mm.
pub(crate) fn rectangle(width: f64, height: f64) -> Tile {
    plain(
        "block",
        Strip::rip(&sheet(height), width, 90.0, 90.0).unwrap(),
    )
}

/// A parallelogram that leans by an edge angle.
pub(crate) fn parallelogram(width: f64, height: f64, edge: f64) -> Tile {
    plain(
        "plank",
        shapes::parallelogram(&sheet(height), width, edge).unwrap(),
    )
}

/// A rhombus `height` mm high with an edge angle.
pub(crate) fn rhombus(height: f64, edge: f64) -> Tile {
    plain("rhombus", shapes::rhombus(&sheet(height), edge).unwrap())
}

/// An isosceles triangle `height` mm high.
pub(crate) fn triangle(height: f64, edge: f64) -> Tile {
    plain("triangle", shapes::triangle(&sheet(height), edge).unwrap())
}

/// A hexagon of three rhombi, standing on a point.
pub(crate) fn hexagon_tile(height: f64) -> Tile {
    let rhombus = shapes::rhombus(&sheet(height), 60.0).unwrap();
    let bar = hexagon(vec![rhombus; 3], TOLERANCE).unwrap();
    Tile::new(Arc::new(TileKind::new("hex", Arc::new(bar))))
}

/// An arrow `width` mm wide of two parallelograms that lean against each other.
pub(crate) fn arrow(width: f64, height: f64, edge: f64) -> Tile {
    let strip = shapes::parallelogram(&sheet(height), width, edge).unwrap();
    let bar = Bar::mitred_pair(&strip, TOLERANCE).unwrap();
    Tile::new(Arc::new(TileKind::new("arrow", Arc::new(bar))))
}
