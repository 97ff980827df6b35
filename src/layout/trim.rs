//! The outline to which a panel is trimmed: a rectangle, a round, or any other convex shape.
//!
//! In mm, on the panel: the bounds of the outline begin at (0, 0) where nobody has shifted it. Arcs are
//! chains of short chords that leave the true arc by at most `SAGITTA`; they keep quarter turns and
//! mirrors of the arc.

use std::sync::Arc;

use super::LayoutError;
use crate::geom::{Point, Polygon, Rect, TOLERANCE, clip};

/// How far a chord may lie from its arc, in mm: half of what counts as one place.
const SAGITTA: f64 = TOLERANCE / 2.0;
/// The fewest chords of a quarter.
const LEAST_CHORDS: f64 = 4.0;
/// The most corners of an outline that is typed.
pub const MOST_CORNERS: usize = 200;

/// A finished outline.
#[derive(Debug, Clone, PartialEq)]
pub struct Trim {
    bounds: Rect,
    shape: TrimShape,
    /// None for the rectangle.
    outline: Option<Arc<Polygon>>,
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
    /// A convex polygon with so many corners.
    Corners(usize),
}

impl From<Rect> for Trim {
    fn from(bounds: Rect) -> Self {
        Self {
            bounds,
            shape: TrimShape::Rectangle,
            outline: None,
        }
    }
}

impl Trim {
    /// A circle of this diameter.
    #[must_use]
    pub fn round(diameter: f64) -> Self {
        let radius = diameter / 2.0;
        let middle = Point::new(radius, radius);
        Self {
            bounds: Rect::sized(diameter, diameter),
            shape: TrimShape::Round,
            outline: Some(Arc::new(Polygon::clockwise(
                (0..4)
                    .flat_map(|quarter| arc(middle, radius, quarter))
                    .collect(),
            ))),
        }
    }

    /// A rectangle with rounded corners.
    ///
    /// # Errors
    /// When the radius is not above 0, or more than half of the shorter side.
    pub fn rounded(width: f64, height: f64, radius: f64) -> Result<Self, LayoutError> {
        let most = width.min(height) / 2.0;
        if !(radius > 0.0 && radius <= most) {
            return Err(LayoutError::Radius { radius, most });
        }
        let middles = [
            Point::new(width - radius, height - radius),
            Point::new(radius, height - radius),
            Point::new(radius, radius),
            Point::new(width - radius, radius),
        ];
        let corners = middles
            .into_iter()
            .zip(0..)
            .flat_map(|(middle, quarter)| arc_with_end(middle, radius, quarter));
        Ok(Self {
            bounds: Rect::sized(width, height),
            shape: TrimShape::Rounded(radius),
            outline: Some(Arc::new(Polygon::clockwise(distinct(corners.collect())))),
        })
    }

    /// A convex polygon with these corners, either way round; its bounds come to begin at (0, 0).
    ///
    /// # Errors
    /// When there are fewer than three corners or more than [`MOST_CORNERS`], or the polygon is not
    /// convex.
    pub fn corners(corners: &[Point]) -> Result<Self, LayoutError> {
        if !(3..=MOST_CORNERS).contains(&corners.len()) {
            return Err(LayoutError::Corners {
                corners: corners.len(),
            });
        }
        let turn = |i: usize| {
            let n = corners.len();
            let (a, b, c) = (corners[i], corners[(i + 1) % n], corners[(i + 2) % n]);
            (b - a).cross(c - b)
        };
        let turns: Vec<f64> = (0..corners.len()).map(turn).collect();
        let one_way = turns.iter().all(|t| *t > 1e-9) || turns.iter().all(|t| *t < -1e-9);
        if !one_way || winds(corners) != 1 {
            return Err(LayoutError::NotConvex);
        }
        let bounds = Rect::around(corners.iter().copied()).ok_or(LayoutError::NotConvex)?;
        let outline = Polygon::clockwise(corners.iter().map(|&c| c - bounds.min).collect());
        Ok(Self {
            bounds: Rect::sized(bounds.width(), bounds.height()),
            shape: TrimShape::Corners(corners.len()),
            outline: Some(Arc::new(outline)),
        })
    }

    /// Its bounds.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        self.bounds
    }

    /// What it is.
    #[must_use]
    pub fn shape(&self) -> TrimShape {
        self.shape
    }

    /// What it is, in a few words; none for a rectangle.
    #[must_use]
    pub fn words(&self) -> Option<String> {
        match self.shape {
            TrimShape::Rectangle => None,
            TrimShape::Round => Some("round".to_owned()),
            TrimShape::Rounded(radius) => Some(format!("corners rounded by {radius} mm")),
            TrimShape::Corners(corners) => Some(format!("with {corners} corners")),
        }
    }

    /// The outline itself.
    #[must_use]
    pub fn outline(&self) -> Polygon {
        match &self.outline {
            None => self.bounds.polygon(),
            Some(outline) => outline.as_ref().clone(),
        }
    }

    /// Its area in mm^2.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.outline
            .as_ref()
            .map_or_else(|| self.bounds.area(), |o| o.area())
    }

    /// Moved by a shift.
    #[must_use]
    pub fn shifted(&self, by: Point) -> Self {
        Self {
            bounds: self.bounds.shifted(by),
            shape: self.shape,
            outline: (self.outline.as_ref()).map(|o| Arc::new(o.shifted(by))),
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
            outline: self.outline.as_ref().map(|o| Arc::new(larger(o))),
        }
    }

    /// What of it lies in an upright rectangle, which becomes its bounds; none where nothing does.
    #[must_use]
    pub fn cut(&self, rect: Rect) -> Option<Self> {
        let Some(outline) = &self.outline else {
            return Some(rect.into());
        };
        let left = clip::within(outline, rect)?;
        Some(Self {
            bounds: rect,
            shape: TrimShape::Corners(left.corners().len()),
            outline: Some(Arc::new(left)),
        })
    }

    /// What it leaves of a convex polygon; none where nothing with area is left.
    #[must_use]
    pub fn of(&self, polygon: &Polygon) -> Option<Polygon> {
        let left = clip::within(polygon, self.bounds)?;
        let Some(outline) = &self.outline else {
            return Some(left);
        };
        if deep_in(outline, &left, 0.0) {
            return Some(left);
        }
        clip::common(&left, outline)
    }

    /// Whether more of a convex polygon lies inside than dust along the rim.
    #[must_use]
    pub fn reaches(&self, polygon: &Polygon) -> bool {
        let inner = self.bounds.grown(-TOLERANCE);
        if !polygon.bounds().meets(inner) {
            return false;
        }
        match &self.outline {
            None => clip::within(polygon, inner).is_some(),
            Some(_) => self
                .of(polygon)
                .is_some_and(|left| clip::depth(&left) > TOLERANCE),
        }
    }

    /// Whether all of a convex polygon with these bounds lies inside, or sticks out by no more than
    /// `slack` mm; a slack below 0 asks for so much room on every side.
    pub fn holds(&self, bounds: Rect, polygon: impl FnOnce() -> Polygon, slack: f64) -> bool {
        self.bounds.holds(bounds, slack)
            && self.outline.as_ref().is_none_or(|outline| {
                deep_in(outline, &bounds.polygon(), slack) || deep_in(outline, &polygon(), slack)
            })
    }

    /// From where to where a line runs inside, not only on the rim, in mm from its start.
    #[must_use]
    pub fn along(&self, (a, b): (Point, Point)) -> Option<(f64, f64)> {
        let (mut from, mut to) = inside((a, b), self.bounds)?;
        let unit = (b - a) * (1.0 / a.distance(b));
        for (p, q) in self.outline.iter().flat_map(|o| o.edges()) {
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

/// Quarter number 0 to 3 of a circle, clockwise from the right, without its last point.
fn arc(middle: Point, radius: f64, quarter: u32) -> impl Iterator<Item = Point> {
    // A chord over the angle t leaves its arc by r (1 - cos(t / 2)).
    let half = libm::acos((1.0 - SAGITTA / radius).max(0.0));
    let chords = libm::ceil(std::f64::consts::FRAC_PI_4 / half).max(LEAST_CHORDS);
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "some thousands at most"
    )]
    let chords = chords as u32;
    (0..chords).map(move |i| {
        let degrees = 90.0 * (f64::from(quarter) + f64::from(i) / f64::from(chords));
        middle + Point::unit(degrees) * radius
    })
}

fn arc_with_end(middle: Point, radius: f64, quarter: u32) -> impl Iterator<Item = Point> {
    let end = middle + Point::unit(90.0 * f64::from(quarter + 1)) * radius;
    arc(middle, radius, quarter).chain([end])
}

/// Corners without neighbours in the same place: quarters that meet.
fn distinct(mut corners: Vec<Point>) -> Vec<Point> {
    corners.dedup_by(|a, b| a.distance(*b) < 1e-6);
    while corners.len() > 1 && corners[0].distance(corners[corners.len() - 1]) < 1e-6 {
        corners.pop();
    }
    corners
}

/// How often the corners lead round: once for a polygon that does not cross itself.
fn winds(corners: &[Point]) -> i64 {
    let n = corners.len();
    let way = |i: usize| corners[(i + 1) % n] - corners[i % n];
    let total: f64 = (0..n)
        .map(|i| {
            let (a, b) = (way(i), way(i + 1));
            libm::atan2(a.cross(b), a.dot(b))
        })
        .sum();
    #[allow(clippy::cast_possible_truncation, reason = "a few turns at most")]
    let turns = libm::round(total.abs() / (2.0 * std::f64::consts::PI)) as i64;
    turns
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
    fn areas_are_those_of_the_formulas() {
        let round = Trim::round(200.0);
        let circle = std::f64::consts::PI * 100.0 * 100.0;
        assert!((round.area() / circle - 1.0).abs() < 1e-4);
        let rounded = Trim::rounded(200.0, 100.0, 30.0).unwrap();
        let corners = (4.0 - std::f64::consts::PI) * 30.0 * 30.0;
        assert!((rounded.area() - (20_000.0 - corners)).abs() < 1.0);
        // A radius of half the side: a circle.
        let both = Trim::rounded(200.0, 200.0, 100.0).unwrap();
        assert!(both.outline().coincides(&round.outline(), 1e-6));
        let hexagon: Vec<Point> = (0..6)
            .map(|k| Point::unit(60.0 * f64::from(k)) * 50.0)
            .collect();
        let hexagon = Trim::corners(&hexagon).unwrap();
        assert!((hexagon.area() - 1.5 * 3.0_f64.sqrt() * 2500.0).abs() < 1e-6);
        assert!(hexagon.bounds().min.length() < 1e-12);
    }

    #[test]
    fn what_is_no_outline_is_refused() {
        assert!(Trim::rounded(100.0, 60.0, 31.0).is_err());
        assert!(Trim::rounded(100.0, 60.0, 0.0).is_err());
        let points = |list: &[(f64, f64)]| -> Vec<Point> {
            list.iter().map(|&(x, y)| Point::new(x, y)).collect()
        };
        let arrow = points(&[(0.0, 0.0), (10.0, 5.0), (0.0, 10.0), (4.0, 5.0)]);
        assert_eq!(Trim::corners(&arrow), Err(LayoutError::NotConvex));
        // A star goes round twice.
        let star: Vec<Point> = (0..5)
            .map(|k| Point::unit(144.0 * f64::from(k)) * 10.0)
            .collect();
        assert_eq!(Trim::corners(&star), Err(LayoutError::NotConvex));
        assert!(Trim::corners(&arrow[..2]).is_err());
    }

    #[test]
    fn lines_and_pieces_inside_a_round() {
        let round = Trim::round(100.0);
        let (from, to) = round
            .along((Point::new(-10.0, 50.0), Point::new(110.0, 50.0)))
            .unwrap();
        assert!((from - 10.0).abs() < 0.02 && (to - 110.0).abs() < 0.02);
        assert_eq!(
            round.along((Point::new(0.0, 0.0), Point::new(8.0, 8.0))),
            None
        );
        let square = Rect::sized(20.0, 20.0).polygon();
        let middle = square.shifted(Point::new(40.0, 40.0));
        assert_eq!(round.of(&middle), Some(middle.clone()));
        assert!(round.holds(middle.bounds(), || middle.clone(), 0.0));
        let corner = round.of(&square).unwrap();
        assert!(corner.area() < square.area() && round.reaches(&square));
        let off = Rect::sized(10.0, 10.0).polygon();
        assert!(round.of(&off).is_none() && !round.reaches(&off));
    }
}
