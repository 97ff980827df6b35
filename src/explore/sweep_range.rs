//! Ranges of numbers as makers type them: `8..14..2`, `0.5..1.5..0.25`, `1/4..1..1/8 in`.
//!
//! Both ends are included where a step lands on them. Numbers are kept as whole numerators over one
//! denominator, so that ten steps of 0.1 are just 1. A range is never written out: it can be huge.

use super::sweep_error::SweepError;

/// Digits of one number that are read: sums and products of such numbers stay far below 2^127.
const MOST_DIGITS: usize = 12;

/// Numbers from a first one on in even steps.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Range {
    first: i128,
    step: i128,
    below: i128,
    fractions: bool,
    unit: String,
    /// How many, at least 1.
    pub(super) count: u64,
}

/// A number of a range as it was typed.
struct Typed {
    above: i128,
    below: i128,
    fraction: bool,
    unit: String,
}

impl Range {
    /// Reads `a..b` or `a..b..step`.
    pub(super) fn read(text: &str) -> Result<Self, SweepError> {
        let wrong = |problem: String| SweepError::Range {
            text: text.to_owned(),
            problem,
        };
        let parts: Vec<&str> = text.split("..").collect();
        let (first, last, step) = match parts.as_slice() {
            [first, last] => (*first, *last, None),
            [first, last, step] => (*first, *last, Some(*step)),
            _ => return Err(wrong("it has more than three numbers".to_owned())),
        };
        let read = |part: &str| {
            Typed::read(part).ok_or_else(|| {
                let part = part.trim();
                let long = part.bytes().filter(u8::is_ascii_digit).count() > MOST_DIGITS;
                wrong(if long {
                    format!("`{part}` has more than {MOST_DIGITS} digits")
                } else {
                    format!("`{part}` is not a number")
                })
            })
        };
        let (first, last) = (read(first)?, read(last)?);
        let step = step.map(read).transpose()?;
        let whole = first.below == 1 && last.below == 1;
        let step = match step {
            Some(step) => step,
            None if whole => Typed::one(),
            None => return Err(wrong("it has no step".to_owned())),
        };
        let all = [&first, &last, &step];
        let mut units = all.iter().map(|t| &t.unit).filter(|u| !u.is_empty());
        let unit = units.next().cloned().unwrap_or_default();
        if let Some(other) = units.find(|u| **u != unit) {
            return Err(wrong(format!("it mixes `{unit}` and `{other}`")));
        }
        let below = all.iter().fold(1, |sum, t| lcm(sum, t.below));
        let scaled = |t: &Typed| t.above * (below / t.below);
        let (from, to, by) = (scaled(&first), scaled(&last), scaled(&step));
        if by == 0 {
            return Err(wrong("its step is 0".to_owned()));
        }
        if (to - from).signum() * by.signum() < 0 {
            return Err(wrong(
                "it is empty: its step leads away from its end".to_owned(),
            ));
        }
        let count = u64::try_from((to - from) / by + 1)
            .map_err(|_| wrong("it has too many numbers".to_owned()))?;
        Ok(Self {
            first: from,
            step: by,
            below,
            fractions: all.iter().any(|t| t.fraction),
            unit,
            count,
        })
    }

    /// The number at a place, counted from 0, as it would be typed.
    pub(super) fn nth(&self, place: u64) -> String {
        let above = self.first + i128::from(place) * self.step;
        let number = if self.fractions {
            as_fraction(above, self.below)
        } else {
            as_decimal(above, self.below)
        };
        if self.unit.is_empty() {
            number
        } else {
            format!("{number} {}", self.unit)
        }
    }
}

impl Typed {
    fn one() -> Self {
        Self {
            above: 1,
            below: 1,
            fraction: false,
            unit: String::new(),
        }
    }

    fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        let end = text
            .rfind(|c: char| c.is_ascii_digit() || c == '.')
            .map_or(0, |i| i + 1);
        let (number, unit) = text.split_at(end);
        let unit = unit.trim();
        if unit
            .chars()
            .any(|c| !(c.is_alphabetic() || "\u{b0}%".contains(c)))
        {
            return None;
        }
        let (negative, number) = match number.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (true, rest.trim_start()),
            None => (false, number),
        };
        let (above, below, fraction) = match number.split_once('/') {
            None => {
                let (above, below) = decimal(number)?;
                (above, below, false)
            }
            Some((above, under)) => {
                let (whole, above) = match above.trim().rsplit_once([' ', '-']) {
                    Some((whole, above)) => (digits(whole.trim())?, digits(above)?),
                    None => (0, digits(above.trim())?),
                };
                let under = digits(under.trim()).filter(|n| *n > 0)?;
                (whole * under + above, under, true)
            }
        };
        Some(Self {
            above: if negative { -above } else { above },
            below,
            fraction,
            unit: unit.to_owned(),
        })
    }
}

fn digits(text: &str) -> Option<i128> {
    let plain = (1..=MOST_DIGITS).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

fn decimal(text: &str) -> Option<(i128, i128)> {
    match text.split_once('.') {
        None => Some((digits(text)?, 1)),
        Some((whole, part)) => {
            let whole = if whole.is_empty() { 0 } else { digits(whole)? };
            let part_above = digits(part)?;
            let below = 10_i128.pow(u32::try_from(part.len()).ok()?);
            Some((whole * below + part_above, below))
        }
    }
}

/// Below is a product of powers of 10.
fn as_decimal(above: i128, below: i128) -> String {
    let sign = if above < 0 { "-" } else { "" };
    let (mut whole, mut rest) = (above.abs() / below, above.abs() % below);
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    let mut text = String::new();
    while rest > 0 {
        rest *= 10;
        text.push_str(&(rest / below).to_string());
        rest %= below;
    }
    whole = whole.abs();
    format!("{sign}{whole}.{text}")
}

fn as_fraction(above: i128, below: i128) -> String {
    let sign = if above < 0 { "-" } else { "" };
    let (whole, rest) = (above.abs() / below, above.abs() % below);
    let common = gcd(rest, below);
    match (whole, rest) {
        (_, 0) => format!("{sign}{whole}"),
        (0, _) => format!("{sign}{}/{}", rest / common, below / common),
        _ => format!("{sign}{whole} {}/{}", rest / common, below / common),
    }
}

fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a } else { gcd(b, a % b) }
}

fn lcm(a: i128, b: i128) -> i128 {
    a / gcd(a, b) * b
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(text: &str) -> Vec<String> {
        let range = Range::read(text).unwrap();
        (0..range.count).map(|i| range.nth(i)).collect()
    }

    #[test]
    fn both_ends_are_in() {
        assert_eq!(all("8..14..2"), ["8", "10", "12", "14"]);
        assert_eq!(all("8..13..2"), ["8", "10", "12"]);
        assert_eq!(all("1..3"), ["1", "2", "3"]);
        assert_eq!(all("5..5"), ["5"]);
        assert_eq!(all("3..1..-1"), ["3", "2", "1"]);
        assert_eq!(all("-1..1"), ["-1", "0", "1"]);
    }

    #[test]
    fn ten_tenths_are_one() {
        let tenths = all("0.1..1..0.1");
        assert_eq!(tenths.len(), 10);
        assert_eq!(tenths[2], "0.3");
        assert_eq!(tenths[9], "1");
        assert_eq!(all("-.5..0.5..0.25"), ["-0.5", "-0.25", "0", "0.25", "0.5"]);
    }

    #[test]
    fn units_and_fractions_stay() {
        assert_eq!(all("300..340..20mm"), ["300 mm", "320 mm", "340 mm"]);
        assert_eq!(
            all("3/4..1 1/8..1/8 in"),
            ["3/4 in", "7/8 in", "1 in", "1 1/8 in"]
        );
        assert_eq!(all("0.5..1..1/4in"), ["1/2 in", "3/4 in", "1 in"]);
    }

    #[test]
    fn what_is_no_range_says_why() {
        for (text, why) in [
            ("9..1", "empty"),
            ("1..9..-1", "empty"),
            ("1..9..0", "step is 0"),
            ("0.5..2", "no step"),
            ("a..b", "`a` is not a number"),
            (
                "1..1234567890123",
                "`1234567890123` has more than 12 digits",
            ),
            ("1..", "`` is not a number"),
            ("1..2..3..4", "more than three"),
            ("1mm..2in", "mixes"),
            ("1/0..2..1", "not a number"),
        ] {
            let error = Range::read(text).unwrap_err().to_string();
            assert!(error.contains(why), "{text}: {error}");
        }
    }
}
