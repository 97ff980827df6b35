//! Where two edges touch.

use smallvec::SmallVec;

use super::trim::Trim;
use crate::{
    geom::{Point, Polygon, TOLERANCE},
    stock::{Face, face::Profile},
};

/// The piece that two edges have in common, in mm along each of them from its own start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shared {
    /// Where it begins on the first edge.
    pub from: f64,
    /// Where it ends on the first edge.
    pub to: f64,
    /// Where it begins on the second edge.
    pub other_from: f64,
    /// Where it ends on the second edge.
    pub other_to: f64,
}

/// The piece that two edges of two clockwise outlines share when they lie against each other.
pub fn shared(first: (Point, Point), second: (Point, Point)) -> Option<Shared> {
    let (a, b) = first;
    let (p, q) = second;
    let length = a.distance(b);
    let unit = (b - a) * (1.0 / length);
    let off = |c: Point| unit.cross(c - a).abs() > TOLERANCE;
    let (end, start) = ((p - a).dot(unit), (q - a).dot(unit));
    if start >= end || off(p) || off(q) {
        return None;
    }
    let (from, to) = (start.max(0.0), end.min(length));
    (to - from > TOLERANCE).then_some(Shared {
        from,
        to,
        other_from: end - to,
        other_to: end - from,
    })
}

impl Shared {
    /// What of this piece lies inside a finished outline, not only on its rim; `first` is the first
    /// edge. A notch or a hole of the outline can leave several pieces.
    pub fn within(&self, first: (Point, Point), trim: &Trim) -> SmallVec<[Self; 1]> {
        let runs = trim.along(first).into_iter();
        let inside = runs.filter_map(|(low, high)| {
            let (from, to) = (self.from.max(low), self.to.min(high));
            (to - from > TOLERANCE).then_some(Self {
                from,
                to,
                other_from: self.other_from + (self.to - to),
                other_to: self.other_to - (from - self.from),
            })
        });
        inside.collect()
    }

    /// Whether lines run on through this piece of a joint between edges with these profiles.
    pub fn matches(&self, first: &Profile, second: &Profile) -> bool {
        let mine = first.piece(self.from, self.to);
        let theirs = second
            .piece(self.other_from, self.other_to)
            .reversed(self.other_to - self.other_from);
        mine.agrees(&theirs, TOLERANCE)
    }
}

/// The colours along each edge of an outline that a face coincides with, in the outline's order.
pub fn profiles_along(face: &Face, outline: &Polygon) -> Vec<Profile> {
    let profiles = face.profiles();
    let n = profiles.len();
    let first = outline.corners()[0];
    let off = |i: &usize| face.outline().corners()[*i].distance(first);
    let start = (0..n).min_by(|i, j| off(i).total_cmp(&off(j))).unwrap_or(0);
    (0..n).map(|e| profiles[(start + e) % n].clone()).collect()
}

/// Whether two outlines touch, if only in a corner.
pub fn touch(a: &Polygon, b: &Polygon) -> bool {
    let near = |corners: &Polygon, edges: &Polygon| {
        corners
            .corners()
            .iter()
            .any(|&c| edges.edges().any(|(p, q)| c.from_line(p, q) <= TOLERANCE))
    };
    near(a, b) || near(b, a)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Rect;
    use crate::layout::trim::inside;

    #[test]
    fn what_a_line_has_inside_a_rectangle() {
        let r = Rect::sized(10.0, 10.0);
        let line = |x0, y0, x1, y1| inside((Point::new(x0, y0), Point::new(x1, y1)), r);
        let (from, to) = line(-10.0, 5.0, 20.0, 5.0).unwrap();
        assert!((from - 10.0).abs() < 0.02 && (to - 20.0).abs() < 0.02);
        assert_eq!(line(-10.0, 11.0, 20.0, 11.0), None);
        assert_eq!(line(-10.0, 5.0, 0.0, 5.0), None);
        assert_eq!(line(-10.0, 10.0, 20.0, 10.0), None, "along the rim");
    }

    #[test]
    fn a_short_edge_against_a_long_one() {
        let long = (Point::new(0.0, 0.0), Point::new(10.0, 0.0));
        let short = (Point::new(7.0, 0.0), Point::new(4.0, 0.0));
        let s = shared(long, short).unwrap();
        assert_eq!(
            s,
            Shared {
                from: 4.0,
                to: 7.0,
                other_from: 0.0,
                other_to: 3.0
            }
        );
        assert!(shared(long, (short.1, short.0)).is_none(), "same way");
        let apart = (Point::new(7.0, 0.1), Point::new(4.0, 0.1));
        assert!(shared(long, apart).is_none());
        let end_on = (Point::new(12.0, 0.0), Point::new(10.0, 0.0));
        assert!(shared(long, end_on).is_none());
    }
}
