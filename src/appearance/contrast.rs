//! Contrast of two colours, or of all that a panel shows, by light alone.

use super::{Linear, difference};
use crate::layout::Panel;
use crate::stock::Colour;
use crate::watch;

/// Contrast ratio (WCAG 2.2, success criterion 1.4.3): from 1 to 21, whichever comes first.
pub fn ratio(a: Colour, b: Colour) -> f64 {
    let (a, b) = (Linear::from(a).luminance(), Linear::from(b).luminance());
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// The ratio that WCAG 2.2, success criterion 1.4.11, asks of shapes that carry meaning.
pub const SHAPES: f64 = 3.0;

/// Michelson contrast of two luminances: from 0 (the same) to 1 (one is black). This is what the
/// contrast sensitivity of the eye is measured in.
pub fn michelson(a: f64, b: f64) -> f64 {
    let sum = a + b;
    if sum > 0.0 { (a - b).abs() / sum } else { 0.0 }
}

/// How far apart in lightness: the difference in L* (CIE 1976), from 0 to 100.
pub fn lightness_gap(a: Colour, b: Colour) -> f64 {
    (difference::lab(a).lightness - difference::lab(b).lightness).abs()
}

/// How much the luminance of a panel varies: standard deviation over mean, each colour weighted by
/// its area on the tiles, those that the trim cuts taken whole. 0 is one even tone; half black and
/// half white is 1. (For gratings this is root-mean-square contrast.) None without light.
pub fn of_panel(panel: &Panel) -> Option<f64> {
    let mut count = vec![0_u64; panel.faces.len()];
    for tile in &panel.tiles {
        watch::ask();
        count[tile.face as usize] += 1;
    }
    let (mut area, mut light, mut squares) = (0.0, 0.0, 0.0);
    for (placed, count) in panel.faces.iter().zip(count) {
        for region in placed.face.regions() {
            let own = region.polygon.area() * count as f64;
            let y = Linear::from(region.colour).luminance();
            area += own;
            light += own * y;
            squares += own * y * y;
        }
    }
    if light <= 0.0 {
        return None;
    }
    let mean = light / area;
    Some((squares / area - mean * mean).max(0.0).sqrt() / mean)
}
