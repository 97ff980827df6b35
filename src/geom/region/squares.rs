//! A grid of squares over a region: which lie inside, which outside, and which edges cross the others.

use super::super::{Point, Polygon, Rect};
use super::piece::Piece;

/// A grid with the numbers of the lines that pass each of its squares.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Grid {
    origin: Point,
    side: f64,
    columns: usize,
    rows: usize,
    passing: Vec<Vec<u32>>,
}

impl Grid {
    /// A grid fit for so many lines within some bounds.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "from 8 to 128"
    )]
    pub(super) fn over(bounds: Rect, lines: usize) -> Self {
        let across = (lines / 4).clamp(8, 128) as f64;
        let side = (bounds.width().max(bounds.height()) / across).max(1e-3);
        let count = |mm: f64| libm::ceil(mm / side).clamp(1.0, 130.0) as usize;
        let (columns, rows) = (count(bounds.width()), count(bounds.height()));
        Self {
            origin: bounds.min,
            side,
            columns,
            rows,
            passing: vec![Vec::new(); columns * rows],
        }
    }

    /// The squares, row by row.
    pub(super) fn squares(&self) -> impl Iterator<Item = &Vec<u32>> {
        self.passing.iter()
    }

    /// Notes a line in each square that it passes, or comes near.
    pub(super) fn add(&mut self, number: u32, a: Point, b: Point) {
        let Some(bounds) = Rect::around([a, b]) else {
            return;
        };
        let along = b - a;
        let near = self.side * 1e-6;
        let (columns, rows) = self.spans(bounds.grown(near));
        for row in rows {
            for column in columns.clone() {
                // The square lies beside the line where its middle is farther off than its corners reach.
                let middle = self.middle(column, row);
                let half = self.side / 2.0 + near;
                let reach = half * (along.x.abs() + along.y.abs());
                if along.cross(middle - a).abs() <= reach {
                    self.passing[row * self.columns + column].push(number);
                }
            }
        }
    }

    /// What is known of each square when edges enclose something: along the middle line of a row, inside and outside
    /// change where an edge crosses it.
    fn each(&self, edges: &[(Point, Point)]) -> Vec<Square> {
        let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); self.rows];
        for &(a, b) in edges {
            let (_, rows) = self.spans(Rect {
                min: Point::new(a.x.min(b.x), a.y.min(b.y)),
                max: Point::new(a.x.max(b.x), a.y.max(b.y)),
            });
            for row in rows {
                let y = self.middle(0, row).y;
                if (a.y > y) != (b.y > y) {
                    crossings[row].push(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
                }
            }
        }
        let mut each = Vec::with_capacity(self.passing.len());
        for (row, crossings) in crossings.iter_mut().enumerate() {
            crossings.sort_by(f64::total_cmp);
            let before = |x: f64| crossings.partition_point(|&at| at < x);
            for column in 0..self.columns {
                let free = self.passing[each.len()].is_empty();
                let inside = before(self.middle(column, row).x) % 2 == 1;
                each.push(match (free, inside) {
                    (false, _) => Square::Rim,
                    (true, true) => Square::Inside,
                    (true, false) => Square::Outside,
                });
            }
        }
        each
    }

    fn middle(&self, column: usize, row: usize) -> Point {
        let at = Point::new(column as f64 + 0.5, row as f64 + 0.5);
        self.origin + at * self.side
    }

    /// Columns and rows that a rectangle meets; the outermost stand for all beyond.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "saturates at the rim of the grid"
    )]
    fn spans(&self, rect: Rect) -> (std::ops::Range<usize>, std::ops::Range<usize>) {
        let span = |low: f64, high: f64, count: usize| {
            let square = |at: f64| ((at / self.side) as usize).min(count - 1);
            square(low)..square(high) + 1
        };
        let (low, high) = (rect.min - self.origin, rect.max - self.origin);
        (
            span(low.x, high.x, self.columns),
            span(low.y, high.y, self.rows),
        )
    }
}

/// What a rectangle meets of a region.
pub(super) enum Look {
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
    bounds: Rect,
}

impl Squares {
    pub(super) fn of(pieces: &[Piece], bounds: Rect) -> Self {
        let loops = pieces.iter().flat_map(Piece::loops);
        let edges: Vec<(Point, Point)> = loops.flat_map(Polygon::edges).collect();
        let mut grid = Grid::over(bounds, edges.len());
        for (number, (a, b)) in (0_u32..).zip(&edges) {
            grid.add(number, *a, *b);
        }
        let each = grid.each(&edges);
        Self {
            grid,
            edges,
            each,
            bounds,
        }
    }

    /// Whether a point lies inside: from the nearest square to the left that no edge passes, each edge on
    /// the way to it turns inside to outside.
    pub(super) fn holds(&self, p: Point) -> bool {
        let inner = Rect { min: p, max: p };
        if !self.bounds.holds(inner, 0.0) {
            return false;
        }
        let (columns, rows) = self.grid.spans(inner);
        let row = rows.start * self.grid.columns;
        let mut passing: Vec<u32> = Vec::new();
        let mut from = self.bounds.min.x - 1.0;
        let mut inside = false;
        for column in (0..=columns.start).rev() {
            let here = &self.grid.passing[row + column];
            if here.is_empty() {
                from = self.grid.middle(column, rows.start).x;
                inside = self.each[row + column] == Square::Inside;
                break;
            }
            passing.extend(here);
        }
        passing.sort_unstable();
        passing.dedup();
        // Where the nearest free square is the point's own, its middle may lie to the right.
        let (low, high) = (from.min(p.x), from.max(p.x));
        for number in passing {
            let (a, b) = self.edges[number as usize];
            if (a.y > p.y) != (b.y > p.y) {
                let x = a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y);
                inside ^= low < x && x <= high;
            }
        }
        inside
    }

    pub(super) fn look(&self, rect: Rect) -> Look {
        if !self.bounds.meets(rect) {
            return Look::Outside;
        }
        let (columns, rows) = self.grid.spans(rect);
        let mut somewhere = None;
        let mut free = true;
        let squares = |row: usize| {
            row * self.grid.columns + columns.start..row * self.grid.columns + columns.end
        };
        for square in rows.clone().flat_map(|row| &self.each[squares(row)]) {
            match square {
                Square::Rim => free = false,
                other => somewhere = Some(*other == Square::Inside),
            }
        }
        let within = self.bounds.holds(rect, 0.0);
        if free && let Some(inside) = somewhere {
            return if inside && within {
                Look::Inside
            } else {
                Look::Outside
            };
        }
        let mut near: Vec<u32> = Vec::new();
        for passing in rows.flat_map(|row| &self.grid.passing[squares(row)]) {
            near.extend(passing);
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
            return Look::Rim(edges);
        }
        // Without an edge in it, all of it lies as any place of it does.
        match somewhere {
            _ if !within => Look::Outside,
            Some(true) => Look::Inside,
            Some(false) => Look::Outside,
            None => Look::Either,
        }
    }
}
