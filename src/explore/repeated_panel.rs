//! An arrangement of a repeat, repeated to a panel that can be drawn.

use super::repeat::Repeat;
use crate::{
    geom::Point,
    layout::{Extent, LayoutError, Panel, free::Placements},
    stock::Tile,
};

/// A panel of several repeats of an arrangement, to the right and down.
///
/// # Errors
/// When the tiles do not lie edge to edge, which those of a checked lattice do.
pub fn repeated_panel(
    repeat: &Repeat,
    arrangement: &[u16],
    (across, down): (u32, u32),
    name: &str,
) -> Result<Panel, LayoutError> {
    let mut placements = Placements::default();
    let [right, below] = repeat.steps();
    for row in 0..down {
        for column in 0..across {
            let shift = right * f64::from(column) + below * f64::from(row);
            for (cell, &look) in repeat.cells().iter().zip(arrangement) {
                let look = &repeat.looks()[usize::from(look)];
                let tile = Tile {
                    kind: look.kind.clone(),
                    pose: look.pose,
                };
                let corner: Point = cell.at + shift + look.face.bounds().min;
                placements.place(tile, corner.x, corner.y)?;
            }
        }
    }
    placements.resolve(name, &Extent::default())
}
