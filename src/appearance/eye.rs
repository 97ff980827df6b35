//! What an eye resolves: angles, acuity, and contrast sensitivity.
//!
//! Lengths and distances in mm, angles in arcminutes, frequencies in cycles per degree of the
//! eye's view. The eye is a good one (acuity 1) in daylight.

use crate::geom::angle;

/// The finest gap that an eye of acuity 1 resolves, in arcminutes (ISO 8596: the Landolt ring of
/// acuity grade 1 has a gap and stroke of 1 arcminute; 20/20 by Snellen).
pub const ACUITY: f64 = 1.0;

/// Contrast (Michelson) that is just seen where the eye is most sensitive. Pelli and Bex, Measuring
/// contrast sensitivity, Vision Research 90 (2013) 10-14: about 1 % for a wide range of targets.
pub const THRESHOLD: f64 = 0.01;

/// How many times the contrast that is just seen lets a pattern be read with ease. Whittaker and
/// Lovie-Kitchin, Visual requirements for reading, Optometry and Vision Science 70 (1993) 54-65: a
/// contrast reserve for fluent reading of several times what is just seen (seen in the abstract). The
/// 10 is that of a later review of four experiments on reading and contrast sensitivity (seen in its
/// abstract): letters of less than 10 times the threshold are read slower, of less than 4 times badly.
pub const RESERVE: f64 = 10.0;

/// Where [`sensitivity`] peaks, in cycles per degree.
pub const PEAK: f64 = 7.891;

/// Stripes of one arcminute each: the finest grating by [`ACUITY`], in cycles per degree.
pub const FINEST: f64 = 30.0 / ACUITY;

/// How wide something looks, in arcminutes.
pub fn arcminutes(width: f64, distance: f64) -> f64 {
    2.0 * libm::atan(width / (2.0 * distance)) * (60.0 * 180.0 / std::f64::consts::PI)
}

/// The width in mm that spans an angle at a distance.
pub fn width(arcminutes: f64, distance: f64) -> f64 {
    2.0 * distance * angle::tan(arcminutes / 120.0)
}

/// The distance in mm at which a width spans an angle.
pub fn distance(width: f64, arcminutes: f64) -> f64 {
    width / (2.0 * angle::tan(arcminutes / 120.0))
}

/// The frequency of a repeat of `period` mm at a distance, in cycles per degree.
pub fn frequency(period: f64, distance: f64) -> f64 {
    60.0 / arcminutes(period, distance)
}

/// Contrast sensitivity relative to its best, which is about 1 at [`PEAK`]:
/// A(f) = 2.6 (0.0192 + 0.114 f) exp(-(0.114 f)^1.1).
///
/// Mannos and Sakrison, The effects of a visual fidelity criterion on the encoding of images, IEEE
/// Transactions on Information Theory 20 (1974) 525-536; constants as ten independent public programs
/// have them, peak and range as a published account has them. Without meaning above 60 cycles per
/// degree.
pub fn sensitivity(frequency: f64) -> f64 {
    let f = 0.114 * frequency;
    2.6 * (0.0192 + f) * libm::exp(-libm::pow(f, 1.1))
}

/// The Michelson contrast that a grating needs in order to be seen: [`THRESHOLD`] x A(peak) / A(f).
///
/// Below the peak the sensitivity is held at its best: the formula falls there because the eye cares
/// little for slow waves, but a coarse pattern of wood has sharp edges. None beyond [`FINEST`].
pub fn needed(frequency: f64) -> Option<f64> {
    (frequency <= FINEST).then(|| THRESHOLD * sensitivity(PEAK) / sensitivity(frequency.max(PEAK)))
}

/// Whether a repeat of `period` mm with this contrast is seen from a distance.
pub fn sees(period: f64, contrast: f64, distance: f64) -> bool {
    needed(frequency(period, distance)).is_some_and(|least| contrast >= least)
}

/// The farthest distance in mm from which a repeat of `period` mm with this contrast is seen; none
/// where the contrast is too weak at any distance.
///
/// The needed contrast only grows with distance, so the border is found by halving, to a
/// micrometre or the last bit.
pub fn farthest(period: f64, contrast: f64) -> Option<f64> {
    let limit = distance(period, 60.0 / FINEST);
    // A period at the peak's frequency is as near as the eye's best needs.
    let best = distance(period, 60.0 / PEAK);
    if contrast < THRESHOLD {
        return None;
    }
    let (mut near, mut far) = (best, limit);
    if sees(period, contrast, far) {
        return Some(far);
    }
    for _ in 0..64 {
        let middle = f64::midpoint(near, far);
        if sees(period, contrast, middle) {
            near = middle;
        } else {
            far = middle;
        }
    }
    Some(near)
}

/// The farthest distance in mm from which a line of `width` mm is told from its surroundings: the
/// line counts as one half of a grating's period.
pub fn farthest_line(width: f64, contrast: f64) -> Option<f64> {
    farthest(2.0 * width, contrast)
}

/// Standard deviation, in arcminutes, of the blur that stands for the eye.
///
/// Its transfer exp(-2 pi^2 s^2 f^2) takes from the finest grating as much as A(f) takes there
/// against its peak: s = sqrt(ln(A(peak) / A(finest)) / 2) / (pi x finest).
pub fn blur() -> f64 {
    let lost = libm::log(sensitivity(PEAK) / sensitivity(FINEST));
    60.0 * (lost / 2.0).sqrt() / (std::f64::consts::PI * FINEST)
}
