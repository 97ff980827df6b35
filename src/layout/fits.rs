//! In which poses a kind of tile fills a cell.

use std::sync::Arc;

use super::{cells::Cells, lattice::CellClass};
use crate::watch;
use crate::{
    geom::{Isometry, Point, Polygon, TOLERANCE, angle},
    stock::{Face, Tile, TileKind},
};

/// Every pose in which a tile of a kind fills a cell of a class, each look once: those not flipped
/// first, each by the turn. Empty where the kind does not fit.
pub fn fits(kind: &Arc<TileKind>, class: &CellClass) -> Vec<Tile> {
    let cell = &class.shape.outline;
    let mine = kind.face().outline();
    if mine.corners().len() != cell.corners().len()
        || (mine.perimeter() - cell.perimeter()).abs() > TOLERANCE * 4.0
    {
        return Vec::new();
    }
    let plain = Tile::new(Arc::clone(kind));
    let back = class.turned.linear().inverse();
    let mut tiles: Vec<Tile> = Vec::new();
    for stands in [plain.clone(), plain.flip()] {
        let outline = mine.moved(stands.isometry());
        let seen = turns_onto(&outline, cell).into_iter();
        let seen = seen.map(|turn| stands.isometry().then(Isometry::turn(turn)));
        tiles.extend(seen.map(|seen| plain.showing(seen.then(back))));
    }
    tiles.sort_by(|a, b| {
        let flips = a.pose.flip.cmp(&b.pose.flip);
        flips.then(a.pose.turn.total_cmp(&b.pose.turn))
    });
    let mut found: Vec<(Tile, Face)> = Vec::new();
    for tile in tiles {
        watch::ask();
        let face = kind
            .face()
            .posed(tile.isometry().then(class.turned).linear());
        if face.outline().coincides(cell, TOLERANCE)
            && !found.iter().any(|(_, other)| other.looks_like(&face))
        {
            found.push((tile, face));
        }
    }
    found.into_iter().map(|(tile, _)| tile).collect()
}

/// The turns that could bring an outline onto another: an edge of one to the first of the other.
fn turns_onto(outline: &Polygon, onto: &Polygon) -> Vec<f64> {
    let direction = |(a, b): (Point, Point)| angle::direction(b.x - a.x, b.y - a.y);
    let first = direction(onto.edge(0));
    let count = outline.corners().len();
    let mut turns: Vec<f64> = (0..count)
        .map(|e| angle::tidied(first - direction(outline.edge(e))))
        .collect();
    turns.sort_by(f64::total_cmp);
    turns.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    turns
}

/// Of all poses that fill a cell the next one after a tile's, so many steps clockwise as seen; the
/// flip stays. None where there is no other.
pub fn turned(cells: &Cells, tile: &Tile, class: usize, steps: i32) -> Option<Tile> {
    let class = &cells.lattice().classes()[class];
    let step = class.symmetry.step();
    if class.symmetry.turns < 2 {
        return None;
    }
    // A cell that is itself turned over turns its tile the other way round.
    let sign = if class.turned.flip { -1.0 } else { 1.0 };
    Some(tile.rotate(sign * step * f64::from(steps)))
}

/// The tile turned over left for right as it is seen in a cell, where the cell takes it.
pub fn turned_over(cells: &Cells, tile: &Tile, class: usize) -> Option<Tile> {
    let class = &cells.lattice().classes()[class];
    let axis = class.symmetry.axis?;
    let seen = tile.isometry().then(class.turned).linear();
    let over = seen.then(Isometry::mirror(axis));
    Some(tile.showing(over.then(class.turned.linear().inverse())))
}
