//! Which cell is the image of which under a turn or mirror of the panel, and what a tile becomes there.

use super::{cells::Cells, panel::Cell};
use crate::{
    geom::{Isometry, Point, TOLERANCE},
    stock::Tile,
};

/// Two places within this many mm of each other are one: each may be off by the tolerance.
const SLACK: f64 = 2.0 * TOLERANCE;
/// How many cells about the middle say which point is the best middle, and among how many of them it is sought.
const ASKED: usize = 400;
const SOUGHT: usize = 8;

/// The cells of a panel, found by where they lie.
#[derive(Debug)]
pub struct Images<'a> {
    cells: &'a Cells,
    /// Centres by their place from the left, with the numbers of their cells.
    places: Vec<(Point, usize)>,
}

impl<'a> Images<'a> {
    /// Of these cells.
    pub fn of(cells: &'a Cells) -> Self {
        let centres = cells.list().iter().map(|&cell| cells.centre(cell));
        let mut places: Vec<(Point, usize)> = centres.zip(0..).collect();
        places.sort_by(|a, b| a.0.x.total_cmp(&b.0.x));
        Self { cells, places }
    }

    /// The number of the cell that covers the image of a cell under a turn or mirror about the middle
    /// of the panel; none where the image is no cell.
    pub fn image(&self, number: usize, by: Isometry) -> Option<usize> {
        self.image_about(self.cells.bounds().centre(), number, by)
    }

    /// The same about another point.
    pub fn image_about(&self, middle: Point, number: usize, by: Isometry) -> Option<usize> {
        let cells = self.cells;
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

    /// The point about which the cells in the middle of the panel have the most images under these moves: its
    /// middle, or a centre, a corner or the middle between two centres near it. Where courses are shifted, say,
    /// no mirror of hexagons goes through the middle itself.
    pub fn middle(&self, moves: &[Isometry]) -> Point {
        let cells = self.cells;
        let middle = cells.bounds().centre();
        let centre = |number: usize| cells.centre(cells.list()[number]);
        let mut near: Vec<usize> = (0..cells.list().len()).collect();
        near.sort_by(|&a, &b| {
            let far = |number| centre(number).distance(middle);
            far(a).total_cmp(&far(b)).then(a.cmp(&b))
        });
        near.truncate(ASKED);
        let images = |about: Point| {
            let of = |&number: &usize| {
                let there = |by: &&Isometry| self.image_about(about, number, **by).is_some();
                moves.iter().filter(there).count()
            };
            near.iter().map(of).sum::<usize>()
        };
        let mut best = (images(middle), middle);
        if best.0 == near.len() * moves.len() {
            return middle;
        }
        let nearest = &near[..near.len().min(SOUGHT)];
        let mut points: Vec<Point> = nearest.iter().map(|&number| centre(number)).collect();
        for (i, &number) in nearest.iter().enumerate() {
            let others = nearest[..i].iter();
            points.extend(others.map(|&other| centre(number).towards(centre(other), 0.5)));
            let lattice = cells.lattice();
            let class = &lattice.classes()[lattice.class_of(cells.list()[number])];
            let corners = class.shape.outline.corners().iter();
            points.extend(corners.map(|&corner| centre(number) + corner));
        }
        points.sort_by(|a, b| a.distance(middle).total_cmp(&b.distance(middle)));
        for point in points {
            let found = images(point);
            if found > best.0 {
                best = (found, point);
            }
        }
        best.1
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
pub fn image(cells: &Cells, tile: &Tile, from: Cell, by: Isometry, to: Cell) -> Tile {
    let lattice = cells.lattice();
    let turned = |cell: Cell| lattice.classes()[lattice.class_of(cell)].turned.linear();
    let seen = tile.isometry().then(turned(from)).then(by.linear());
    tile.showing(seen.then(turned(to).inverse()))
}
