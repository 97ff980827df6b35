//! Panels placed by hand, for the tests of drawings.
#![allow(
    dead_code,
    clippy::unwrap_used,
    reason = "each test file takes what it needs, and a test may stop at once"
)]

use std::sync::Arc;

use crate::common::tiles::face as face_of;
use plyloom::{
    geom::{Point, Rect, TOLERANCE},
    layout::panel::{Cell, JointCount, Panel, PlacedFace, PlacedTile},
    stock::{
        Bar, Colour, Grain, Layer, LayerKind, Sheet, Tile, TileKind, hexagon::hexagon, shapes,
    },
};

/// Birch plywood of 13 plies and 17.7 mm with a navy veneer of 0.6 mm on both sides.
pub(crate) fn veneered() -> Arc<Sheet> {
    let navy = Colour::parse("#1f2f5f").unwrap();
    let ply = Sheet::plywood(13, 17.7, Colour::parse("birch").unwrap()).unwrap();
    let veneer = Layer::new(LayerKind::Veneer, 0.6, navy, Grain::Across).unwrap();
    let mut layers = vec![veneer];
    layers.extend_from_slice(ply.layers());
    layers.push(veneer);
    Arc::new(Sheet::new(layers).unwrap())
}

/// The hexagon of three rhombi.
pub(crate) fn rosette(name: &str) -> Arc<TileKind> {
    let rhombus = shapes::rhombus(&veneered(), 60.0).unwrap();
    let bar = hexagon(vec![rhombus; 3], TOLERANCE).unwrap();
    Arc::new(TileKind::new(name, Arc::new(bar)))
}

/// The square of two right triangles.
pub(crate) fn mitre() -> Arc<TileKind> {
    let (_, right) = shapes::triangle(&veneered(), 45.0)
        .unwrap()
        .halve()
        .unwrap();
    let bar = Bar::mitred_pair(&right, TOLERANCE).unwrap();
    Arc::new(TileKind::new("Mitred pair", Arc::new(bar)))
}

/// A panel of tiles at places; trimmed where a rectangle is given, in the same coordinates.
pub(crate) fn panel(name: &str, tiles: &[(Tile, Point)], trim: Option<Rect>) -> Panel {
    let mut faces: Vec<PlacedFace> = Vec::new();
    let mut placed = Vec::new();
    for (i, (tile, at)) in tiles.iter().enumerate() {
        let bounds = face_of(tile).bounds().shifted(*at);
        if trim.is_some_and(|t| !t.meets(bounds)) {
            continue;
        }
        let found = faces
            .iter()
            .position(|f| f.pose == tile.pose && Arc::ptr_eq(&f.kind, &tile.kind));
        let face = found.unwrap_or_else(|| {
            faces.push(PlacedFace {
                kind: Arc::clone(&tile.kind),
                pose: tile.pose,
                face: face_of(tile),
            });
            faces.len() - 1
        });
        placed.push(PlacedTile {
            face: u32::try_from(face).unwrap(),
            at: *at,
            cell: Cell {
                column: i32::try_from(i).unwrap(),
                course: 0,
            },
            whole: trim.is_none_or(|t| t.holds(bounds, TOLERANCE)),
        });
    }
    let all = |t: &PlacedTile| faces[t.face as usize].face.bounds().shifted(t.at);
    let bounds = trim.unwrap_or_else(|| placed.iter().map(all).reduce(Rect::join).unwrap());
    let back = -bounds.min;
    for tile in &mut placed {
        tile.at = tile.at + back;
    }
    Panel {
        name: name.to_owned(),
        faces,
        tiles: placed,
        trim: trim.map(|t| t.shifted(back).into()),
        bounds: bounds.shifted(back),
        joints: JointCount {
            all: 120,
            matched: 97,
        },
        laid_on: None,
        pieces: plyloom::layout::pieces::Pieces::default(),
    }
}

/// Places of hexagons that stand on a corner, row by row.
pub(crate) fn hexagon_places(kind: &TileKind, columns: u32, courses: u32) -> Vec<Point> {
    let b = kind.face().bounds();
    let (dx, dy) = (b.width(), b.height() * 0.75);
    let at = |c: u32, r: u32| {
        let shift = if r % 2 == 1 { dx / 2.0 } else { 0.0 };
        Point::new(f64::from(c) * dx + shift, f64::from(r) * dy)
    };
    (0..courses)
        .flat_map(|r| (0..columns).map(move |c| at(c, r)))
        .collect()
}

/// Hexagons with turns and flips that change from cell to cell, with the rim that the tiles leave
/// or cut to the largest rectangle inside.
pub(crate) fn hexagons(name: &str, columns: u32, courses: u32, trimmed: bool) -> Panel {
    let kind = rosette(name);
    let tiles: Vec<(Tile, Point)> = hexagon_places(&kind, columns, courses)
        .into_iter()
        .enumerate()
        .map(|(i, at)| {
            let tile = Tile::new(Arc::clone(&kind));
            let tile = if i % 3 == 1 { tile.flip() } else { tile };
            (tile.rotate(60.0 * ((i * i) % 6) as f64), at)
        })
        .collect();
    let b = kind.face().bounds();
    let trim = trimmed.then(|| Rect {
        min: Point::ZERO,
        max: Point::new(
            b.width() * (f64::from(columns) - 1.0) + b.width() / 2.0,
            b.height() * 0.75 * (f64::from(courses) - 1.0),
        ),
    });
    panel(name, &tiles, trim)
}

/// Squares of mitred pairs in pinwheels of four.
pub(crate) fn squares(name: &str, columns: u32, courses: u32) -> Panel {
    let kind = mitre();
    let side = kind.face().bounds().width();
    let mut tiles = Vec::new();
    for r in 0..courses {
        for c in 0..columns {
            let turn = match (r % 2, c % 2) {
                (0, 0) => 0.0,
                (0, _) => 90.0,
                (_, 0) => 270.0,
                _ => 180.0,
            };
            let at = Point::new(f64::from(c) * side, f64::from(r) * side);
            tiles.push((Tile::new(Arc::clone(&kind)).rotate(turn), at));
        }
    }
    panel(name, &tiles, None)
}
