//! A grid of squares, each with the lines that pass it.

use super::super::{Point, Rect};

/// A grid with the numbers of the lines that pass each of its squares.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Grid {
    origin: Point,
    pub(super) side: f64,
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// Where the lines of each square begin among all; one more at the end.
    begins: Vec<u32>,
    lines: Vec<u32>,
}

impl Grid {
    /// A grid of so many squares along its longer side, from 8 to 128, with these lines: each is noted in the squares
    /// that it passes, or comes near.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "from 1 to 130"
    )]
    pub(super) fn of(
        bounds: Rect,
        across: usize,
        lines: impl Iterator<Item = (Point, Point)>,
    ) -> Self {
        let across = across.clamp(8, 128) as f64;
        let side = (bounds.width().max(bounds.height()) / across).max(1e-3);
        let count = |mm: f64| libm::ceil(mm / side).clamp(1.0, 130.0) as usize;
        let mut grid = Self {
            origin: bounds.min,
            side,
            columns: count(bounds.width()),
            rows: count(bounds.height()),
            begins: Vec::new(),
            lines: Vec::new(),
        };
        let mut found: Vec<(usize, u32)> = Vec::new();
        let mut begins = vec![0_u32; grid.columns * grid.rows + 1];
        for (number, line) in (0_u32..).zip(lines) {
            grid.passed(line, |square| {
                found.push((square, number));
                begins[square + 1] += 1;
            });
        }
        for square in 1..begins.len() {
            begins[square] += begins[square - 1];
        }
        let mut next = begins.clone();
        grid.lines = vec![0; found.len()];
        for (square, number) in found {
            grid.lines[next[square] as usize] = number;
            next[square] += 1;
        }
        grid.begins = begins;
        grid
    }

    /// The lines that pass a square, in their order.
    pub(super) fn passing(&self, square: usize) -> &[u32] {
        &self.lines[self.begins[square] as usize..self.begins[square + 1] as usize]
    }

    /// How many squares there are, row by row.
    pub(super) fn len(&self) -> usize {
        self.columns * self.rows
    }

    fn passed(&self, (a, b): (Point, Point), mut then: impl FnMut(usize)) {
        let along = b - a;
        let near = self.side * 1e-6;
        let bounds = Rect {
            min: Point::new(a.x.min(b.x), a.y.min(b.y)),
            max: Point::new(a.x.max(b.x), a.y.max(b.y)),
        };
        let (columns, rows) = self.spans(bounds.grown(near));
        for row in rows {
            for column in columns.clone() {
                // The square lies beside the line where its middle is farther off than its corners reach.
                let middle = self.middle(column, row);
                let half = self.side / 2.0 + near;
                let reach = half * (along.x.abs() + along.y.abs());
                if along.cross(middle - a).abs() <= reach {
                    then(row * self.columns + column);
                }
            }
        }
    }

    pub(super) fn middle(&self, column: usize, row: usize) -> Point {
        let at = Point::new(column as f64 + 0.5, row as f64 + 0.5);
        self.origin + at * self.side
    }

    /// Columns and rows that a rectangle meets; the outermost stand for all beyond.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "saturates at the rim of the grid"
    )]
    pub(super) fn spans(&self, rect: Rect) -> (std::ops::Range<usize>, std::ops::Range<usize>) {
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
