//! Which cell is the image of which under a turn or mirror of the panel, and what a tile becomes there.

use super::{cells::Cells, panel::Cell};
use crate::{
    geom::{Isometry, Point, TOLERANCE},
    stock::Tile,
};

/// Two places within this many mm of each other are one: each may be off by the tolerance.
const SLACK: f64 = 2.0 * TOLERANCE;

/// The cells of a panel, found by where they lie.
#[derive(Debug)]
pub struct Images<'a> {
    cells: &'a Cells,
    /// Centres by their place from the left, with the numbers of their cells.
    places: Vec<(Point, usize)>,
}

impl<'a> Images<'a> {
    /// Of these cells.
    #[must_use]
    pub fn of(cells: &'a Cells) -> Self {
        let centres = cells.list().iter().map(|&cell| cells.centre(cell));
        let mut places: Vec<(Point, usize)> = centres.zip(0..).collect();
        places.sort_by(|a, b| a.0.x.total_cmp(&b.0.x));
        Self { cells, places }
    }

    /// The number of the cell that covers the image of a cell under a turn or mirror about the middle
    /// of the panel; none where the image is no cell.
    #[must_use]
    pub fn image(&self, number: usize, by: Isometry) -> Option<usize> {
        let cells = self.cells;
        let middle = cells.bounds().centre();
        let cell = *cells.list().get(number)?;
        let to = self.at(by.apply(cells.centre(cell) - middle) + middle)?;
        let lattice = cells.lattice();
        let outline = |cell: Cell| &lattice.classes()[lattice.class_of(cell)].shape.outline;
        let there = outline(cells.list()[to]);
        outline(cell)
            .moved(by)
            .coincides(there, SLACK)
            .then_some(to)
    }

    /// The number of the cell with this centre.
    fn at(&self, place: Point) -> Option<usize> {
        let from = self.places.partition_point(|(q, _)| q.x < place.x - SLACK);
        self.places[from..]
            .iter()
            .take_while(|(q, _)| q.x <= place.x + SLACK)
            .find(|(q, _)| q.distance(place) <= SLACK)
            .map(|&(_, number)| number)
    }
}

/// The tile that shows in cell `to` the image under a turn or mirror of what `tile` shows in `from`.
#[must_use]
pub fn image(cells: &Cells, tile: &Tile, from: Cell, by: Isometry, to: Cell) -> Tile {
    let lattice = cells.lattice();
    let turned = |cell: Cell| lattice.classes()[lattice.class_of(cell)].turned.linear();
    let seen = tile.isometry().then(turned(from)).then(by.linear());
    tile.showing(seen.then(turned(to).inverse()))
}
