//! Joints on a lattice: how many, and through how many of them lines run on.

use std::collections::HashMap;

use super::{
    Cells,
    edges::Shared,
    faces::Faces,
    lattice::Neighbour,
    panel::{JointCount, PlacedTile},
    resolve::Seat,
};
/// Counts each joint inside the finished outline once.
pub(super) fn count(
    cells: &Cells,
    faces: &Faces,
    seats: &[Seat],
    tiles: &[PlacedTile],
) -> JointCount {
    let lattice = cells.lattice();
    let mut known: HashMap<(usize, usize, u32, u32), bool> = HashMap::new();
    let mut sum = JointCount::default();
    // Each joint is seen from both sides; the side that comes first in reading order counts it.
    let after = |n: &&Neighbour| (n.courses, n.columns) > (0, 0);
    let later: Vec<Vec<&Neighbour>> = lattice
        .classes()
        .iter()
        .map(|class| class.neighbours.iter().filter(after).collect())
        .collect();
    for (number, tile) in tiles.iter().enumerate() {
        let class = lattice.class_of(tile.cell);
        for (side, n) in later[class].iter().enumerate() {
            let Some(other) = cells.beside(tile.cell, n.columns, n.courses) else {
                continue;
            };
            let (mine, theirs) = (seats[number], seats[other]);
            let agree = |piece: Shared| {
                let edge = |seat: Seat, edge: usize| {
                    let sides = faces.face(seat.face).outline().corners().len();
                    faces.profile(seat.face, (edge + seat.first) % sides)
                };
                piece.matches(edge(mine, n.edge), edge(theirs, n.other_edge))
            };
            let matched = match cells.trim() {
                Some(trim) if !(tile.whole && tiles[other].whole) => {
                    let outline = &lattice.classes()[class].shape.outline;
                    let (a, b) = outline.edge(n.edge);
                    match n.piece.within((a + tile.at, b + tile.at), trim) {
                        Some(piece) => agree(piece),
                        None => continue,
                    }
                }
                _ => *known
                    .entry((class, side, mine.face, theirs.face))
                    .or_insert_with(|| agree(n.piece)),
            };
            sum.all += 1;
            sum.matched += u64::from(matched);
        }
    }
    sum
}
