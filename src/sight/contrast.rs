//! Contrast of two colours, by light alone.

use super::{Linear, difference};
use crate::stock::Colour;

/// Contrast ratio (WCAG 2.2, success criterion 1.4.3): from 1 to 21, whichever comes first.
#[must_use]
pub fn ratio(a: Colour, b: Colour) -> f64 {
    let (a, b) = (Linear::from(a).luminance(), Linear::from(b).luminance());
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// The ratio that WCAG 2.2, success criterion 1.4.11, asks of shapes that carry meaning.
pub const SHAPES: f64 = 3.0;

/// Michelson contrast of two luminances: from 0 (the same) to 1 (one is black). This is what the
/// contrast sensitivity of the eye is measured in.
#[must_use]
pub fn michelson(a: f64, b: f64) -> f64 {
    let sum = a + b;
    if sum > 0.0 { (a - b).abs() / sum } else { 0.0 }
}

/// How far apart in lightness: the difference in L* (CIE 1976), from 0 to 100.
#[must_use]
pub fn lightness_gap(a: Colour, b: Colour) -> f64 {
    (difference::lab(a).lightness - difference::lab(b).lightness).abs()
}
