//! How finished outlines are made: circles, rounded rectangles, polygons, regions.

use std::sync::Arc;

use super::super::LayoutError;
use super::{Inside, MOST_CORNERS, Trim, TrimShape};
use crate::geom::{
    Point, Polygon, Rect, Region,
    curve::{Affine, Contour, SAGITTA},
};

/// The fewest chords of a quarter circle.
const LEAST_CHORDS: f64 = 4.0;
/// Up to this many corners, a convex outline is clipped by its half planes.
const MOST_HALF_PLANES: usize = 200;

impl Trim {
    /// A circle of this diameter.
    pub fn round(diameter: f64) -> Self {
        let radius = diameter / 2.0;
        let middle = Point::new(radius, radius);
        let corners = (0..4).flat_map(|quarter| arc(middle, radius, quarter));
        Self {
            bounds: Rect::sized(diameter, diameter),
            shape: TrimShape::Round,
            inside: Inside::Convex(Arc::new(Polygon::clockwise(corners.collect()))),
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
        let outline = Polygon::clockwise(distinct(corners.collect()));
        Ok(Self {
            bounds: Rect::sized(width, height),
            shape: TrimShape::Rounded(radius),
            inside: Inside::Convex(Arc::new(outline)),
        })
    }

    /// A polygon with these corners, either way round; its bounds come to begin at (0, 0).
    ///
    /// # Errors
    /// When there are fewer than three corners or more than [`MOST_CORNERS`], or the sides cross or touch.
    pub fn corners(corners: &[Point]) -> Result<Self, LayoutError> {
        if !(3..=MOST_CORNERS).contains(&corners.len()) {
            return Err(LayoutError::Corners {
                corners: corners.len(),
            });
        }
        let shape = TrimShape::Corners(corners.len());
        if corners.len() > MOST_HALF_PLANES || !is_convex(corners) {
            let region = Region::of(&[Contour::corners(corners)]).map_err(LayoutError::Outline)?;
            return Self::region(&Arc::new(region), shape);
        }
        let bounds = Rect::around(corners.iter().copied()).unwrap_or(Rect::sized(0.0, 0.0));
        let outline = Polygon::clockwise(corners.iter().map(|&c| c - bounds.min).collect());
        Ok(Self {
            bounds: Rect::sized(bounds.width(), bounds.height()),
            shape,
            inside: Inside::Convex(Arc::new(outline)),
        })
    }

    /// The outline turned clockwise, its bounds again from (0, 0); none where nothing with area is left.
    pub fn turned(&self, degrees: f64) -> Option<Self> {
        let by = Affine::turn(degrees);
        let turned: Vec<Contour> = self.contours().iter().map(|c| c.moved(by)).collect();
        if let ([only], Inside::Bounds | Inside::Convex(_)) = (&turned[..], &self.inside) {
            return Self::corners(&only.chords()).ok();
        }
        let region = Region::of(&turned).ok()?;
        Self::region(&Arc::new(region), self.shape).ok()
    }

    /// A region; its bounds come to begin at (0, 0).
    ///
    /// # Errors
    /// When it lies in several pieces.
    pub fn region(region: &Arc<Region>, shape: TrimShape) -> Result<Self, LayoutError> {
        if region.pieces().len() > 1 {
            return Err(LayoutError::OutlinesApart {
                pieces: region.pieces().len(),
            });
        }
        let bounds = region.bounds();
        Ok(Self {
            bounds: Rect::sized(bounds.width(), bounds.height()),
            shape,
            inside: Inside::Region(Arc::clone(region), -bounds.min),
        })
    }
}

/// Whether a polygon turns one way at all its corners, and leads round once.
fn is_convex(corners: &[Point]) -> bool {
    let turn = |i: usize| {
        let n = corners.len();
        let (a, b, c) = (corners[i], corners[(i + 1) % n], corners[(i + 2) % n]);
        (b - a).cross(c - b)
    };
    let turns: Vec<f64> = (0..corners.len()).map(turn).collect();
    let one_way = turns.iter().all(|t| *t > 1e-9) || turns.iter().all(|t| *t < -1e-9);
    one_way && winds(corners) == 1
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
        assert!(both.loops()[0].coincides(&round.loops()[0], 1e-6));
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
        let bow = points(&[(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)]);
        assert!(Trim::corners(&bow).is_err());
        // A star goes round twice.
        let star: Vec<Point> = (0..5)
            .map(|k| Point::unit(144.0 * f64::from(k)) * 10.0)
            .collect();
        assert!(Trim::corners(&star).is_err());
        assert!(Trim::corners(&bow[..2]).is_err());
    }
}
