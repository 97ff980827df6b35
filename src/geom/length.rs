//! Lengths as makers write them: millimetres, and inches with fractions.

/// Millimetres in an inch, exact by definition (international inch of 1959).
pub const INCH: f64 = 25.4;

/// Inches in mm. An inch is 127 / 5 mm; worked out in this way, 3/4 in is 19.05 mm to the last bit.
pub fn from_inches(inches: f64) -> f64 {
    inches * 127.0 / 5.0
}

/// Mm in inches, the same way back.
pub fn to_inches(mm: f64) -> f64 {
    mm * 5.0 / 127.0
}

/// Why a text is no length.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    /// Nothing there.
    #[error("an empty text is no length")]
    Empty,
    /// No number at the start.
    #[error("it does not begin with a number")]
    NoNumber,
    /// A number that cannot be read.
    #[error("`{0}` is no number")]
    Number(String),
    /// A fraction whose denominator is 0.
    #[error("a fraction cannot have 0 below the line")]
    ZeroDenominator,
    /// The unit is not known.
    #[error("`{0}` is no unit of length")]
    Unit(String),
    /// Too large for a number.
    #[error("the number is too large")]
    TooLarge,
}

/// Reads a length and gives it in mm.
///
/// Takes `18`, `18 mm`, `1.8cm`, `0.5 m`, `3/4 in`, `23/32"`, `1 1/2 in`, `1-1/2 inches`, `2 ft`.
/// A number alone is in mm; a fraction alone is in inches, as nobody writes fractions of a
/// millimetre. May be negative: whether that makes sense is for the caller to say.
///
/// # Errors
/// When the number, the fraction or the unit cannot be read.
pub fn parse(text: &str) -> Result<f64, LengthError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(LengthError::Empty);
    }
    let (negative, body) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text),
    };
    let digits_end = body
        .rfind(|c: char| c.is_ascii_digit() || c == '.')
        .map_or(0, |i| i + 1);
    let (number, unit) = body.split_at(digits_end);
    let (above, below) = number_or_fraction(number)?;
    // A unit in mm, as a fraction of whole numbers too: one division at the end rounds once.
    let (times, parts) = match unit.trim().to_lowercase().as_str() {
        "" if below.is_some() => (127.0, 5.0),
        "" | "mm" => (1.0, 1.0),
        "cm" => (10.0, 1.0),
        "m" => (1000.0, 1.0),
        "in" | "in." | "inch" | "inches" | "\"" | "\u{2033}" | "\u{201d}" => (127.0, 5.0),
        "ft" | "ft." | "foot" | "feet" | "'" | "\u{2032}" => (12.0 * 127.0, 5.0),
        _ => return Err(LengthError::Unit(unit.trim().to_owned())),
    };
    let mm = above * times / (below.unwrap_or(1.0) * parts) * if negative { -1.0 } else { 1.0 };
    if mm.is_finite() {
        Ok(mm)
    } else {
        Err(LengthError::TooLarge)
    }
}

/// `3`, `0.75`, `3/4`, `1 3/4` or `1-3/4`: what stands above the line, and below it where there is
/// one.
fn number_or_fraction(text: &str) -> Result<(f64, Option<f64>), LengthError> {
    let text = text.trim();
    let Some((above, below)) = text.split_once('/') else {
        return Ok((number(text)?, None));
    };
    let above = above.trim();
    let (whole, above) = match above.rsplit_once([' ', '-']) {
        Some((whole, above)) => (number(whole.trim_end_matches(['-', ' ']))?, number(above)?),
        None => (0.0, number(above)?),
    };
    let below = number(below)?;
    if below == 0.0 {
        return Err(LengthError::ZeroDenominator);
    }
    Ok((whole * below + above, Some(below)))
}

fn number(text: &str) -> Result<f64, LengthError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(LengthError::NoNumber);
    }
    let plain = text.chars().all(|c| c.is_ascii_digit() || c == '.');
    let value = plain.then(|| text.parse::<f64>().ok()).flatten();
    value.ok_or_else(|| LengthError::Number(text.to_owned()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "the inch is exact")]
    use super::*;

    #[test]
    fn what_makers_write() {
        for (text, mm) in [
            ("18", 18.0),
            ("18 mm", 18.0),
            ("17.7mm", 17.7),
            ("1.8 cm", 18.0),
            ("0.5 m", 500.0),
            ("3/4", 19.05),
            ("3/4 in", 19.05),
            ("23/32\"", 18.256_25),
            ("1 1/2 in", 38.1),
            ("1-1/2 inches", 38.1),
            ("1 - 1/2 in", 38.1),
            (".5 in", 12.7),
            ("2 ft", 609.6),
            ("-3 mm", -3.0),
        ] {
            assert_eq!(parse(text).unwrap(), mm, "{text}");
        }
    }

    #[test]
    fn what_cannot_be_read() {
        use LengthError::{Empty, NoNumber, Number, Unit, ZeroDenominator};
        for (text, error) in [
            ("", Empty),
            ("  ", Empty),
            ("wide", NoNumber),
            ("3/0 in", ZeroDenominator),
            ("18 ells", Unit("ells".to_owned())),
            ("1e3", Number("1e3".to_owned())),
            ("NaN", NoNumber),
            ("1/2/3 in", Number("2/3".to_owned())),
            ("--3", Number("-3".to_owned())),
        ] {
            assert_eq!(parse(text), Err(error), "{text}");
        }
        assert_eq!(parse(&"9".repeat(400)), Err(LengthError::TooLarge));
    }
}
