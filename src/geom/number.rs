//! Numbers as text: rounded for other programs, with groups of thousands, as fractions.

use std::fmt::{Display, Write as _};

/// Rounded to a thousandth, and never `-0`: lengths in mm, angles, shares.
pub fn thousandth(value: f64) -> f64 {
    libm::round(value * 1e3) / 1e3 + 0.0
}

/// Rounded to a millionth, and never `-0`: where other values are worked out from it.
pub fn millionth(value: f64) -> f64 {
    libm::round(value * 1e6) / 1e6 + 0.0
}

/// A whole number of any size with its thousands apart: `1 234 567`.
pub fn grouped(number: impl Display) -> String {
    apart(number, ' ')
}

/// [`grouped`] with spaces at which no line breaks.
pub fn grouped_in_one_line(number: impl Display) -> String {
    apart(number, '\u{a0}')
}

fn apart(number: impl Display, space: char) -> String {
    let digits = number.to_string();
    let mut text = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            text.push(space);
        }
        text.push(digit);
    }
    text
}

/// So many parts of a whole of `each`, in lowest terms as read from a tape: `1 1/2`, `23/32`, `4`.
pub fn fraction(parts: u64, each: u64) -> String {
    let (whole, rest) = (parts / each, parts % each);
    if rest == 0 {
        return whole.to_string();
    }
    let shift = rest.trailing_zeros().min(each.trailing_zeros());
    let mut text = String::new();
    if whole > 0 {
        let _ = write!(text, "{whole} ");
    }
    let _ = write!(text, "{}/{}", rest >> shift, each >> shift);
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_stand_apart() {
        assert_eq!(grouped(7), "7");
        assert_eq!(grouped(1234), "1 234");
        assert_eq!(grouped("10000000"), "10 000 000");
        assert_eq!(grouped_in_one_line(12_345), "12\u{a0}345");
    }

    #[test]
    fn nothing_is_less_than_nothing() {
        assert_eq!(thousandth(-0.000_4).to_bits(), 0.0_f64.to_bits());
        assert_eq!(thousandth(2.000_5).to_bits(), 2.001_f64.to_bits());
        assert_eq!(millionth(1.000_000_4).to_bits(), 1.0_f64.to_bits());
    }

    #[test]
    fn fractions_are_in_lowest_terms() {
        for (parts, each, text) in [
            (48, 32, "1 1/2"),
            (23, 32, "23/32"),
            (64, 16, "4"),
            (0, 64, "0"),
            (20, 16, "1 1/4"),
        ] {
            assert_eq!(fraction(parts, each), text);
        }
    }
}
