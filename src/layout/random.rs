//! The random stream that recipes are promised: random stream version 1.
//!
//! The same seed and names give the same choices on any machine, now and in later versions; the
//! golden files pin it. A choice depends on the seed, its name and its place alone, never on the
//! order of visits: a larger panel leaves the tiles where they are, and another choice does not
//! reshuffle this one.
//!
//! Version 1, so that it can be written anew:
//! - key: SHA-256 of `plyloom random 1`, a zero byte, `cells` or `lists`, a zero byte, the seed
//!   (8 bytes, little endian), the name (UTF-8);
//! - bits: the `ChaCha8` keystream of that key in Bernstein's layout (64-bit block counter, 64-bit
//!   stream number), taken as 64-bit numbers, little endian;
//! - draws for cells: cell (column, course) owns the 64-bit number at place `column + 2^31` of
//!   stream `course as u32 | attempt << 32`, where the attempt counts rejected draws from 0;
//! - draws for lists: draw i is the 64-bit number at place i of stream `attempt << 32`;
//! - a whole number below n: Lemire, Fast Random Integer Generation in an Interval, ACM TOMACS 29
//!   (2019), algorithm 5, with 64-bit numbers; what it rejects goes to the next attempt;
//! - weights: scaled to whole numbers (see [`Weights`]), then a whole number below their sum;
//! - shuffle: Durstenfeld, Algorithm 235, CACM 7 (1964), from the last place down; its step k, from 0, uses draw k.

use chacha20::{
    ChaCha8Rng,
    rand_core::{Rng, SeedableRng},
};
use sha2::{Digest, Sha256};

use super::{LayoutError, panel::Cell};

/// Named draws for cells: each cell has its own.
#[derive(Debug)]
pub struct CellDraws {
    row: Keyed,
    again: Keyed,
}

/// Named draws for lists: numbered from 0.
#[derive(Debug)]
pub struct ListDraws {
    bits: Keyed,
    again: Keyed,
}

impl CellDraws {
    /// The draws of this name under this seed.
    pub fn new(seed: u64, name: &str) -> Self {
        let bits = || Keyed::new("cells", seed, name);
        Self {
            row: bits(),
            again: bits(),
        }
    }

    /// A whole number below `n`, each as likely; 0 where `n` is 0 or 1.
    pub fn below(&mut self, cell: Cell, n: u64) -> u64 {
        let (course, place) = place(cell);
        let first = self.row.at(course, place);
        let again = &mut self.again;
        bounded(first, n, |attempt| {
            again.at(course | u64::from(attempt) << 32, place)
        })
    }

    /// A number from 0 (included) to 1 (left out), in steps of 2^-53.
    pub fn share(&mut self, cell: Cell) -> f64 {
        let (course, place) = place(cell);
        unit(self.row.at(course, place))
    }
}

impl ListDraws {
    /// The draws of this name under this seed.
    pub fn new(seed: u64, name: &str) -> Self {
        let bits = || Keyed::new("lists", seed, name);
        Self {
            bits: bits(),
            again: bits(),
        }
    }

    /// Draw `i` as a whole number below `n`, each as likely; 0 where `n` is 0 or 1.
    pub fn below(&mut self, i: u64, n: u64) -> u64 {
        let first = self.bits.at(0, i);
        let again = &mut self.again;
        bounded(first, n, |attempt| again.at(u64::from(attempt) << 32, i))
    }

    /// Draw `i` as a number from 0 (included) to 1 (left out), in steps of 2^-53.
    pub fn share(&mut self, i: u64) -> f64 {
        unit(self.bits.at(0, i))
    }

    /// Puts a list in one of its orders, each as likely.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for (step, i) in (1..list.len()).rev().enumerate() {
            let j = self.below(step as u64, i as u64 + 1);
            list.swap(i, usize::try_from(j).unwrap_or(i));
        }
    }
}

#[allow(
    clippy::cast_sign_loss,
    reason = "the stream number is defined by the bits of the course"
)]
fn place(cell: Cell) -> (u64, u64) {
    let column = i64::from(cell.column) + (1 << 31);
    (u64::from(cell.course as u32), column as u64)
}

#[allow(clippy::cast_precision_loss, reason = "53 bits fit a f64 exactly")]
fn unit(bits: u64) -> f64 {
    (bits >> 11) as f64 / (1_u64 << 53) as f64
}

/// Lemire's method; `again` gives the bits of attempt 1, 2 and so on.
#[allow(
    clippy::cast_possible_truncation,
    reason = "the two halves of a product are meant"
)]
fn bounded(first: u64, n: u64, mut again: impl FnMut(u32) -> u64) -> u64 {
    if n < 2 {
        return 0;
    }
    let mut product = u128::from(first) * u128::from(n);
    if (product as u64) < n {
        let least = n.wrapping_neg() % n;
        let mut attempt = 0;
        while (product as u64) < least {
            attempt += 1;
            product = u128::from(again(attempt)) * u128::from(n);
        }
    }
    (product >> 64) as u64
}

/// The keystream of one seed and name, read at any place and fast in sequence.
#[derive(Debug)]
struct Keyed {
    bits: ChaCha8Rng,
    stream: u64,
    next: u64,
}

impl Keyed {
    fn new(domain: &str, seed: u64, name: &str) -> Self {
        let mut hash = Sha256::new();
        hash.update(b"plyloom random 1\0");
        hash.update(domain.as_bytes());
        hash.update([0]);
        hash.update(seed.to_le_bytes());
        hash.update(name.as_bytes());
        Self::of_key(hash.finalize().into())
    }

    fn of_key(key: [u8; 32]) -> Self {
        Self {
            bits: ChaCha8Rng::from_seed(key),
            stream: 0,
            next: 0,
        }
    }

    fn at(&mut self, stream: u64, place: u64) -> u64 {
        if stream != self.stream || place != self.next {
            self.bits.set_stream(stream);
            self.bits.set_word_pos(2 * u128::from(place));
            self.stream = stream;
        }
        self.next = place + 1;
        self.bits.next_u64()
    }
}

/// Weights as whole numbers, exact and the same on every machine.
///
/// Whole numbers that add up to at most 2^53 stay as they are. Others are scaled by the power of
/// two that brings the largest from 2^52 to 2^53, and rounded; what is above 0 stays at least 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Weights {
    /// Where each ends when they are laid end to end.
    ends: Vec<u64>,
    /// Whether each of them is 1.
    equal: bool,
}

const LARGEST_WEIGHT: f64 = 9_007_199_254_740_992.0;

impl Weights {
    /// Most weights that there may be.
    pub const MOST: usize = 1000;

    /// Equal weights.
    pub fn equal(count: usize) -> Self {
        Self::laid((1..=count as u64).collect())
    }

    /// These weights.
    ///
    /// # Errors
    /// When there are none or more than [`Weights::MOST`], one is no number of at least 0, or all are 0.
    pub fn new(weights: &[f64]) -> Result<Self, LayoutError> {
        let wrong = |problem: String| Err(LayoutError::Weights { problem });
        if weights.is_empty() {
            return wrong("there are none".to_owned());
        }
        if weights.len() > Self::MOST {
            let most = Self::MOST;
            return wrong(format!("{} are more than {most}", weights.len()));
        }
        if let Some(bad) = weights.iter().find(|w| !(w.is_finite() && **w >= 0.0)) {
            return wrong(format!("{bad} is not one"));
        }
        let largest = weights.iter().copied().fold(0.0, f64::max);
        if largest <= 0.0 {
            return wrong("all are 0".to_owned());
        }
        let whole = weights.iter().all(|w| w.fract() == 0.0)
            && weights.iter().sum::<f64>() <= LARGEST_WEIGHT;
        let scale = if whole { 0 } else { 52 - exponent(largest) };
        let mut end = 0;
        let ends = weights.iter().map(|&w| {
            end += scaled(w, scale);
            end
        });
        Ok(Self::laid(ends.collect()))
    }

    fn laid(ends: Vec<u64>) -> Self {
        let equal = ends.iter().zip(1..).all(|(&end, n)| end == n);
        Self { ends, equal }
    }

    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.ends.len()
    }

    /// The sum of all: draw a whole number below it.
    pub fn sum(&self) -> u64 {
        self.ends.last().copied().unwrap_or(0)
    }

    /// Which one a number below the sum chooses.
    pub fn chosen(&self, drawn: u64) -> usize {
        if self.equal {
            usize::try_from(drawn).unwrap_or(usize::MAX)
        } else {
            self.ends.partition_point(|&end| end <= drawn)
        }
    }
}

/// The power of two at or below a positive number.
fn exponent(x: f64) -> i32 {
    let (_, exponent) = libm::frexp(x);
    exponent - 1
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "from 0 to 2^53"
)]
fn scaled(weight: f64, scale: i32) -> u64 {
    let whole = libm::round(libm::ldexp(weight, scale)) as u64;
    if weight > 0.0 { whole.max(1) } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hex(bytes: &[u8]) -> String {
        use std::fmt::Write;
        bytes.iter().fold(String::new(), |mut s, b| {
            write!(s, "{b:02x}").unwrap();
            s
        })
    }

    /// Published keystream: draft-strombergson-chacha-test-vectors-01, `ChaCha8`, zero key, zero
    /// nonce (first 32 bytes; recomputed for this project by an independent implementation).
    #[test]
    fn keystream_of_chacha8() {
        let mut bits = Keyed::of_key([0; 32]);
        let bytes: Vec<u8> = (0..4).flat_map(|i| bits.at(0, i).to_le_bytes()).collect();
        assert_eq!(
            hex(&bytes),
            "3e00ef2f895f40d67f5bb8e81f09a5a12c840ec3ce9a7f3b181be188ef711a1e"
        );
    }

    /// The same library with 20 rounds, as a check on its layout: the zero key's first block of
    /// RFC 8439 appendix A.1, test vector 1.
    #[test]
    fn keystream_of_chacha20() {
        let mut bits = chacha20::ChaCha20Rng::from_seed([0; 32]);
        let mut bytes = [0; 32];
        bits.fill_bytes(&mut bytes);
        assert_eq!(
            hex(&bytes),
            "76b8e0ada0f13d90405d6ae55386bd28bdd219b8a08ded1aa836efcc8b770dc7"
        );
    }

    #[test]
    fn order_of_visits_does_not_matter() {
        let cells: Vec<Cell> = (-20..20)
            .flat_map(|course| (-35..35).map(move |column| Cell { column, course }))
            .collect();
        let mut forward = CellDraws::new(7, "wood");
        let there: Vec<u64> = cells.iter().map(|&c| forward.below(c, 1000)).collect();
        let mut backward = CellDraws::new(7, "wood");
        let mut back: Vec<u64> = cells
            .iter()
            .rev()
            .map(|&c| backward.below(c, 1000))
            .collect();
        back.reverse();
        assert_eq!(there, back);
        let mut other = CellDraws::new(7, "dye");
        assert_ne!(
            there,
            cells
                .iter()
                .map(|&c| other.below(c, 1000))
                .collect::<Vec<_>>()
        );
    }

    #[test]
    fn what_is_rejected_is_drawn_again() {
        // Of the 2^64 numbers, 2^64 mod n are rejected: for this n about a quarter.
        let n = 3_u64 << 62;
        let mut draws = CellDraws::new(1, "again");
        let mut fresh = Keyed::new("cells", 1, "again");
        let mut rejected = 0;
        for column in 0..400 {
            let cell = Cell { column, course: 0 };
            let (stream, place) = place(cell);
            let mut attempt = 0;
            let expected = loop {
                let product = u128::from(fresh.at(stream | attempt << 32, place)) * u128::from(n);
                if product % (1 << 64) >= (1_u128 << 64) % u128::from(n) {
                    break product >> 64;
                }
                attempt += 1;
                rejected += 1;
            };
            assert_eq!(u128::from(draws.below(cell, n)), expected);
        }
        assert!((60..140).contains(&rejected), "{rejected}");
    }

    fn chi_square(counts: &[u64], expected: &[f64]) -> f64 {
        counts
            .iter()
            .zip(expected)
            .map(|(&c, e)| (c as f64 - e).powi(2) / e)
            .sum()
    }

    /// Critical values at the share 0.001 (NIST/SEMATECH e-Handbook of Statistical Methods,
    /// section 1.3.6.7.4; from memory): 10 for 2, 20.515 for 5, 22.458 for 6 degrees of freedom
    /// lie at or above 13.816, 20.515, 22.458.
    #[test]
    fn bounded_and_weighted_numbers_are_fair() {
        let cells = || {
            (0..70_000).map(|i| Cell {
                column: i % 200,
                course: i / 200,
            })
        };
        let mut draws = CellDraws::new(42, "fair");
        let mut counts = [0; 7];
        for cell in cells() {
            counts[usize::try_from(draws.below(cell, 7)).unwrap()] += 1;
        }
        assert!(chi_square(&counts, &[10_000.0; 7]) < 22.458, "{counts:?}");

        let weights = Weights::new(&[0.5, 0.0, 2.0, 4.5]).unwrap();
        let mut counts = [0; 4];
        for cell in cells() {
            counts[weights.chosen(draws.below(cell, weights.sum()))] += 1;
        }
        assert_eq!(counts[1], 0);
        let seen = [counts[0], counts[2], counts[3]];
        let expected = [5000.0, 20_000.0, 45_000.0];
        assert!(chi_square(&seen, &expected) < 13.816, "{counts:?}");
    }

    /// Each of the 6 orders of 3 is as likely; swapping with any place instead (27 outcomes, which
    /// 6 does not divide) fails this. Critical value 20.515 as above.
    #[test]
    fn all_orders_of_three_are_as_likely() {
        let mut counts = std::collections::BTreeMap::<[u8; 3], u64>::new();
        for i in 0..12_000 {
            let mut list = [0, 1, 2];
            ListDraws::new(3, &format!("order {i}")).shuffle(&mut list);
            *counts.entry(list).or_default() += 1;
        }
        let counts: Vec<u64> = counts.into_values().collect();
        assert_eq!(counts.len(), 6);
        assert!(chi_square(&counts, &[2000.0; 6]) < 20.515, "{counts:?}");
    }

    #[test]
    fn weights_are_exact() {
        let w = |list: &[f64]| Weights::new(list).unwrap();
        assert_eq!(w(&[1.0, 0.0, 3.0]).ends, [1, 1, 4]);
        assert_eq!(w(&[1.0; 5]), Weights::equal(5));
        let share = w(&[0.25, 0.75]);
        assert_eq!(share.ends[1], share.ends[0] * 4);
        assert_eq!([0, 1, 3].map(|d| w(&[1.0, 0.0, 3.0]).chosen(d)), [0, 2, 2]);
        let tiny = w(&[1e-300, 1.0]);
        assert_eq!(tiny.ends[0], 1);
        assert!(w(&[f64::MAX, f64::MAX]).sum() > 1 << 53);
        for bad in [
            &[][..],
            &[0.0, 0.0],
            &[-1.0, 2.0],
            &[f64::NAN],
            &[f64::INFINITY],
        ] {
            assert!(matches!(
                Weights::new(bad),
                Err(LayoutError::Weights { .. })
            ));
        }
    }

    #[test]
    fn shares_lie_below_one() {
        assert!(unit(u64::MAX) < 1.0);
        assert!(unit(0).abs() < f64::MIN_POSITIVE);
    }
}
