//! Angles in degrees, with trigonometry that gives the same bits on every machine.
//!
//! Multiples of 30 and 45 degrees use the nearest `f64` to the exact value; every other angle goes
//! through `libm`, which computes in software and so does not depend on the system.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// The nearest `f64` to sqrt(3) / 2.
const HALF_SQRT_3: f64 = 0.866_025_403_784_438_6;

/// The same direction in the range from 0 (included) to 360 (left out).
pub fn normalised(degrees: f64) -> f64 {
    let turned = libm::fmod(degrees, 360.0);
    let turned = if turned < 0.0 { turned + 360.0 } else { turned };
    // A tiny negative angle rounds up to the whole circle; minus zero becomes zero.
    if turned >= 360.0 { 0.0 } else { turned + 0.0 }
}

/// How far two directions lie apart, from 0 to 180 degrees.
pub fn between(a: f64, b: f64) -> f64 {
    let d = normalised(a - b);
    d.min(360.0 - d)
}

/// Sine and cosine of an angle in degrees.
#[allow(
    clippy::float_cmp,
    reason = "only the exact multiples have exact values"
)]
pub fn sin_cos(degrees: f64) -> (f64, f64) {
    let turned = normalised(degrees);
    let within = libm::fmod(turned, 90.0);
    let (sin, cos) = if within == 0.0 {
        (0.0, 1.0)
    } else if within == 30.0 {
        (0.5, HALF_SQRT_3)
    } else if within == 45.0 {
        (FRAC_1_SQRT_2, FRAC_1_SQRT_2)
    } else if within == 60.0 {
        (HALF_SQRT_3, 0.5)
    } else {
        let radians = within * (PI / 180.0);
        (libm::sin(radians), libm::cos(radians))
    };
    if turned < 90.0 {
        (sin, cos)
    } else if turned < 180.0 {
        (cos, -sin)
    } else if turned < 270.0 {
        (-sin, -cos)
    } else {
        (-cos, sin)
    }
}

/// Sine of an angle in degrees.
pub fn sin(degrees: f64) -> f64 {
    sin_cos(degrees).0
}

/// Cosine of an angle in degrees.
pub fn cos(degrees: f64) -> f64 {
    sin_cos(degrees).1
}

/// Tangent of an angle in degrees; infinite at 90 and 270.
pub fn tan(degrees: f64) -> f64 {
    let (sin, cos) = sin_cos(degrees);
    if (sin.abs() - cos.abs()).abs() == 0.0 {
        sin.signum() * cos.signum()
    } else {
        sin / cos
    }
}

/// Direction of the vector (x, y) in degrees, from 0 (included) to 360 (left out): 0 points right,
/// 90 points down.
pub fn direction(x: f64, y: f64) -> f64 {
    normalised(libm::atan2(y, x) * (180.0 / PI))
}

/// The nearest multiple of 15 degrees where the angle lies within a billionth of a degree of one,
/// else the angle: takes the noise out of sums of exact turns.
pub fn tidied(degrees: f64) -> f64 {
    let near = libm::round(degrees / 15.0) * 15.0;
    if (near - degrees).abs() < 1e-9 {
        normalised(near)
    } else {
        normalised(degrees)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "exact values are what is tested")]
    use super::*;

    #[test]
    fn multiples_of_thirty_are_exact() {
        assert_eq!(sin(30.0), 0.5);
        assert_eq!(cos(-60.0), 0.5);
        assert_eq!(sin(180.0), 0.0);
        assert_eq!(cos(270.0), 0.0);
        assert_eq!(sin_cos(45.0).0, sin_cos(45.0).1);
        assert_eq!(tan(45.0), 1.0);
        assert_eq!(tan(135.0), -1.0);
        assert_eq!(sin(750.0), 0.5);
    }

    #[test]
    fn others_agree_with_libm() {
        for tenth in -7200..7200 {
            let degrees = f64::from(tenth) / 10.0;
            let radians = degrees * PI / 180.0;
            assert!(
                (sin(degrees) - libm::sin(radians)).abs() < 1e-14,
                "{degrees}"
            );
            assert!(
                (cos(degrees) - libm::cos(radians)).abs() < 1e-14,
                "{degrees}"
            );
        }
    }

    #[test]
    fn directions_follow_the_drawing() {
        assert_eq!(direction(1.0, 0.0), 0.0);
        assert_eq!(direction(0.0, 1.0), 90.0);
        assert_eq!(direction(0.0, -1.0), 270.0);
        assert_eq!(normalised(-1e-20), 0.0);
        assert_eq!(between(350.0, 10.0), 20.0);
    }
}
