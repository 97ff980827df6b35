//! Which whole multiples of two steps lead into a rectangle.

use crate::geom::{Point, Rect};

/// Slack for rounding, as a share of a step.
const SLACK: f64 = 1e-9;

/// All (a, b) for which `from + across * a + down * b` lies in a rectangle (give or take rounding),
/// by b and then a. The steps must not be parallel.
pub(crate) fn steps_into(
    across: Point,
    down: Point,
    from: Point,
    rect: Rect,
) -> impl Iterator<Item = (i32, i32)> {
    let det = across.cross(down);
    let rows = rect
        .polygon()
        .corners()
        .iter()
        .map(|&c| across.cross(c - from) / det)
        .fold(EMPTY, |(low, high), t| (low.min(t), high.max(t)));
    whole(rows).flat_map(move |b| {
        let start = from + down * f64::from(b);
        let x = slab(start.x, across.x, rect.min.x, rect.max.x);
        let y = slab(start.y, across.y, rect.min.y, rect.max.y);
        whole((x.0.max(y.0), x.1.min(y.1))).map(move |a| (a, b))
    })
}

const EMPTY: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);

/// For which t `start + step * t` lies between two bounds.
fn slab(start: f64, step: f64, low: f64, high: f64) -> (f64, f64) {
    if step.abs() > 1e-12 {
        let (a, b) = ((low - start) / step, (high - start) / step);
        (a.min(b), a.max(b))
    } else if (low..=high).contains(&start) {
        (f64::NEG_INFINITY, f64::INFINITY)
    } else {
        EMPTY
    }
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "saturates; no panel reaches that far"
)]
fn whole((low, high): (f64, f64)) -> std::ops::RangeInclusive<i32> {
    if low > high + SLACK {
        #[allow(clippy::reversed_empty_ranges, reason = "an empty range is meant")]
        return 1..=0;
    }
    (low - SLACK).ceil() as i32..=(high + SLACK).floor() as i32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_same_as_trying_them_all() {
        let cases = [
            (Point::new(10.0, 0.0), Point::new(0.0, 7.0)),
            (Point::new(10.0, 0.0), Point::new(5.0, 8.0)),
            (Point::new(7.0, 7.0), Point::new(20.0, -20.0)),
            (Point::new(-3.0, 9.0), Point::new(11.0, 1.0)),
        ];
        let rect = Rect {
            min: Point::new(-31.0, -12.0),
            max: Point::new(44.0, 53.0),
        };
        for (across, down) in cases {
            let from = Point::new(1.5, -2.5);
            let mut found: Vec<_> = steps_into(across, down, from, rect).collect();
            found.sort_unstable();
            let mut all = Vec::new();
            for a in -60..60 {
                for b in -60..60 {
                    let p = from + across * f64::from(a) + down * f64::from(b);
                    if rect.holds(Rect { min: p, max: p }, 1e-9) {
                        all.push((a, b));
                    }
                }
            }
            assert_eq!(found, all);
        }
    }
}
