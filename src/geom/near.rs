//! Finding rectangles that may touch, among many of any sizes.
//!
//! Rectangles are sorted by width and height, each to the next power of two, and those of one size lie
//! in a grid as coarse as they are: each takes at most four squares of it, so that a very large one among
//! thousands of small ones takes no more memory than they do.

use super::Rect;

/// The finest square of a grid, in mm: below the tolerance nothing is told apart.
const FINEST: f64 = super::TOLERANCE;

/// Rectangles by size and place.
#[derive(Debug, Clone, Default)]
pub struct Near {
    /// Each size with where its squares end in the list.
    sizes: Vec<(Size, usize)>,
    /// Squares that a rectangle takes: size by size, column by column, row by row.
    squares: Vec<Square>,
}

/// Powers of two of width and height.
type Size = (i32, i32);

/// A square of a size's grid, and the number of a rectangle there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Square {
    size: Size,
    column: i64,
    row: i64,
    number: u32,
}

impl Near {
    /// The rectangles, numbered from 0, each grown by `reach` mm on all sides.
    ///
    /// # Panics
    /// When there are more than 2^32 of them.
    pub fn of(rectangles: impl IntoIterator<Item = Rect>, reach: f64) -> Self {
        let mut squares = Vec::new();
        for (number, bounds) in (0_u32..).zip(rectangles) {
            let bounds = bounds.grown(reach);
            let size = (power(bounds.width()), power(bounds.height()));
            let (columns, rows) = taken(size, bounds);
            for column in columns {
                squares.extend(rows.clone().map(|row| Square {
                    size,
                    column,
                    row,
                    number,
                }));
            }
        }
        squares.sort_unstable();
        let mut end = 0;
        let sizes = squares.chunk_by(|a, b| a.size == b.size).map(|alike| {
            end += alike.len();
            (alike[0].size, end)
        });
        Self {
            sizes: sizes.collect(),
            squares,
        }
    }

    /// The numbers of the rectangles that may touch `bounds`, sorted, each once. Some of them do not.
    pub fn touching(&self, bounds: Rect) -> Vec<usize> {
        let mut found = Vec::new();
        let mut start = 0;
        for &(size, end) in &self.sizes {
            let (columns, rows) = taken(size, bounds);
            let mut rest = &self.squares[start..end];
            let mut from = (*columns.start(), *rows.start());
            loop {
                rest = &rest[rest.partition_point(|s| (s.column, s.row) < from)..];
                let Some(column) = rest.first().map(|s| s.column) else {
                    break;
                };
                if !columns.contains(&column) {
                    break;
                }
                let here = rest.partition_point(|s| (s.column, s.row) <= (column, *rows.end()));
                let here = rest[..here].iter().filter(|s| s.row >= *rows.start());
                found.extend(here.map(|s| s.number as usize));
                from = (column.saturating_add(1), *rows.start());
                rest = &rest[rest.partition_point(|s| s.column <= column)..];
            }
            start = end;
        }
        found.sort_unstable();
        found.dedup();
        found
    }
}

/// The least whole power of two, times the finest square, that is no smaller than `mm`.
#[allow(
    clippy::cast_possible_truncation,
    reason = "lengths are bounded, so the power is a small number"
)]
fn power(mm: f64) -> i32 {
    let mut power = 0;
    let mut side = FINEST;
    while side < mm && power < 64 {
        side *= 2.0;
        power += 1;
    }
    power
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 saturates, and coordinates are bounded"
)]
fn taken(
    (across, down): (i32, i32),
    bounds: Rect,
) -> (std::ops::RangeInclusive<i64>, std::ops::RangeInclusive<i64>) {
    let side = |power: i32| libm::ldexp(FINEST, power);
    let key = |v: f64, power: i32| (v / side(power)).floor() as i64;
    (
        key(bounds.min.x, across)..=key(bounds.max.x, across),
        key(bounds.min.y, down)..=key(bounds.max.y, down),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Point;
    use proptest::prelude::*;

    fn rect((x, y, w, h): (f64, f64, f64, f64)) -> Rect {
        Rect {
            min: Point::new(x, y),
            max: Point::new(x + w, y + h),
        }
    }

    proptest! {
        #[test]
        fn none_that_touches_is_missed(
            all in prop::collection::vec((-50.0..50.0, -50.0..50.0, 0.0..40.0, 0.0..0.5_f64), 1..40),
            asked in (-50.0..50.0, -50.0..50.0, 0.0..100.0, 0.0..3.0_f64),
        ) {
            let all: Vec<Rect> = all.into_iter().map(rect).collect();
            let asked = rect(asked);
            let found = Near::of(all.iter().copied(), 0.01).touching(asked);
            for (number, other) in all.iter().enumerate() {
                let touches = asked.grown(0.01).meets(*other);
                prop_assert!(!touches || found.contains(&number), "{other:?}");
            }
            prop_assert!(found.is_sorted_by(|a, b| a < b));
        }
    }

    #[test]
    fn a_giant_takes_no_more_room_than_a_small_one() {
        let small = (0..1000).map(|i| rect((f64::from(i), 0.0, 0.1, 0.1)));
        let near = Near::of(small.chain([rect((0.0, 0.0, 1e5, 1e5))]), 0.01);
        assert!(near.squares.len() <= 4 * 1001);
        assert_eq!(near.touching(rect((-4e5, -4e5, 1.0, 1.0))).len(), 0);
    }
}
