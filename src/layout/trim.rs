//! The outline to which a panel is trimmed: a rectangle, a round, or any other region, with holes or without.
//!
//! In mm, on the panel: the bounds of the outline begin at (0, 0) unless it was shifted. Arcs are
//! chains of short chords that leave the true arc by at most `SAGITTA`; they keep quarter turns and
//! mirrors of the arc. Convex outlines are clipped by their half planes; all others are regions.

mod made;

use std::sync::Arc;

use smallvec::SmallVec;

use crate::geom::{
    Point, Polygon, Rect, Region, TOLERANCE, clip,
    curve::{Affine, Contour, WIDEST_CHORD},
    region::Piece,
};

/// The most corners of an outline that is typed.
pub const MOST_CORNERS: usize = 10_000;

/// A finished outline.
#[derive(Debug, Clone, PartialEq)]
pub struct Trim {
    bounds: Rect,
    shape: TrimShape,
    inside: Inside,
}

/// What an outline is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TrimShape {
    /// Upright.
    Rectangle,
    /// A circle.
    Round,
    /// An upright rectangle with its corners rounded by this radius.
    Rounded(f64),
    /// A polygon with so many corners.
    Corners(usize),
    /// Something else, by the word of recipes for it.
    Named(&'static str),
}

/// How an outline is clipped against, and points are found inside it.
#[derive(Debug, Clone, PartialEq)]
enum Inside {
    /// It is its bounds.
    Bounds,
    Convex(Arc<Polygon>),
    /// A region, and how far it is shifted.
    Region(Arc<Region>, Point),
}

/// Pieces of a line that lie inside, in mm from its start, in order.
pub type Runs = SmallVec<[(f64, f64); 1]>;

impl From<Rect> for Trim {
    fn from(bounds: Rect) -> Self {
        Self {
            bounds,
            shape: TrimShape::Rectangle,
            inside: Inside::Bounds,
        }
    }
}

impl Trim {
    /// Its bounds.
    pub fn bounds(&self) -> Rect {
        self.bounds
    }

    /// What it is.
    pub fn shape(&self) -> TrimShape {
        self.shape
    }

    /// How many holes it has.
    pub fn holes(&self) -> usize {
        match &self.inside {
            Inside::Region(region, _) => region.holes(),
            _ => 0,
        }
    }

    /// What it is, in a few words; none for a rectangle.
    pub fn words(&self) -> Option<String> {
        let shape = match self.shape {
            TrimShape::Rectangle => return None,
            TrimShape::Round => "round".to_owned(),
            TrimShape::Rounded(radius) => format!("corners rounded by {radius} mm"),
            TrimShape::Corners(corners) => format!("with {corners} corners"),
            TrimShape::Named(word) => word.replace('_', " "),
        };
        Some(match self.holes() {
            0 => shape,
            1 => format!("{shape}, with a hole"),
            holes => format!("{shape}, with {holes} holes"),
        })
    }

    /// The rim, and the holes after it; where a window cut it to pieces, each rim before its own holes.
    pub fn loops(&self) -> Vec<Polygon> {
        match &self.inside {
            Inside::Bounds => vec![self.bounds.polygon()],
            Inside::Convex(outline) => vec![outline.as_ref().clone()],
            Inside::Region(region, shift) => {
                let loops = region.pieces().iter().flat_map(Piece::loops);
                loops.map(|rim| rim.shifted(*shift)).collect()
            }
        }
    }

    /// The same with its curves, all clockwise.
    pub fn contours(&self) -> Vec<Contour> {
        let size = Point::new(self.bounds.width(), self.bounds.height());
        let contour = match (&self.inside, self.shape) {
            (Inside::Region(region, shift), _) => {
                let by = Affine::shift(*shift);
                return region.contours().iter().map(|c| c.moved(by)).collect();
            }
            (_, TrimShape::Round) => {
                Contour::ellipse(self.bounds.centre(), size.x / 2.0, size.y / 2.0)
            }
            (_, TrimShape::Rounded(radius)) => Contour::rounded_rectangle(size.x, size.y, radius)
                .moved(Affine::shift(self.bounds.min)),
            _ => Contour::corners(self.loops()[0].corners()),
        };
        vec![contour]
    }

    /// Its area in mm^2.
    pub fn area(&self) -> f64 {
        match &self.inside {
            Inside::Bounds => self.bounds.area(),
            Inside::Convex(outline) => outline.area(),
            Inside::Region(region, _) => region.area(),
        }
    }

    /// Moved by a shift.
    #[must_use]
    pub fn shifted(&self, by: Point) -> Self {
        Self {
            bounds: self.bounds.shifted(by),
            shape: self.shape,
            inside: match &self.inside {
                Inside::Bounds => Inside::Bounds,
                Inside::Convex(outline) => Inside::Convex(Arc::new(outline.shifted(by))),
                Inside::Region(region, shift) => Inside::Region(Arc::clone(region), *shift + by),
            },
        }
    }

    /// The outline scaled by a factor, about (0, 0).
    #[must_use]
    pub fn scaled(&self, by: f64) -> Self {
        let larger =
            |o: &Arc<Polygon>| Polygon::clockwise(o.corners().iter().map(|&c| c * by).collect());
        Self {
            bounds: Rect {
                min: self.bounds.min * by,
                max: self.bounds.max * by,
            },
            shape: match self.shape {
                TrimShape::Rounded(radius) => TrimShape::Rounded(radius * by),
                other => other,
            },
            inside: match &self.inside {
                Inside::Bounds => Inside::Bounds,
                Inside::Convex(outline) => Inside::Convex(Arc::new(larger(outline))),
                Inside::Region(region, shift) => {
                    Inside::Region(Arc::new(region.moved(Affine::scale(by, by))), *shift * by)
                }
            },
        }
    }

    /// What of it lies in an upright rectangle, which becomes its bounds; none where nothing does.
    pub fn cut(&self, rect: Rect) -> Option<Self> {
        let (shape, inside) = match &self.inside {
            Inside::Bounds => return Some(rect.into()),
            Inside::Convex(outline) => {
                let left = clip::within(outline, rect)?;
                let shape = TrimShape::Corners(left.corners().len());
                (shape, Inside::Convex(Arc::new(left)))
            }
            Inside::Region(region, shift) => {
                let left = region.cut(rect.shifted(-*shift))?;
                (self.shape, Inside::Region(Arc::new(left), *shift))
            }
        };
        Some(Self {
            bounds: rect,
            shape,
            inside,
        })
    }

    /// What it leaves of a polygon, which must be convex unless the outline is a rectangle or a region.
    pub fn of(&self, polygon: &Polygon) -> Vec<Piece> {
        let left = match &self.inside {
            Inside::Bounds => clip::within(polygon, self.bounds),
            Inside::Convex(outline) => clip::within(polygon, self.bounds).and_then(|left| {
                if deep_in(outline, &left, 0.0) {
                    return Some(left);
                }
                clip::common(&left, outline)
            }),
            Inside::Region(region, shift) => {
                let left = region.parts(&polygon.shifted(-*shift));
                return left.into_iter().map(|p| p.shifted(*shift)).collect();
            }
        };
        left.into_iter().map(Piece::from).collect()
    }

    /// The area that it leaves of a polygon, in mm^2.
    pub fn area_of(&self, polygon: &Polygon) -> f64 {
        self.of(polygon).iter().map(Piece::area).sum()
    }

    /// Whether more of a polygon lies inside than dust along the rim.
    pub fn reaches(&self, polygon: &Polygon) -> bool {
        let inner = self.bounds.grown(-TOLERANCE);
        if !polygon.bounds().meets(inner) {
            return false;
        }
        match &self.inside {
            Inside::Bounds => clip::within(polygon, inner).is_some(),
            Inside::Convex(_) => {
                (self.of(polygon).iter()).any(|left| clip::depth(&left.rim) > TOLERANCE)
            }
            Inside::Region(region, shift) => region.reaches(&polygon.shifted(-*shift)),
        }
    }

    /// Whether all of a polygon with these bounds lies inside, or sticks out by no more than
    /// `slack` mm; a slack below 0 asks for so much room on every side.
    pub fn holds(&self, bounds: Rect, polygon: impl FnOnce() -> Polygon, slack: f64) -> bool {
        self.bounds.holds(bounds, slack)
            && match &self.inside {
                Inside::Bounds => true,
                Inside::Convex(outline) => {
                    deep_in(outline, &bounds.polygon(), slack)
                        || deep_in(outline, &polygon(), slack)
                }
                Inside::Region(region, shift) => {
                    let polygon = || polygon().shifted(-*shift);
                    region.holds(bounds.shifted(-*shift), polygon, slack)
                }
            }
    }

    /// Whether a point lies inside; on the rim it may be either.
    pub fn holds_point(&self, p: Point) -> bool {
        match &self.inside {
            Inside::Bounds => self.bounds.polygon().holds(p),
            Inside::Convex(outline) => outline.holds(p),
            Inside::Region(region, shift) => region.holds_point(p - *shift),
        }
    }

    /// The radius of the tightest curve into the wood, in mm: 0 for a sharp inner corner; none where the
    /// outline is convex and has no hole.
    pub fn inner_radius(&self) -> Option<f64> {
        let Inside::Region(region, _) = &self.inside else {
            return None;
        };
        let rims = region.pieces().iter().map(|piece| (&piece.rim, -1.0));
        let holes = (region.pieces().iter()).flat_map(|piece| &piece.holes);
        let each = rims.chain(holes.map(|hole| (hole, 1.0)));
        let tightest = each.flat_map(|(rim, inward)| tightest(rim, inward));
        tightest.reduce(f64::min)
    }

    /// From where to where a line runs inside, not only on the rim, in mm from its start.
    pub fn along(&self, line: (Point, Point)) -> Runs {
        match &self.inside {
            Inside::Bounds => inside(line, self.bounds).into_iter().collect(),
            Inside::Convex(outline) => self.along_convex(line, outline).into_iter().collect(),
            Inside::Region(region, shift) => region.runs((line.0 - *shift, line.1 - *shift)).into(),
        }
    }

    fn along_convex(&self, (a, b): (Point, Point), outline: &Polygon) -> Option<(f64, f64)> {
        let (mut from, mut to) = inside((a, b), self.bounds)?;
        let unit = (b - a) * (1.0 / a.distance(b));
        for (p, q) in outline.edges() {
            let edge = (q - p) * (1.0 / p.distance(q));
            // Depth at s along the line: edge x (a + s unit - p), which must reach the tolerance.
            let (start, step) = (edge.cross(a - p) - TOLERANCE, edge.cross(unit));
            if step.abs() < 1e-12 {
                if start < 0.0 {
                    return None;
                }
            } else if step > 0.0 {
                from = from.max(-start / step);
            } else {
                to = to.min(-start / step);
            }
        }
        (to - from > TOLERANCE).then_some((from, to))
    }
}

/// The radii of a rim's curves that turn one way (1: clockwise), by its chords: each turns by its length over
/// the radius.
fn tightest(rim: &Polygon, way: f64) -> impl Iterator<Item = f64> + '_ {
    let n = rim.corners().len();
    (0..n).filter_map(move |i| {
        let ((a, b), (_, c)) = (rim.edge(i), rim.edge((i + 1) % n));
        let (before, after) = (b - a, c - b);
        let turn = libm::atan2(before.cross(after), before.dot(after)) * way;
        let degrees = turn * (180.0 / std::f64::consts::PI);
        (degrees > 0.01).then(|| {
            if degrees > WIDEST_CHORD + 1.0 {
                0.0
            } else {
                before.length().min(after.length()) / turn
            }
        })
    })
}

/// Whether all corners lie in a convex outline, or stick out by no more than `slack`.
fn deep_in(outline: &Polygon, polygon: &Polygon, slack: f64) -> bool {
    outline.edges().all(|(a, b)| {
        let along = b - a;
        let least = -slack * along.length() - 1e-9;
        polygon
            .corners()
            .iter()
            .all(|&p| along.cross(p - a) >= least)
    })
}

/// From where to where a line runs inside a rectangle, not only on its rim, in mm from its start.
pub(super) fn inside((a, b): (Point, Point), rect: Rect) -> Option<(f64, f64)> {
    let length = a.distance(b);
    let unit = (b - a) * (1.0 / length);
    let inner = rect.grown(-TOLERANCE);
    let (mut from, mut to) = (0.0_f64, length);
    for (start, step, low, high) in [
        (a.x, unit.x, inner.min.x, inner.max.x),
        (a.y, unit.y, inner.min.y, inner.max.y),
    ] {
        if step.abs() < 1e-12 {
            if !(low..=high).contains(&start) {
                return None;
            }
        } else {
            let (s, t) = ((low - start) / step, (high - start) / step);
            from = from.max(s.min(t));
            to = to.min(s.max(t));
        }
    }
    (to - from > TOLERANCE).then_some((from, to))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_pieces_inside_a_round() {
        let round = Trim::round(100.0);
        let (from, to) = round.along((Point::new(-10.0, 50.0), Point::new(110.0, 50.0)))[0];
        assert!((from - 10.0).abs() < 0.02 && (to - 110.0).abs() < 0.02);
        assert!(
            round
                .along((Point::new(0.0, 0.0), Point::new(8.0, 8.0)))
                .is_empty()
        );
        let square = Rect::sized(20.0, 20.0).polygon();
        let middle = square.shifted(Point::new(40.0, 40.0));
        assert_eq!(round.of(&middle), [middle.clone().into()]);
        assert!(round.holds(middle.bounds(), || middle.clone(), 0.0));
        assert!(round.area_of(&square) < square.area() && round.reaches(&square));
        let off = Rect::sized(10.0, 10.0).polygon();
        assert!(round.of(&off).is_empty() && !round.reaches(&off));
    }
}
