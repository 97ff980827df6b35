//! Small objects that panels are cut up for, at their true size in mm.

use crate::geom::{Point, Polygon, Rect};

/// How many corners stand for a circle when areas are measured: its area is 0.6 % small.
const CIRCLE: u32 = 32;

/// The outline of an object.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Upright, so wide and high.
    Rectangle(f64, f64),
    /// Of this diameter.
    Circle(f64),
}

/// An object by name. The sizes are our choice among those that are common practice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Object {
    /// Its name.
    pub name: &'static str,
    /// What is cut out.
    pub shape: Shape,
}

/// Objects with usual sizes, the smallest first.
pub const OBJECTS: [Object; 6] = [
    Object {
        name: "handle",
        shape: Shape::Rectangle(110.0, 25.0),
    },
    Object {
        name: "coaster",
        shape: Shape::Rectangle(100.0, 100.0),
    },
    Object {
        name: "round coaster",
        shape: Shape::Circle(100.0),
    },
    Object {
        name: "box lid",
        shape: Shape::Rectangle(200.0, 140.0),
    },
    Object {
        name: "drawer front",
        shape: Shape::Rectangle(400.0, 140.0),
    },
    Object {
        name: "round table",
        shape: Shape::Circle(600.0),
    },
];

impl Shape {
    /// Width and height of its bounds.
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::Rectangle(width, height) => (width, height),
            Self::Circle(diameter) => (diameter, diameter),
        }
    }

    /// Its bounds around a centre.
    pub fn bounds(self, centre: Point) -> Rect {
        let (width, height) = self.size();
        let half = Point::new(width / 2.0, height / 2.0);
        Rect {
            min: centre - half,
            max: centre + half,
        }
    }

    /// Its outline around a centre; a circle as a polygon inside it.
    pub fn polygon(self, centre: Point) -> Polygon {
        match self {
            Self::Rectangle(..) => self.bounds(centre).polygon(),
            Self::Circle(diameter) => {
                let corner = |i| {
                    let way = Point::unit(360.0 * f64::from(i) / f64::from(CIRCLE));
                    centre + way * (diameter / 2.0)
                };
                Polygon::clockwise((0..CIRCLE).map(corner).collect())
            }
        }
    }

    /// Where a level line crosses it: from and to, in x; none where it does not.
    pub fn level(self, centre: Point, y: f64) -> Option<(f64, f64)> {
        let (width, height) = self.size();
        let off = (y - centre.y).abs();
        if off >= height / 2.0 {
            return None;
        }
        let half = match self {
            Self::Rectangle(..) => width / 2.0,
            Self::Circle(d) => (d * d / 4.0 - off * off).sqrt(),
        };
        Some((centre.x - half, centre.x + half))
    }
}
