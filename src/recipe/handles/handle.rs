//! A handle and what follows it; a shape with its handles.

use super::lengths::Length;
use crate::geom::Point;

pub(super) const RIGHT: Point = Point { x: 1.0, y: 0.0 };
pub(super) const DOWN: Point = Point { x: 0.0, y: 1.0 };

/// A handle.
#[derive(Debug, Clone, PartialEq)]
pub struct Handle {
    /// Where it lies on the panel.
    pub at: Point,
    /// What it is: `width`, `corner 3`, `hole: diameter`.
    pub name: String,
    pub(super) turns: Vec<Turn>,
}

/// A length that follows a handle.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Turn {
    pub(super) length: Length,
    /// How much it grows for each mm to the right, and down.
    pub(super) per: Point,
    /// Whether it is the width or height of a shape, so that it moves what lies in its middle.
    pub(super) grows: bool,
}

impl Handle {
    /// Whether it goes left and right, and whether up and down.
    pub fn ways(&self) -> (bool, bool) {
        let any = |part: fn(&Turn) -> f64| self.turns.iter().any(|turn| part(turn) != 0.0);
        (any(|turn| turn.per.x), any(|turn| turn.per.y))
    }

    pub(super) fn new(name: &str, at: (f64, f64), turns: Vec<Turn>) -> Self {
        Self {
            at: Point::new(at.0, at.1),
            name: name.to_owned(),
            turns,
        }
    }
}

impl Turn {
    /// A length that grows by so much.
    pub(super) fn follows(length: &Length, per: Point) -> Self {
        Self {
            length: length.clone(),
            per,
            grows: false,
        }
    }

    /// The same of the width or height of a shape.
    pub(super) fn grows(length: &Length, per: Point) -> Self {
        Self {
            grows: true,
            ..Self::follows(length, per)
        }
    }
}

/// A shape.
pub(super) struct Drawn {
    /// How large it is.
    pub(super) size: Point,
    pub(super) handles: Vec<Handle>,
}

impl Drawn {
    /// The handles of a shape that lies within another thing, from a place on; with one more in its middle where that
    /// place is said.
    pub(super) fn within(self, of: &str, at: Point, place: Option<[Length; 2]>) -> Vec<Handle> {
        let middle = at + self.size * 0.5;
        let moves = place.map(|[right, down]| Handle {
            at: middle,
            name: of.to_owned(),
            turns: vec![Turn::follows(&right, RIGHT), Turn::follows(&down, DOWN)],
        });
        let own = self.handles.into_iter().map(|handle| Handle {
            at: handle.at + at,
            name: format!("{of}: {}", handle.name),
            turns: handle.turns,
        });
        own.chain(moves).collect()
    }
}
