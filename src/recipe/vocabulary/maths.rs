//! Mathematics for recipes. Angles are in degrees.
//!
//! Rhai's own functions use the system's and so differ from machine to machine; these use
//! [`crate::geom::angle`] (exact at multiples of 30 and 45 degrees) and `libm`.

use crate::recipe::kind::Kind;
use rhai::Dynamic;
use rhai::plugin::*;

use super::group::Group;
use crate::geom::angle as degrees;
use crate::recipe::args;
use crate::recipe::fault::Fault;

/// The group.
pub fn group() -> Group {
    Group {
        name: "maths",
        about: "Numbers and angles (in degrees), the same to the last bit on every machine.",
        module: exported_module!(words),
    }
}

/// The fault that a calculation has no answer.
fn no_answer(message: String) -> Fault {
    Fault::new(Kind::NoAnswer, message)
}

/// The result of rounding as a whole number; a fault where it is too large for one.
fn to_whole(number: f64) -> Result<i64, Fault> {
    args::any_whole(&Dynamic::from(number), "the result")
        .map_err(|_| no_answer(format!("{number:?} is too large for a whole number")))
}

#[export_module]
mod words {
    /// The sine of an angle in degrees.
    ///
    /// # Example
    /// ```rhai
    /// let half = sin(30);     // 0.5, exactly
    /// ```
    #[rhai_fn(return_raw)]
    pub fn sin(angle: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        Ok(degrees::sin(args::angle(&angle, "the angle of `sin`")?))
    }

    /// The cosine of an angle in degrees.
    ///
    /// # Example
    /// ```rhai
    /// let half = cos(60);     // 0.5, exactly
    /// ```
    #[rhai_fn(return_raw)]
    pub fn cos(angle: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        Ok(degrees::cos(args::angle(&angle, "the angle of `cos`")?))
    }

    /// The tangent of an angle in degrees; there is none at 90 and 270.
    ///
    /// # Example
    /// ```rhai
    /// let rise = 100 * tan(22.5);
    /// ```
    #[rhai_fn(return_raw)]
    pub fn tan(angle: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        let angle = args::angle(&angle, "the angle of `tan`")?;
        let tangent = degrees::tan(angle);
        if tangent.is_finite() {
            Ok(tangent)
        } else {
            Err(no_answer(format!("an angle of {angle} degrees has no tangent")).into())
        }
    }

    /// The angle, from -90 to 90 degrees, that has this sine.
    ///
    /// # Example
    /// ```rhai
    /// let angle = asin(0.5);  // 30 degrees
    /// ```
    #[rhai_fn(return_raw)]
    pub fn asin(sine: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        let sine = args::number(&sine, "the sine")?;
        if sine.abs() > 1.0 {
            return Err(no_answer(format!("no angle has the sine {sine}"))
                .help("a sine lies between -1 and 1")
                .into());
        }
        Ok(libm::asin(sine) * (180.0 / std::f64::consts::PI))
    }

    /// The angle, from 0 to 180 degrees, that has this cosine.
    ///
    /// # Example
    /// ```rhai
    /// let angle = acos(0.5);  // 60 degrees
    /// ```
    #[rhai_fn(return_raw)]
    pub fn acos(cosine: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        let cosine = args::number(&cosine, "the cosine")?;
        if cosine.abs() > 1.0 {
            return Err(no_answer(format!("no angle has the cosine {cosine}"))
                .help("a cosine lies between -1 and 1")
                .into());
        }
        Ok(libm::acos(cosine) * (180.0 / std::f64::consts::PI))
    }

    /// The angle, from -90 to 90 degrees, that has this tangent.
    ///
    /// # Example
    /// ```rhai
    /// let angle = atan(1);    // 45 degrees
    /// ```
    #[rhai_fn(return_raw)]
    pub fn atan(tangent: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        let tangent = args::number(&tangent, "the tangent")?;
        Ok(libm::atan(tangent) * (180.0 / std::f64::consts::PI))
    }

    /// The direction, from 0 to 360 degrees, in which the point (x, y) lies: 0 is to the right, 90
    /// down, as y grows downward on a panel.
    ///
    /// # Example
    /// ```rhai
    /// let down = direction(0, 10);    // 90 degrees
    /// ```
    #[rhai_fn(return_raw)]
    pub fn direction(x: Dynamic, y: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        let (x, y) = (args::number(&x, "x")?, args::number(&y, "y")?);
        Ok(degrees::tidied(degrees::direction(x, y)))
    }

    /// The square root.
    ///
    /// # Example
    /// ```rhai
    /// let diagonal = 100 * sqrt(2);
    /// ```
    #[rhai_fn(return_raw)]
    pub fn sqrt(number: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        let number = args::number(&number, "the number under the root")?;
        if number < 0.0 {
            return Err(no_answer(format!("{number} has no square root")).into());
        }
        Ok(libm::sqrt(number))
    }

    /// The diagonal of a rectangle of this width and height, which is also the distance of the point
    /// (width, height) from the origin.
    ///
    /// # Example
    /// ```rhai
    /// let across = diagonal(300, 400);     // 500
    /// ```
    #[rhai_fn(return_raw)]
    pub fn diagonal(width: Dynamic, height: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        Ok(libm::hypot(
            args::number(&width, "the width")?,
            args::number(&height, "the height")?,
        ))
    }

    /// A number to the power of another: whole where both are whole and the power is not negative.
    ///
    /// # Example
    /// ```rhai
    /// let eight = power(2, 3);
    /// let third = power(27, 1.0 / 3);
    /// ```
    #[rhai_fn(return_raw)]
    pub fn power(number: Dynamic, exponent: Dynamic) -> Result<Dynamic, Box<EvalAltResult>> {
        if let (Ok(base), Ok(exponent @ 0..)) = (number.as_int(), exponent.as_int()) {
            return u32::try_from(exponent)
                .ok()
                .and_then(|exponent| base.checked_pow(exponent))
                .map(Dynamic::from)
                .ok_or_else(|| {
                    no_answer(format!(
                        "{base} to the power of {exponent} is too large for a whole number"
                    ))
                    .into()
                });
        }
        let (base, exponent) = (
            args::number(&number, "the number")?,
            args::number(&exponent, "the power")?,
        );
        let result = libm::pow(base, exponent);
        if result.is_finite() {
            Ok(Dynamic::from(result))
        } else {
            Err(no_answer(format!("{base} to the power of {exponent} has no answer")).into())
        }
    }

    /// The whole number at or below a number.
    ///
    /// # Example
    /// ```rhai
    /// let tiles_that_fit = round_down(610 / 47.5);    // 12
    /// ```
    #[rhai_fn(return_raw)]
    pub fn round_down(number: Dynamic) -> Result<i64, Box<EvalAltResult>> {
        Ok(to_whole(libm::floor(args::number(&number, "the number")?))?)
    }

    /// The whole number at or above a number.
    ///
    /// # Example
    /// ```rhai
    /// let tiles_to_cover = round_up(610 / 47.5);  // 13
    /// ```
    #[rhai_fn(return_raw)]
    pub fn round_up(number: Dynamic) -> Result<i64, Box<EvalAltResult>> {
        Ok(to_whole(libm::ceil(args::number(&number, "the number")?))?)
    }

    /// The nearest whole number; halves go away from 0. With a second number: rounded to so many
    /// decimal places, from 0 to 12.
    ///
    /// # Example
    /// ```rhai
    /// let nearest = round(12.5);          // 13
    /// let tenths = round(17.66, 1);       // 17.7
    /// ```
    #[rhai_fn(name = "round", return_raw)]
    pub fn round(number: Dynamic) -> Result<i64, Box<EvalAltResult>> {
        Ok(to_whole(libm::round(args::number(&number, "the number")?))?)
    }

    #[rhai_fn(name = "round", return_raw)]
    pub fn round_to(number: Dynamic, places: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        let number = args::number(&number, "the number")?;
        let places = args::whole(&places, "the decimal places", 0, 12)?;
        let scale = libm::pow(10.0, places as f64);
        let scaled = number * scale;
        Ok(if scaled.is_finite() {
            libm::round(scaled) / scale
        } else {
            number
        })
    }

    /// A number from a text, or from a whole number.
    ///
    /// # Example
    /// ```rhai
    /// let width = number("47.5") * 2;     // 95
    /// ```
    #[rhai_fn(return_raw)]
    pub fn number(value: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        let Some(text) = value.read_lock::<ImmutableString>() else {
            return Ok(args::number(&value, "the value")?);
        };
        match text.trim().parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(number),
            _ => Err(no_answer(format!("{:?} is no number", text.as_str())).into()),
        }
    }

    /// How many times a whole number goes into another: a division without its remainder, rounded down.
    /// The remainder is `around(number, part)`.
    ///
    /// # Example
    /// ```rhai
    /// let pair = quotient(7, 2);      // 3, where 7 / 2 is 3.5
    /// ```
    #[rhai_fn(return_raw)]
    pub fn quotient(number: Dynamic, part: Dynamic) -> Result<i64, Box<EvalAltResult>> {
        let number = args::any_whole(&number, "the number")?;
        let part = args::any_whole(&part, "what goes into it")?;
        let Some(quotient) = number.checked_div_euclid(part) else {
            return Err(no_answer(format!("{number} cannot be divided by {part}")).into());
        };
        // `div_euclid` rounds up where the divisor is negative.
        let exact = number.rem_euclid(part) == 0;
        Ok(quotient - i64::from(part < 0 && !exact))
    }

    /// The remainder of a division of whole numbers, never negative: counts around in a circle, also
    /// backward.
    ///
    /// # Example
    /// ```rhai
    /// let last = around(-1, 6);       // 5
    /// ```
    #[rhai_fn(return_raw)]
    pub fn around(number: i64, length: i64) -> Result<i64, Box<EvalAltResult>> {
        if length < 1 {
            return Err(no_answer(format!("a circle of {length} cannot be counted around")).into());
        }
        Ok(number.rem_euclid(length))
    }

    /// The largest whole number that divides both without a remainder.
    ///
    /// # Example
    /// ```rhai
    /// let largest = common_divisor(12, 18);    // 6
    /// ```
    #[rhai_fn(return_raw)]
    pub fn common_divisor(first: i64, second: i64) -> Result<i64, Box<EvalAltResult>> {
        let (mut a, mut b) = (first.unsigned_abs(), second.unsigned_abs());
        while b != 0 {
            (a, b) = (b, a % b);
        }
        Ok(i64::try_from(a).map_err(|_| no_answer("the result is too large".to_owned()))?)
    }

    /// A length in mm from a text with a unit, or from a number in mm.
    ///
    /// # Example
    /// ```rhai
    /// let thick = length("23/32 in");     // 18.25625
    /// ```
    #[rhai_fn(return_raw)]
    pub fn length(text: Dynamic) -> Result<f64, Box<EvalAltResult>> {
        Ok(args::length(&text, "the length")?)
    }

    /// The ratio of a circle's circumference to its diameter.
    ///
    /// # Example
    /// ```rhai
    /// let around_the_edge = 300 * pi();
    /// ```
    pub fn pi() -> f64 {
        std::f64::consts::PI
    }
}
