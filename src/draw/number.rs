//! Numbers in a drawing: whole micrometres, printed as millimetres by integer arithmetic.
//!
//! Geometry is rounded to micrometres once; after that no float is formatted, so the text is the
//! same on any machine, never `-0`, never in exponent form.

use itoa::Buffer;

use crate::geom::{Point, length::INCH, number::fraction};

/// A place in whole micrometres, x to the right, y down.
pub(crate) type Spot = (i64, i64);

/// The nearest whole micrometre; of two that are equally near, the one further from 0.
#[allow(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 saturates, and panels are far smaller than that"
)]
pub(crate) fn snapped(mm: f64) -> i64 {
    // The same as `round`, which is a function call for each number where the compiler may not use
    // the processor's rounding.
    let exact = mm * 1000.0;
    let whole = exact as i64;
    let rest = exact - whole as f64;
    whole.saturating_add(i64::from(rest >= 0.5) - i64::from(rest <= -0.5))
}

/// A point in whole micrometres.
pub(crate) fn spot(p: Point) -> Spot {
    (snapped(p.x), snapped(p.y))
}

#[allow(clippy::cast_possible_truncation, reason = "below a thousand")]
fn below_thousand(value: u64) -> usize {
    (value % 1000) as usize
}

/// The three digits of each number below a thousand, the first in the lowest byte, and how many there
/// are without zeros at the end.
static DIGITS: [(u32, usize); 1000] = digits();

const fn digits() -> [(u32, usize); 1000] {
    let mut table = [(0, 0); 1000];
    let mut number = 0_u32;
    while number < 1000 {
        let digits = [number / 100, number / 10 % 10, number % 10];
        let (mut i, mut bytes, mut significant) = (0, 0, 0);
        while i < 3 {
            bytes |= (b'0' as u32 + digits[i]) << (8 * i);
            if digits[i] > 0 {
                significant = i + 1;
            }
            i += 1;
        }
        table[number as usize] = (bytes, significant);
        number += 1;
    }
    table
}

/// The digits of a number below a thousand without zeros before it, the first in the lowest byte, and
/// how many there are.
fn leading(number: usize) -> (u64, usize) {
    let zeros = usize::from(number < 100) + usize::from(number < 10);
    (u64::from(DIGITS[number].0) >> (8 * zeros), 3 - zeros)
}

/// Adds a length in micrometres as a decimal in mm, as bytes: `12`, `0.5`, `-3.125`. Put together in
/// registers, as a drawing has millions of numbers.
pub(crate) fn put(out: &mut Vec<u8>, micrometres: i64) {
    let all = micrometres.unsigned_abs();
    let whole = all / 1000;
    let (digits, length) = if whole < 1000 {
        leading(below_thousand(whole))
    } else if whole < 1_000_000 {
        let (first, length) = leading(below_thousand(whole / 1000));
        let next = u64::from(DIGITS[below_thousand(whole)].0);
        (first | next << (8 * length), length + 3)
    } else {
        let mut text = String::new();
        push(&mut text, micrometres);
        return out.extend_from_slice(text.as_bytes());
    };
    let sign = usize::from(micrometres < 0);
    let text = (digits << (8 * sign)) | (u64::from(b'-') * sign as u64);
    put_first(out, text.to_le_bytes(), length + sign);
    let (digits, significant) = DIGITS[below_thousand(all)];
    let text = (digits << 8) | u32::from(b'.');
    put_first(
        out,
        text.to_le_bytes(),
        significant + usize::from(significant > 0),
    );
}

/// The number that was put last, kept as text: to put it again takes a comparison and a store. Tiles
/// of a course lie at one height, so this holds for half of a drawing's numbers.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Again {
    micrometres: i64,
    text: [u8; 16],
    length: usize,
}

impl Again {
    /// [`put`], where it may be the number of the last time.
    pub(crate) fn put(&mut self, out: &mut Vec<u8>, micrometres: i64) {
        if self.length > 0 && self.micrometres == micrometres {
            return put_first(out, self.text, self.length);
        }
        let start = out.len();
        put(out, micrometres);
        let text = &out[start..];
        self.length = 0;
        if let Some(kept) = self.text.get_mut(..text.len()) {
            kept.copy_from_slice(text);
            self.length = text.len();
            self.micrometres = micrometres;
        }
    }
}

/// Adds the first few of some bytes: all of them are stored at once, and then the text is cut to
/// length.
fn put_first<const N: usize>(out: &mut Vec<u8>, bytes: [u8; N], count: usize) {
    let end = out.len() + count;
    out.extend_from_slice(&bytes);
    out.truncate(end);
}

/// Adds a length in micrometres as a decimal in mm.
pub(crate) fn push(out: &mut String, micrometres: i64) {
    if micrometres < 0 {
        out.push('-');
    }
    let all = micrometres.unsigned_abs();
    push_whole(out, all / 1000);
    let rest = all % 1000;
    if rest > 0 {
        // A thousand in front keeps the zeros after the point.
        let mut digits = Buffer::new();
        let decimals = digits.format(1000 + rest)[1..].trim_end_matches('0');
        out.push('.');
        out.push_str(decimals);
    }
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
    fraction(sixteenths, 16)
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
        let mut again = Again::default();
        for n in -30_000..30_000_i64 {
            let um = n * 37;
            let mut ours = String::new();
            push(&mut ours, um);
            assert!((ours.parse::<f64>().unwrap() - um as f64 / 1000.0).abs() < 1e-12);
            assert!(!ours.ends_with('.') && (!ours.contains('.') || !ours.ends_with('0')));
            let mut bytes = b"x=".to_vec();
            put(&mut bytes, um);
            assert_eq!(&bytes[2..], ours.as_bytes());
            for _ in 0..2 {
                let start = bytes.len();
                again.put(&mut bytes, um);
                assert_eq!(&bytes[start..], ours.as_bytes());
            }
        }
    }

    #[test]
    fn bytes_are_as_text() {
        let near = [
            0,
            999,
            1000,
            999_999,
            1_000_000,
            999_999_999,
            1_000_000_000,
            i64::MAX,
        ];
        for um in near.into_iter().flat_map(|um| [um - 1, um, -um, -um - 1]) {
            let (mut bytes, mut text) = (Vec::new(), String::new());
            put(&mut bytes, um);
            push(&mut text, um);
            assert_eq!(bytes, text.as_bytes(), "{um}");
            let mut again = Again::default();
            for _ in 0..2 {
                bytes.clear();
                again.put(&mut bytes, um);
                assert_eq!(bytes, text.as_bytes(), "{um}");
            }
        }
    }

    #[test]
    fn what_people_read() {
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
