//! The usual sections by name, and the name of a section.
//!
//! T is the sheet's thickness. The formulas are those of any geometry text: a rhombus of height T
//! and angle a has the side T / sin a.

use std::sync::Arc;

use super::{Sheet, StockError, Strip};
use crate::geom::{Polygon, TOLERANCE, angle};

/// A square: T wide, both edges square.
///
/// # Errors
/// None for any sheet that is not wider than a strip may be.
pub fn square(sheet: &Arc<Sheet>) -> Result<Strip, StockError> {
    Strip::rip(sheet, sheet.thickness(), 90.0, 90.0)
}

/// A parallelogram `width` mm wide on the face, leaning by an edge angle in degrees.
///
/// # Errors
/// For a width or angle out of range.
pub fn parallelogram(sheet: &Arc<Sheet>, width: f64, edge: f64) -> Result<Strip, StockError> {
    Strip::rip(sheet, width, edge, 180.0 - edge)
}

/// A rhombus: a parallelogram as wide as its cut faces are high, T / sin(edge).
///
/// # Errors
/// For an angle out of range.
pub fn rhombus(sheet: &Arc<Sheet>, edge: f64) -> Result<Strip, StockError> {
    if !(edge > 0.0 && edge < 180.0) {
        return Err(StockError::EdgeAngle { angle: edge });
    }
    parallelogram(sheet, sheet.thickness() / angle::sin(edge), edge)
}

/// A trapezoid `width` mm wide on the face, both edges at the same angle.
///
/// # Errors
/// For a width or angle out of range, or bevels that meet inside the sheet.
pub fn trapezoid(sheet: &Arc<Sheet>, width: f64, edge: f64) -> Result<Strip, StockError> {
    Strip::rip(sheet, width, edge, edge)
}

/// The trapezoid whose narrow face is as wide as its cut faces are high; at 60 degrees, half a
/// regular hexagon.
///
/// # Errors
/// For an angle that is not above 0 and below 90 degrees.
pub fn half_hexagon(sheet: &Arc<Sheet>, edge: f64) -> Result<Strip, StockError> {
    if !(edge > 0.0 && edge < 90.0) {
        return Err(StockError::EdgeAngle { angle: edge });
    }
    let depth = sheet.thickness();
    let narrow = depth / angle::sin(edge);
    trapezoid(sheet, narrow + 2.0 * depth / angle::tan(edge), edge)
}

/// A triangle with its base on the face and both edges at the same angle: base 2 T / tan(edge).
///
/// # Errors
/// For an angle that is not above 0 and below 90 degrees.
pub fn triangle(sheet: &Arc<Sheet>, edge: f64) -> Result<Strip, StockError> {
    if !(edge > 0.0 && edge < 90.0) {
        return Err(StockError::EdgeAngle { angle: edge });
    }
    trapezoid(sheet, 2.0 * sheet.thickness() / angle::tan(edge), edge)
}

/// The shape of a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Three corners.
    Triangle,
    /// Four right angles, four equal sides.
    Square,
    /// Four right angles.
    Rectangle,
    /// Four equal sides.
    Rhombus,
    /// Two pairs of parallel sides.
    Parallelogram,
    /// One pair of parallel sides.
    Trapezoid,
    /// Four corners, no parallel sides.
    FourSided,
    /// More corners.
    ManySided,
}

impl Shape {
    /// The shape of a section, within the tolerance for lengths and a hundredth of a degree.
    pub fn of(section: &Polygon) -> Self {
        match section.corners().len() {
            3 => return Self::Triangle,
            4 => {}
            _ => return Self::ManySided,
        }
        let sides: Vec<f64> = section.edges().map(|(a, b)| a.distance(b)).collect();
        let corners: Vec<f64> = (0..4).map(|i| section.angle_at(i)).collect();
        let parallel = |i: usize| (corners[i] + corners[(i + 1) % 4] - 180.0).abs() < 0.01;
        let equal = sides.iter().all(|&s| (s - sides[0]).abs() <= TOLERANCE);
        let right = corners.iter().all(|&c| (c - 90.0).abs() < 0.01);
        match (parallel(0), parallel(1)) {
            (true, true) if right && equal => Self::Square,
            (true, true) if right => Self::Rectangle,
            (true, true) if equal => Self::Rhombus,
            (true, true) => Self::Parallelogram,
            (false, false) => Self::FourSided,
            _ => Self::Trapezoid,
        }
    }

    /// Its plain name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Triangle => "triangle",
            Self::Square => "square",
            Self::Rectangle => "rectangle",
            Self::Rhombus => "rhombus",
            Self::Parallelogram => "parallelogram",
            Self::Trapezoid => "trapezoid",
            Self::FourSided => "four-sided strip",
            Self::ManySided => "many-sided strip",
        }
    }
}
