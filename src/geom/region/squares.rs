//! A grid of squares over a region: which lie inside, which outside, and which edges cross the others.

use std::ops::Range;

use super::super::{Point, Polygon, Rect};
use super::grid::Grid;
use super::piece::Piece;

/// What a rectangle meets of a region.
pub(super) enum Coverage {
    /// All of it lies inside.
    Inside,
    /// All of it lies outside.
    Outside,
    /// These edges are near, at least one.
    Rim(Vec<(Point, Point)>),
    /// No edge is near, and it takes a look at any of its points to tell.
    Either,
}

/// What is known of a square.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Square {
    Inside,
    Outside,
    /// An edge passes it.
    Rim,
}

/// A region's grid.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Squares {
    grid: Grid,
    edges: Vec<(Point, Point)>,
    each: Vec<Square>,
    /// Whether the point [`amid`] each square lies inside.
    known: Vec<bool>,
    /// For each corner of the squares: how many squares above and to the left an edge passes, and how many lie inside.
    above: Vec<[u32; 2]>,
    bounds: Rect,
}

impl Squares {
    pub(super) fn of(pieces: &[Piece], bounds: Rect) -> Self {
        let loops = pieces.iter().flat_map(Piece::loops);
        let edges: Vec<(Point, Point)> = loops.flat_map(Polygon::edges).collect();
        let grid = Grid::of(bounds, edges.len() / 4, edges.iter().copied());
        let known = known(&grid, &edges);
        let each = known.iter().enumerate();
        let each: Vec<Square> = each
            .map(|(square, inside)| match (grid.passing(square), inside) {
                ([], true) => Square::Inside,
                ([], false) => Square::Outside,
                _ => Square::Rim,
            })
            .collect();
        Self {
            above: above(&grid, &each),
            known,
            grid,
            edges,
            each,
            bounds,
        }
    }

    /// How many of some squares an edge passes, and how many lie inside.
    fn count(&self, columns: &Range<usize>, rows: &Range<usize>) -> [u32; 2] {
        let row = self.grid.columns + 1;
        let at = |x: usize, y: usize| self.above[y * row + x];
        let (low, high) = (
            [at(columns.start, rows.start), at(columns.end, rows.end)],
            [at(columns.end, rows.start), at(columns.start, rows.end)],
        );
        [0, 1].map(|i| low[0][i] + low[1][i] - high[0][i] - high[1][i])
    }

    /// Whether a point lies inside: on the straight way to it from a point of its square of which that is known, each edge
    /// turns inside to outside. All of them pass that square.
    pub(super) fn holds(&self, p: Point) -> bool {
        let own = Rect { min: p, max: p };
        if !self.bounds.holds(own, 0.0) {
            return false;
        }
        let (columns, rows) = self.grid.spans(own);
        let from = amid(&self.grid, columns.start, rows.start);
        let way = p - from;
        // A corner on the way counts as one on its right.
        let left = |q: Point| way.cross(q - from) > 0.0;
        let square = rows.start * self.grid.columns + columns.start;
        let passing = self.grid.passing(square).iter();
        let crossed = passing.filter(|&&number| {
            let (a, b) = self.edges[number as usize];
            let side = |q: Point| (b - a).cross(q - a) > 0.0;
            left(a) != left(b) && side(from) != side(p)
        });
        self.known[square] != (crossed.count() % 2 == 1)
    }

    pub(super) fn look(&self, rect: Rect) -> Coverage {
        if !self.bounds.meets(rect) {
            return Coverage::Outside;
        }
        let (columns, rows) = self.grid.spans(rect);
        let within = self.bounds.holds(rect, 0.0);
        let [passed, inside] = self.count(&columns, &rows);
        if passed == 0 {
            return if inside > 0 && within {
                Coverage::Inside
            } else {
                Coverage::Outside
            };
        }
        let squares = rows.flat_map(|row| {
            let from = row * self.grid.columns;
            from + columns.start..from + columns.end
        });
        let mut near: Vec<u32> = Vec::new();
        let mut somewhere = None;
        for square in squares {
            match self.each[square] {
                Square::Rim => near.extend(self.grid.passing(square)),
                other => somewhere = Some(other == Square::Inside),
            }
        }
        near.sort_unstable();
        near.dedup();
        let meets = |&(a, b): &(Point, Point)| {
            a.x.max(b.x) >= rect.min.x
                && a.x.min(b.x) <= rect.max.x
                && a.y.max(b.y) >= rect.min.y
                && a.y.min(b.y) <= rect.max.y
        };
        let edges: Vec<(Point, Point)> = (near.into_iter())
            .map(|number| self.edges[number as usize])
            .filter(meets)
            .collect();
        if !edges.is_empty() {
            return Coverage::Rim(edges);
        }
        // Without an edge in it, all of it lies as any place of it does.
        match somewhere {
            _ if !within => Coverage::Outside,
            Some(true) => Coverage::Inside,
            Some(false) => Coverage::Outside,
            None => Coverage::Either,
        }
    }
}

/// A point near the middle of a square, through which no edge leads that somebody drew by round numbers.
fn amid(grid: &Grid, column: usize, row: usize) -> Point {
    grid.middle(column, row) + Point::new(0.071_83, 0.031_42) * grid.side
}

/// Whether that point of each square lies inside when edges enclose something: along the line of a row, inside and
/// outside change where an edge crosses it.
fn known(grid: &Grid, edges: &[(Point, Point)]) -> Vec<bool> {
    let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); grid.rows];
    for &(a, b) in edges {
        let (_, rows) = grid.spans(Rect {
            min: Point::new(a.x.min(b.x), a.y.min(b.y)),
            max: Point::new(a.x.max(b.x), a.y.max(b.y)),
        });
        for row in rows {
            let y = amid(grid, 0, row).y;
            if (a.y > y) != (b.y > y) {
                crossings[row].push(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
            }
        }
    }
    let mut known = Vec::with_capacity(grid.len());
    for (row, crossings) in crossings.iter_mut().enumerate() {
        crossings.sort_by(f64::total_cmp);
        let mut before = 0;
        for column in 0..grid.columns {
            let x = amid(grid, column, row).x;
            while crossings.get(before).is_some_and(|&at| at <= x) {
                before += 1;
            }
            known.push(before % 2 == 1);
        }
    }
    known
}

fn above(grid: &Grid, each: &[Square]) -> Vec<[u32; 2]> {
    let row = grid.columns + 1;
    let mut above = vec![[0; 2]; row * (grid.rows + 1)];
    for y in 0..grid.rows {
        let mut so_far = [0; 2];
        for x in 0..grid.columns {
            match each[y * grid.columns + x] {
                Square::Rim => so_far[0] += 1,
                Square::Inside => so_far[1] += 1,
                Square::Outside => (),
            }
            let upper = above[y * row + x + 1];
            above[(y + 1) * row + x + 1] = [0, 1].map(|i| upper[i] + so_far[i]);
        }
    }
    above
}
