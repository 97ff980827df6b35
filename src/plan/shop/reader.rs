//! Takes single values of a shop file: checks their range, and notes those that are not there.

use std::ops::RangeInclusive;

use toml::Spanned;

use super::{
    Assumed, ShopError,
    value::{Length, Number},
};
use crate::{geom::length::INCH, plan::units::decimal};

/// A length within its range, in mm.
pub(super) fn in_range(
    key: &str,
    given: &Spanned<Length>,
    range: &RangeInclusive<f64>,
) -> Result<f64, ShopError> {
    let mm = given.get_ref().0;
    if range.contains(&mm) {
        return Ok(mm);
    }
    let (low, high) = (decimal(*range.start(), 3), decimal(*range.end(), 3));
    let error = ShopError::at(
        given.span(),
        format!(
            "`{key}` must lie between {low} mm and {high} mm, {}",
            not(mm, " mm")
        ),
    );
    Err(if mm > 0.0 && range.contains(&(mm * INCH)) {
        error.help(format!(
            "a number alone is in mm; for inches write \"{} in\"",
            decimal(mm, 4)
        ))
    } else {
        error
    })
}

/// The unit of a number of the shop file that is no length.
fn unit(key: &str) -> &'static str {
    match key {
        "glue.spread" => " (g for each m2)",
        "glue.open_time" => " min",
        "glue.pace" => " s for each tile",
        "wood.density" => " (kg for each m3)",
        "table_saw.tilt_limit" => " degrees",
        _ => "",
    }
}

/// Takes values, and notes those that are not there.
#[derive(Default)]
pub(super) struct Reader {
    pub(super) assumed: Vec<Assumed>,
}

impl Reader {
    pub(super) fn assume(&mut self, key: &'static str, value: String) {
        self.assumed.push(Assumed { key, value });
    }

    pub(super) fn length(
        &mut self,
        key: &'static str,
        given: Option<Spanned<Length>>,
        common: f64,
        range: RangeInclusive<f64>,
    ) -> Result<f64, ShopError> {
        if let Some(given) = given {
            return in_range(short(key), &given, &range);
        }
        self.assume(key, format!("{} mm", decimal(common, 3)));
        Ok(common)
    }

    pub(super) fn number(
        &mut self,
        key: &'static str,
        given: Option<Spanned<Number>>,
        common: f64,
        range: RangeInclusive<f64>,
    ) -> Result<f64, ShopError> {
        let Some(given) = given else {
            self.assume(key, format!("{}{}", decimal(common, 3), unit(key)));
            return Ok(common);
        };
        let value = given.get_ref().0;
        if range.contains(&value) {
            return Ok(value);
        }
        Err(ShopError::at(
            given.span(),
            format!(
                "`{}` must lie between {} and {}, {}",
                short(key),
                range.start(),
                range.end(),
                not(value, "")
            ),
        ))
    }
}

/// The error for a number out of range. One that is not finite has no unit; one of many digits is written with a power of
/// ten.
pub(super) fn not(value: f64, unit: &str) -> String {
    if !value.is_finite() {
        format!("and {} is no number", value.to_string().to_lowercase())
    } else if value.abs() < 1e9 {
        format!("not {}{unit}", decimal(value, 3))
    } else {
        format!("not {value:e}{unit}")
    }
}

/// The key without its table.
fn short(key: &str) -> &str {
    key.rsplit('.').next().unwrap_or(key)
}
