//! A small panel for the tests of this folder.

use std::sync::Arc;

use crate::geom::{Point, Rect};
use crate::layout::panel::{Cell, JointCount, Panel, PlacedFace, PlacedTile};
use crate::stock::{Bar, Colour, Sheet, Tile, TileKind, shapes};

/// Three squares of 18 mm in a row, turned by 0, 90 and 180 degrees; the trim leaves half of
/// the last.
pub(super) fn panel() -> Panel {
    let colour = Colour::parse("birch").unwrap();
    let sheet = Arc::new(Sheet::plywood(13, 18.0, colour).unwrap());
    let bar = Bar::plain(shapes::square(&sheet).unwrap()).unwrap();
    let kind = Arc::new(TileKind::new("square", Arc::new(bar)));
    let tile = |turn| Tile::new(Arc::clone(&kind)).rotate(turn);
    let face = |tile: Tile| PlacedFace {
        face: tile.kind.face().posed(tile.isometry()),
        kind: tile.kind,
        pose: tile.pose,
    };
    let placed = |index: u8| PlacedTile {
        face: u32::from(index),
        at: Point::new(9.0 + 18.0 * f64::from(index), 9.0),
        cell: Cell {
            column: i32::from(index),
            course: 0,
        },
        whole: index < 2,
    };
    Panel {
        name: "Row \u{1b}[31m".to_owned(),
        faces: [0.0, 90.0, 180.0].map(|turn| face(tile(turn))).to_vec(),
        tiles: [0, 1, 2].map(placed).to_vec(),
        trim: Some(Rect::sized(45.0, 18.0).into()),
        bounds: Rect::sized(45.0, 18.0),
        joints: JointCount { all: 3, matched: 2 },
        laid_on: None,
        pieces: crate::layout::pieces::Pieces::default(),
    }
}
