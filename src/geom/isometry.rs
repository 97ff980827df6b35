//! Moves that keep lengths: turns, a flip, a shift.

use super::{Point, angle};

/// First a flip (mirror x, as a tile turned over about a vertical line), where set; then a
/// clockwise turn about the origin; then a shift.
///
/// Turns are kept in degrees, so that a chain of turns by multiples of 15 degrees stays exact.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Isometry {
    /// Whether x is mirrored first.
    pub flip: bool,
    /// The turn in degrees, from 0 (included) to 360 (left out).
    pub turn: f64,
    /// The shift, applied last.
    pub shift: Point,
}

impl Isometry {
    /// Leaves everything where it is.
    pub const IDENTITY: Self = Self {
        flip: false,
        turn: 0.0,
        shift: Point::ZERO,
    };

    /// A shift.
    pub const fn shift(by: Point) -> Self {
        Self {
            flip: false,
            turn: 0.0,
            shift: by,
        }
    }

    /// A clockwise turn about the origin.
    pub fn turn(degrees: f64) -> Self {
        Self {
            flip: false,
            turn: angle::tidied(degrees),
            shift: Point::ZERO,
        }
    }

    /// The mirror image in the line through the origin in a direction given in degrees.
    pub fn mirror(axis: f64) -> Self {
        Self {
            flip: true,
            turn: angle::tidied(2.0 * (axis - 90.0)),
            shift: Point::ZERO,
        }
    }

    /// This move and then `next`.
    #[must_use]
    pub fn then(self, next: Self) -> Self {
        let turn = if next.flip { -self.turn } else { self.turn };
        Self {
            flip: self.flip != next.flip,
            turn: angle::tidied(turn + next.turn),
            shift: next.apply(self.shift),
        }
    }

    /// The move that undoes this one.
    #[must_use]
    pub fn inverse(self) -> Self {
        let linear = self.linear();
        let back = Self {
            turn: angle::tidied(if self.flip { self.turn } else { -self.turn }),
            ..linear
        };
        Self {
            shift: -back.apply(self.shift),
            ..back
        }
    }

    /// The same flip and turn without the shift.
    #[must_use]
    pub const fn linear(self) -> Self {
        Self {
            shift: Point::ZERO,
            ..self
        }
    }

    /// Where a point goes.
    pub fn apply(self, p: Point) -> Point {
        self.on_each()(p)
    }

    /// Where points go, with the sine and cosine reckoned once for all of them.
    pub fn on_each(self) -> impl Fn(Point) -> Point {
        let (sin, cos) = angle::sin_cos(self.turn);
        move |p| {
            let x = if self.flip { -p.x } else { p.x };
            Point::new(x * cos - p.y * sin, x * sin + p.y * cos) + self.shift
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn some() -> [Isometry; 4] {
        [
            Isometry::turn(60.0),
            Isometry::mirror(20.0),
            Isometry {
                flip: true,
                turn: 37.0,
                shift: Point::new(3.0, -2.0),
            },
            Isometry {
                flip: false,
                turn: 290.0,
                shift: Point::new(-1.0, 8.0),
            },
        ]
    }

    #[test]
    fn composition_is_application_in_turn() {
        let p = Point::new(2.0, 5.0);
        for a in some() {
            for b in some() {
                assert!(a.then(b).apply(p).distance(b.apply(a.apply(p))) < 1e-12);
            }
            assert!(a.then(a.inverse()).apply(p).distance(p) < 1e-12);
        }
    }

    #[test]
    fn a_turn_is_clockwise_as_seen() {
        let right = Point::new(1.0, 0.0);
        assert_eq!(Isometry::turn(90.0).apply(right), Point::new(0.0, 1.0));
    }

    #[test]
    fn a_mirror_keeps_its_axis() {
        let on_axis = Point::unit(35.0);
        assert!(Isometry::mirror(35.0).apply(on_axis).distance(on_axis) < 1e-12);
        let across = Point::unit(125.0);
        assert!(Isometry::mirror(35.0).apply(across).distance(-across) < 1e-12);
    }
}
