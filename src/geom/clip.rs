//! Cutting polygons by straight lines, and what convex polygons share.

use super::{Point, Polygon, Rect};

/// A straight cut; what lies on its right hand (its side, borders included) is kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HalfPlane {
    /// A point on the line.
    pub on: Point,
    /// The line's direction; need not have unit length.
    pub along: Point,
}

impl HalfPlane {
    /// The half plane on the right hand of the way from `a` to `b`.
    pub fn right_of(a: Point, b: Point) -> Self {
        Self {
            on: a,
            along: b - a,
        }
    }

    /// The other side of the same line.
    #[must_use]
    pub fn other_side(self) -> Self {
        Self {
            on: self.on,
            along: -self.along,
        }
    }

    fn depth(self, p: Point) -> f64 {
        self.along.cross(p - self.on)
    }
}

/// Corners so near a line, in mm, count as on it.
const ON_LINE: f64 = 1e-6;

/// The part of a polygon on the right hand of a line; none where nothing with area is left.
///
/// Sutherland and Hodgman, Reentrant polygon clipping, CACM 17 (1974): exact for convex polygons;
/// for others the area is right, and parts may hang together along the line.
pub fn keep(polygon: &Polygon, side: HalfPlane) -> Option<Polygon> {
    let scale = side.along.length();
    let eps = ON_LINE * scale;
    let depth = |p: Point| {
        let d = side.depth(p);
        if d.abs() <= eps { 0.0 } else { d }
    };
    let mut kept = Vec::with_capacity(polygon.corners().len() + 1);
    for (a, b) in polygon.edges() {
        let (da, db) = (depth(a), depth(b));
        if da >= 0.0 {
            kept.push(a);
        }
        if (da > 0.0 && db < 0.0) || (da < 0.0 && db > 0.0) {
            kept.push(a.towards(b, da / (da - db)));
        }
    }
    with_area(kept)
}

/// Whether all of a polygon lies beyond one edge of a convex one: nothing of it is left when it is cut
/// by that edge. Quicker than cutting.
pub fn apart(a: &Polygon, b: &Polygon) -> bool {
    b.edges().any(|(p, q)| {
        let side = HalfPlane::right_of(p, q);
        let eps = ON_LINE * side.along.length();
        a.corners().iter().all(|&c| side.depth(c) <= eps)
    })
}

/// What two convex polygons share; none where they share no area.
pub fn common(a: &Polygon, b: &Polygon) -> Option<Polygon> {
    if apart(a, b) {
        return None;
    }
    let mut edges = b.edges().map(|(p, q)| HalfPlane::right_of(p, q));
    let mut rest = keep(a, edges.next()?)?;
    for side in edges {
        // Most edges of an outline with thousands of them cut nothing off.
        if !holds_all(side, &rest) {
            rest = keep(&rest, side)?;
        }
    }
    Some(rest)
}

/// Whether [`keep`] would keep all corners.
fn holds_all(side: HalfPlane, polygon: &Polygon) -> bool {
    let eps = ON_LINE * side.along.length();
    polygon.corners().iter().all(|&c| side.depth(c) >= -eps)
}

/// The part of a polygon inside an upright rectangle.
pub fn within(polygon: &Polygon, rect: Rect) -> Option<Polygon> {
    if rect.holds(polygon.bounds(), 0.0) {
        return Some(polygon.clone());
    }
    let bounds = polygon.bounds();
    let beyond = [
        bounds.min.y < rect.min.y,
        bounds.max.x > rect.max.x,
        bounds.max.y > rect.max.y,
        bounds.min.x < rect.min.x,
    ];
    let mut rest = polygon.clone();
    for ((p, q), _) in (rect.polygon().edges().zip(beyond)).filter(|(_, beyond)| *beyond) {
        rest = keep(&rest, HalfPlane::right_of(p, q))?;
    }
    Some(rest)
}

/// Whether a convex polygon holds a point and all that lies within `reach` mm of it.
pub fn amid(polygon: &Polygon, p: Point, reach: f64) -> bool {
    polygon.edges().all(|(a, b)| {
        let side = HalfPlane::right_of(a, b);
        side.depth(p) >= reach * side.along.length()
    })
}

/// The smallest width of a convex polygon over the directions of its edges, in mm: how deep two
/// parts run into each other.
pub fn depth(polygon: &Polygon) -> f64 {
    polygon
        .edges()
        .filter(|(a, b)| a.distance(*b) > 1e-9)
        .map(|(a, b)| {
            let along = b - a;
            let far = polygon
                .corners()
                .iter()
                .map(|&p| along.cross(p - a))
                .fold(0.0, f64::max);
            far / along.length()
        })
        .fold(f64::INFINITY, f64::min)
}

fn with_area(mut corners: Vec<Point>) -> Option<Polygon> {
    corners.dedup();
    while corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    let polygon = Polygon::clockwise(corners);
    (polygon.corners().len() >= 3 && polygon.area() > 1e-9).then_some(polygon)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_squares_share_their_corner() {
        let a = Rect::sized(2.0, 2.0).polygon();
        let b = a.shifted(Point::new(1.5, 1.0));
        let both = common(&a, &b).unwrap();
        assert!((both.area() - 0.5).abs() < 1e-12);
        assert!((depth(&both) - 0.5).abs() < 1e-12);
        assert!(common(&a, &a.shifted(Point::new(2.0, 0.0))).is_none());
    }

    #[test]
    fn amid_is_inside_with_room_to_spare() {
        let a = Rect::sized(2.0, 2.0).polygon();
        assert!(amid(&a, Point::new(0.5, 1.0), 0.4));
        assert!(!amid(&a, Point::new(0.5, 1.0), 0.6));
        assert!(!amid(&a, Point::new(-0.5, 1.0), 0.4));
    }

    #[test]
    fn both_sides_of_a_cut_make_the_whole() {
        let a = Rect::sized(3.0, 2.0).polygon();
        let cut = HalfPlane::right_of(Point::new(1.0, 0.0), Point::new(2.0, 2.0));
        let sum = keep(&a, cut).unwrap().area() + keep(&a, cut.other_side()).unwrap().area();
        assert!((sum - 6.0).abs() < 1e-12);
    }
}
