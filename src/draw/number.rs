//! Numbers in a drawing: whole micrometres, printed as millimetres by integer arithmetic.
//!
//! Geometry is snapped once; from there on no float is formatted, so the text is the same on any
//! machine, never `-0`, never in exponent form.

use itoa::Buffer;

use crate::geom::{Point, length::INCH};

/// A place in whole micrometres, x to the right, y down.
pub(crate) type Spot = (i64, i64);

/// The nearest whole micrometre; of two that are equally near, the one further from 0.
#[allow(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 saturates, and panels are far smaller than that"
)]
pub(crate) fn snapped(mm: f64) -> i64 {
    // The same as `round`, which without the processor's own rounding is a call for each number.
    let exact = mm * 1000.0;
    let whole = exact as i64;
    let rest = exact - whole as f64;
    whole.saturating_add(i64::from(rest >= 0.5) - i64::from(rest <= -0.5))
}

/// A point in whole micrometres.
pub(crate) fn spot(p: Point) -> Spot {
    (snapped(p.x), snapped(p.y))
}

/// A length in micrometres as a decimal in mm: `12`, `0.5`, `-3.125`.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Decimal {
    /// Twenty digits at most, a sign and a point.
    bytes: [u8; 24],
    length: usize,
}

impl Decimal {
    pub(crate) fn of(micrometres: i64) -> Self {
        let mut text = Self {
            bytes: [0; 24],
            length: 0,
        };
        if micrometres < 0 {
            text.put(b"-", 1);
        }
        let all = micrometres.unsigned_abs();
        let (whole, rest) = (all / 1000, below_thousand(all));
        if whole < 1000 {
            text.put_whole(below_thousand(whole));
        } else if whole < 1_000_000 {
            text.put_whole(below_thousand(whole / 1000));
            text.put(&DIGITS[below_thousand(whole)].0, 3);
        } else {
            for digit in Buffer::new().format(whole).bytes() {
                text.put(&[digit], 1);
            }
        }
        if rest > 0 {
            let (digits, significant) = DIGITS[rest];
            text.put(b".", 1);
            text.put(&digits, significant);
        }
        text
    }

    /// A number below a thousand, without zeros before it.
    fn put_whole(&mut self, number: usize) {
        let [a, b, c] = DIGITS[number].0;
        match number {
            0..10 => self.put(&[c], 1),
            10..100 => self.put(&[b, c], 2),
            _ => self.put(&[a, b, c], 3),
        }
    }

    /// Puts all of some bytes, of which the first `length` count.
    fn put<const N: usize>(&mut self, bytes: &[u8; N], length: usize) {
        self.bytes[self.length..][..N].copy_from_slice(bytes);
        self.length += length;
    }

    pub(crate) fn as_bytes(&self) -> &[u8] {
        &self.bytes[..self.length]
    }
}

#[allow(clippy::cast_possible_truncation, reason = "below a thousand")]
fn below_thousand(value: u64) -> usize {
    (value % 1000) as usize
}

/// The three digits of each number below a thousand, and how many there are without zeros at the
/// end. A drawing has millions of numbers: a table takes a third less time than reckoning digits.
static DIGITS: [([u8; 3], usize); 1000] = digits();

#[allow(clippy::cast_possible_truncation, reason = "digits")]
const fn digits() -> [([u8; 3], usize); 1000] {
    let mut table = [([b'0'; 3], 0); 1000];
    let mut number = 0;
    while number < 1000 {
        let digits = [number / 100, number / 10 % 10, number % 10];
        let mut i = 0;
        while i < 3 {
            table[number].0[i] = b'0' + digits[i] as u8;
            if digits[i] > 0 {
                table[number].1 = i + 1;
            }
            i += 1;
        }
        number += 1;
    }
    table
}

/// Adds a length in micrometres as a decimal in mm.
pub(crate) fn push(out: &mut String, micrometres: i64) {
    let text = Decimal::of(micrometres);
    out.push_str(str::from_utf8(text.as_bytes()).expect("invariant: digits, a sign and a point"));
}

/// A length in mm as its text in a drawing.
pub(crate) fn mm(length: f64) -> String {
    let mut out = String::new();
    push(&mut out, snapped(length));
    out
}

fn push_whole(out: &mut String, value: u64) {
    out.push_str(Buffer::new().format(value));
}

/// A count with its thousands apart: `12 345`, with spaces that do not break.
pub(crate) fn count(value: u64) -> String {
    let mut plain = String::new();
    push_whole(&mut plain, value);
    let mut out = String::with_capacity(plain.len() + plain.len() / 3);
    for (i, c) in plain.chars().enumerate() {
        if i > 0 && (plain.len() - i).is_multiple_of(3) {
            out.push('\u{a0}');
        }
        out.push(c);
    }
    out
}

/// A value rounded to `places` decimals (at most 3), without zeros at its end.
pub(crate) fn rounded(value: f64, places: u32) -> String {
    let step = 10_i64.pow(3 - places.min(3));
    let thousandths = snapped(value);
    let half = if thousandths < 0 { -step / 2 } else { step / 2 };
    let mut out = String::new();
    push(&mut out, (thousandths + half) / step * step);
    out
}

/// A length in inches to the nearest sixteenth, as makers read it from a tape: `12 5/16`.
pub(crate) fn inches(length: f64) -> String {
    let sixteenths = snapped(length / INCH * 16.0 / 1000.0).unsigned_abs();
    let (whole, rest) = (sixteenths / 16, sixteenths % 16);
    let shift = if rest == 0 { 0 } else { rest.trailing_zeros() };
    match (whole, rest) {
        (_, 0) => whole.to_string(),
        (0, _) => format!("{}/{}", rest >> shift, 16 >> shift),
        _ => format!("{whole} {}/{}", rest >> shift, 16 >> shift),
    }
}

/// `part` of `all` in percent, rounded down to a tenth: 100 only where it is all of them.
pub(crate) fn percent(part: u64, all: u64) -> String {
    let tenths = u128::from(part) * 1000 / u128::from(all.max(1));
    let mut out = String::new();
    push(&mut out, i64::try_from(tenths * 100).unwrap_or(100_000));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn millimetres() {
        for (value, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (-0.000_4, "0"),
            (12.0, "12"),
            (0.5, "0.5"),
            (-3.125, "-3.125"),
            (0.001, "0.001"),
            (0.01, "0.01"),
            (1000.1, "1000.1"),
            (20.438_27, "20.438"),
        ] {
            assert_eq!(mm(value), text);
        }
    }

    #[test]
    fn rounds_as_the_standard_library_does() {
        let near = [
            0.5,
            0.499_999_999_999_999_94,
            1.5,
            2.5,
            0.499_9,
            1e9 + 0.5,
            4e15 + 0.5,
        ];
        let wild = [
            1e300,
            f64::INFINITY,
            f64::NAN,
            9.3e18,
            f64::MIN_POSITIVE,
            0.0,
        ];
        for value in near.into_iter().chain(wild) {
            for mm in [value / 1000.0, -value / 1000.0, value, -value] {
                #[allow(clippy::cast_possible_truncation, reason = "the cast saturates")]
                let expected = (mm * 1000.0).round() as i64;
                assert_eq!(snapped(mm), expected, "{mm}");
            }
        }
    }

    #[test]
    fn agrees_with_the_standard_library() {
        for n in -30_000..30_000_i64 {
            let um = n * 37;
            let mut ours = String::new();
            push(&mut ours, um);
            assert!((ours.parse::<f64>().unwrap() - um as f64 / 1000.0).abs() < 1e-12);
            assert!(!ours.ends_with('.') && (!ours.contains('.') || !ours.ends_with('0')));
        }
    }

    #[test]
    fn what_people_read() {
        assert_eq!(count(1_234_567), "1\u{a0}234\u{a0}567");
        assert_eq!(count(999), "999");
        assert_eq!(rounded(12.349, 1), "12.3");
        assert_eq!(rounded(12.35, 1), "12.4");
        assert_eq!(rounded(-0.04, 1), "0");
        assert_eq!(rounded(49.6, 0), "50");
        assert_eq!(inches(19.05), "3/4");
        assert_eq!(inches(38.1), "1 1/2");
        assert_eq!(inches(304.8), "12");
        assert_eq!(inches(0.1), "0");
        assert_eq!(percent(2, 3), "66.6");
        assert_eq!(percent(9_999, 10_000), "99.9");
        assert_eq!((percent(7, 7), percent(0, 0)), ("100".into(), "0".into()));
    }
}
