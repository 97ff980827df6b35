//! Strips: what a rip leaves of a sheet, seen end on.

mod edges;

use std::sync::Arc;

pub use self::edges::EdgeName;

use super::{Layer, Pose, Sheet, StockError, shapes::Shape, symmetry::Symmetry};
use crate::geom::{
    Isometry, Point, Polygon, TOLERANCE, angle,
    clip::{self, HalfPlane},
};

/// The widest strip in mm; a bound against mistakes, wider than any sheet.
pub const WIDEST: f64 = 10_000.0;

/// What an edge of a strip's section was before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The sheet's face.
    Face,
    /// The sheet's back.
    Back,
    /// A sawn face.
    Cut,
}

/// Where a strip came from.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// Ripped from the sheet.
    Sheet,
    /// One of the two pieces of a further rip.
    Strip {
        /// The strip that was ripped again.
        from: Arc<Strip>,
        /// 0 for the left piece, 1 for the right one.
        piece: usize,
    },
}

/// One layer in a strip's section.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerSection {
    /// The layer.
    pub layer: Layer,
    /// Its own polygon.
    pub polygon: Polygon,
    /// The section from this layer on to the back: painted in the order of the layers, these
    /// leave no seam between neighbours.
    pub underlay: Polygon,
}

/// A strip with its section as it lies on the bench, seen from one end.
///
/// The section's bounds begin at (0, 0); its first corner is the top one (the leftmost, where the
/// top is an edge). Edge `i` runs from corner `i` to the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    sheet: Arc<Sheet>,
    section: Polygon,
    sides: Vec<Side>,
    /// From the wood's own frame (face up at y = 0, as ripped) to how it lies now.
    lie: Isometry,
    origin: Origin,
}

impl Strip {
    /// Rips a strip: `width` in mm on the face; `left` and `right` are the edge angles in degrees,
    /// measured inside the wood between the face and each cut face (90 is square, below 90 the
    /// strip grows narrower towards the back). Bevels that meet just at the back give a triangle.
    ///
    /// # Errors
    /// For a width or angle out of range, or when the bevels meet inside the sheet.
    pub fn rip(sheet: &Arc<Sheet>, width: f64, left: f64, right: f64) -> Result<Self, StockError> {
        if !(width > 0.0 && width <= WIDEST) {
            return Err(StockError::Width { width });
        }
        for edge in [left, right] {
            if !(edge > 0.0 && edge < 180.0) {
                return Err(StockError::EdgeAngle { angle: edge });
            }
        }
        let depth = sheet.thickness();
        let (in_left, in_right) = (depth / angle::tan(left), depth / angle::tan(right));
        let back = width - in_left - in_right;
        if back < -TOLERANCE {
            return Err(StockError::BevelsMeet {
                width,
                needed: in_left + in_right,
            });
        }
        if back > WIDEST || in_left.abs() > WIDEST || in_right.abs() > WIDEST {
            return Err(StockError::Width { width: back });
        }
        let mut corners = vec![Point::ZERO, Point::new(width, 0.0)];
        let mut sides = vec![Side::Face, Side::Cut];
        if back > TOLERANCE {
            corners.push(Point::new(width - in_right, depth));
            sides.push(Side::Back);
        }
        corners.push(Point::new(in_left, depth));
        sides.push(Side::Cut);
        let section = Polygon::clockwise(corners);
        Ok(Self {
            sheet: Arc::clone(sheet),
            section,
            sides,
            lie: Isometry::IDENTITY,
            origin: Origin::Sheet,
        }
        .settled())
    }

    /// The sheet it was ripped from.
    pub fn sheet(&self) -> &Arc<Sheet> {
        &self.sheet
    }

    /// The section as it lies.
    pub fn section(&self) -> &Polygon {
        &self.section
    }

    /// What each edge of the section was before.
    pub fn sides(&self) -> &[Side] {
        &self.sides
    }

    /// Where it came from.
    pub fn origin(&self) -> &Origin {
        &self.origin
    }

    /// From the wood's own frame (face up at y = 0, as ripped) to how it lies now.
    pub fn lie(&self) -> Isometry {
        self.lie
    }

    /// The section as it was ripped: face up at y = 0, back at y = T.
    pub fn as_ripped(&self) -> Polygon {
        self.section.moved(self.lie.inverse())
    }

    /// The section's shape in plain words.
    pub fn shape(&self) -> &'static str {
        Shape::of(&self.section).name()
    }

    /// Rolled over about its own length by half a turn: top and bottom change places, and so do
    /// left and right.
    #[must_use]
    pub fn roll(&self) -> Self {
        self.laid(Isometry::turn(180.0))
    }

    /// Turned end for end where it lies: its section shows the mirror image, left for right.
    #[must_use]
    pub fn end_for_end(&self) -> Self {
        self.laid(Isometry::mirror(90.0))
    }

    /// The symmetries of its section: in how many ways it goes into the place that it has in a bar.
    pub fn symmetry(&self) -> Symmetry {
        let about = -self.section.centroid();
        Symmetry::of(&self.section.shifted(about))
    }

    /// Laid into the same place another way: turned end for end where `pose` flips (mirrored in the
    /// section's axis nearest to upright), then turned about its own length. The section stays, edge
    /// for edge, where the pose is one of [`Self::symmetry`].
    #[must_use]
    pub fn posed(&self, pose: Pose) -> Self {
        let flip = if pose.flip {
            Isometry::mirror(self.symmetry().axis.unwrap_or(90.0))
        } else {
            Isometry::IDENTITY
        };
        self.laid(flip.then(Isometry::turn(pose.turn)))
    }

    /// Laid on one of its edges.
    ///
    /// # Errors
    /// When it has no such edge.
    pub fn lay_on(&self, edge: EdgeName) -> Result<Self, StockError> {
        let (a, b) = self.section.edge(self.edge(edge)?);
        let way = b - a;
        // A bottom edge runs to the left: its direction is 180 degrees.
        Ok(self.laid(Isometry::turn(180.0 - angle::direction(way.x, way.y))))
    }

    /// Ripped once more along its whole length: the cut meets the top `at` mm from the section's
    /// left bound, under `edge` degrees measured inside the left piece (90 is square). The kerf
    /// is left out here: the plan adds it. Gives the left and right piece,
    /// each as it lay.
    ///
    /// # Errors
    /// When the angle is out of range or the cut misses the strip.
    pub fn rip_again(&self, at: f64, edge: f64) -> Result<(Self, Self), StockError> {
        if !(edge > 0.0 && edge < 180.0) {
            return Err(StockError::EdgeAngle { angle: edge });
        }
        let miss = StockError::CutMisses {
            at,
            width: self.section.bounds().width(),
        };
        if !at.is_finite() {
            return Err(miss);
        }
        let top = Point::new(at, 0.0);
        // Down the cut: from the top towards the left for an edge angle below 90 degrees.
        let down = Point::unit(180.0 - edge);
        let left_side = HalfPlane::right_of(top, top + down);
        let piece = |side: HalfPlane, number: usize| {
            let section = clip::keep(&self.section, side)?;
            if clip::depth(&section) <= TOLERANCE {
                return None;
            }
            let sides = section.edges().map(|e| self.side_of(e)).collect();
            let origin = Origin::Strip {
                from: Arc::new(self.clone()),
                piece: number,
            };
            let part = Self {
                section,
                sides,
                origin,
                sheet: Arc::clone(&self.sheet),
                ..*self
            };
            Some(part.settled())
        };
        match (piece(left_side, 0), piece(left_side.other_side(), 1)) {
            (Some(left), Some(right)) => Ok((left, right)),
            _ => Err(miss),
        }
    }

    /// What a second cut leaves of it: a part of its section, as that lies. With the move that brings the piece's own
    /// section back to where it lay.
    pub fn kept(&self, section: &Polygon) -> (Self, Isometry) {
        let at = section.bounds().min;
        let piece = Self {
            section: section.clone(),
            sides: section.edges().map(|edge| self.side_of(edge)).collect(),
            sheet: Arc::clone(&self.sheet),
            origin: self.origin.clone(),
            ..*self
        };
        (piece.settled(), Isometry::shift(at))
    }

    /// Ripped down the middle into two mirror pieces, left and right.
    ///
    /// # Errors
    /// When the section is not the same left and right.
    pub fn halve(&self) -> Result<(Self, Self), StockError> {
        let middle = self.section.bounds().centre().x;
        let mirrored = self
            .section
            .moved(Isometry::mirror(90.0))
            .shifted(Point::new(2.0 * middle, 0.0));
        if !mirrored.coincides(&self.section, TOLERANCE) {
            return Err(StockError::NotSymmetric {
                shape: self.shape(),
            });
        }
        self.rip_again(middle, 90.0)
    }

    /// The layers of the section as it lies, from face to back. Layers that the cuts took away
    /// altogether are left out.
    pub fn layers(&self) -> Vec<LayerSection> {
        let ripped = self.as_ripped();
        let depths = self.sheet.depths();
        let right = Point::new(1.0, 0.0);
        self.sheet
            .layers()
            .iter()
            .zip(depths.windows(2))
            .filter_map(|(layer, span)| {
                let from = HalfPlane {
                    on: Point::new(0.0, span[0]),
                    along: right,
                };
                let to = HalfPlane {
                    on: Point::new(0.0, span[1]),
                    along: -right,
                };
                let underlay = clip::keep(&ripped, from)?;
                let polygon = clip::keep(&underlay, to)?;
                Some(LayerSection {
                    layer: *layer,
                    polygon: polygon.moved(self.lie),
                    underlay: underlay.moved(self.lie),
                })
            })
            .collect()
    }

    /// The index of an edge of the section as it lies.
    ///
    /// # Errors
    /// When there is none of that name, or more than one.
    pub fn edge(&self, name: EdgeName) -> Result<usize, StockError> {
        edges::edge(&self.section, name)
    }

    /// The same strip ripped from another sheet: the section grows with the sheet's thickness, so
    /// that all angles and the shape stay; it lies as this one does.
    #[must_use]
    pub fn on_sheet(&self, sheet: &Arc<Sheet>) -> Self {
        let by = sheet.thickness() / self.sheet.thickness();
        let corners = self.section.corners().iter().map(|&p| p * by).collect();
        let origin = match &self.origin {
            Origin::Sheet => Origin::Sheet,
            Origin::Strip { from, piece } => Origin::Strip {
                from: Arc::new(from.on_sheet(sheet)),
                piece: *piece,
            },
        };
        Self {
            sheet: Arc::clone(sheet),
            section: Polygon::clockwise(corners),
            sides: self.sides.clone(),
            lie: Isometry {
                shift: self.lie.shift * by,
                ..self.lie
            },
            origin,
        }
    }

    fn side_of(&self, (a, b): (Point, Point)) -> Side {
        let middle = a.towards(b, 0.5);
        let on = |(p, q): (Point, Point)| {
            let way = q - p;
            (way.cross(middle - p) / way.length()).abs() < TOLERANCE / 10.0
        };
        self.section
            .edges()
            .position(on)
            .map_or(Side::Cut, |i| self.sides[i])
    }

    fn laid(&self, by: Isometry) -> Self {
        let section = self.section.moved(by);
        let mut sides = self.sides.clone();
        if by.flip {
            // Corners came in reverse; edge j now runs along what was edge n - 2 - j.
            let n = sides.len();
            sides = (0..n).map(|j| self.sides[(2 * n - 2 - j) % n]).collect();
        }
        Self {
            sheet: Arc::clone(&self.sheet),
            section,
            sides,
            lie: self.lie.then(by),
            origin: self.origin.clone(),
        }
        .settled()
    }

    /// With bounds that begin at (0, 0) and the top (left) corner first.
    fn settled(mut self) -> Self {
        let by = -self.section.bounds().min;
        let mut corners: Vec<Point> = self.section.corners().iter().map(|&p| p + by).collect();
        let lowest = corners.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
        let first = (0..corners.len())
            .filter(|&i| corners[i].y <= lowest + TOLERANCE / 10.0)
            .min_by(|&i, &j| corners[i].x.total_cmp(&corners[j].x))
            .unwrap_or(0);
        corners.rotate_left(first);
        self.sides.rotate_left(first);
        self.section = Polygon::clockwise(corners);
        self.lie = self.lie.then(Isometry::shift(by));
        self
    }
}
