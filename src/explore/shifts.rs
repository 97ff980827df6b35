//! The shifts of a tiling up to those of a repeat: a finite commutative group, and its subgroups.
//!
//! With the tiling's finest steps a and b, the shift i a + j b has the number i + j k1, where k1 a
//! is the first multiple of a that the repeat has, and i runs from 0 to below k1. Every lattice
//! between the repeat's and the tiling's is a subgroup, kept as a set of numbers.
#![allow(clippy::cast_possible_wrap, reason = "numbers of shifts are below 64")]

use super::periods::Periods;
use crate::geom::{Isometry, Point};
use crate::watch;

/// A set of shifts by their numbers, one bit each.
pub(crate) type Set = u64;

/// The shifts of a tiling up to those of a repeat; at most 64.
#[derive(Debug, Clone)]
pub(crate) struct Shifts {
    fine: Periods,
    coarse: Periods,
    /// Order of the first step.
    k1: i64,
    /// Order of the second step, up to the first.
    k2: i64,
    /// k2 b = carry a.
    carry: i64,
}

impl Shifts {
    /// For a tiling with the finest shifts `fine`, and a repeat with some of them, `coarse`.
    pub(crate) fn new(fine: Periods, coarse: Periods) -> Self {
        let [a, b] = fine.steps();
        let count = whole(coarse.area() / fine.area());
        let k1 = (1..=count)
            .find(|&k| coarse.has(a * k as f64))
            .unwrap_or(count);
        let k2 = count / k1;
        let carry = (0..k1)
            .find(|&s| coarse.has(b * k2 as f64 - a * s as f64))
            .unwrap_or(0);
        Self {
            fine,
            coarse,
            k1,
            k2,
            carry,
        }
    }

    /// How many there are.
    pub(crate) fn count(&self) -> usize {
        usize::try_from(self.k1 * self.k2).expect("invariant: a repeat has few cells")
    }

    /// The shift of a number, in mm.
    pub(crate) fn vector(&self, number: usize) -> Point {
        let number = number as i64;
        let [a, b] = self.fine.steps();
        a * (number % self.k1) as f64 + b * (number / self.k1) as f64
    }

    /// The number of a shift in mm, which must be one of the tiling's.
    pub(crate) fn number(&self, shift: Point) -> usize {
        let (u, v) = self.fine.shares(shift);
        self.numbered(whole(u), whole(v))
    }

    fn numbered(&self, u: i64, v: i64) -> usize {
        let times = v.div_euclid(self.k2);
        let u = (u + times * self.carry).rem_euclid(self.k1);
        usize::try_from(u + v.rem_euclid(self.k2) * self.k1)
            .expect("invariant: remainders are not negative")
    }

    pub(crate) fn sum(&self, one: usize, other: usize) -> usize {
        let (one, other) = (one as i64, other as i64);
        self.numbered(
            one % self.k1 + other % self.k1,
            one / self.k1 + other / self.k1,
        )
    }

    /// The number of each shift after a turn or mirror of the tiling. Where that does not keep the
    /// repeat's shifts it is right only up to the subgroup that [`Shifts::image_of_coarse`] makes.
    pub(crate) fn turned(&self, by: Isometry) -> Vec<usize> {
        (0..self.count())
            .map(|n| self.number(by.linear().apply(self.vector(n))))
            .collect()
    }

    /// The numbers to which a turn or mirror brings the two steps of the repeat.
    pub(crate) fn image_of_coarse(&self, by: Isometry) -> [usize; 2] {
        self.coarse
            .steps()
            .map(|s| self.number(by.linear().apply(s)))
    }

    /// The smallest subgroup with all of a set.
    pub(crate) fn generated(&self, set: Set) -> Set {
        let mut all: Set = 1;
        let mut waiting = vec![0_usize];
        let generators: Vec<usize> = members(set).collect();
        while let Some(n) = waiting.pop() {
            watch::ask();
            for &g in &generators {
                let sum = self.sum(n, g);
                if all & 1 << sum == 0 {
                    all |= 1 << sum;
                    waiting.push(sum);
                }
            }
        }
        all
    }

    /// All subgroups, the trivial one first. Two shifts generate each.
    pub(crate) fn subgroups(&self) -> Vec<Set> {
        let mut all: Vec<Set> = Vec::new();
        for one in 0..self.count() {
            watch::ask();
            let single = self.generated(1 << one);
            if !all.contains(&single) {
                all.push(single);
            }
        }
        let single = all.clone();
        for (i, &one) in single.iter().enumerate() {
            for &other in &single[i + 1..] {
                let both = self.generated(one | other);
                if !all.contains(&both) {
                    all.push(both);
                }
            }
        }
        all.sort_by_key(|s| (s.count_ones(), *s));
        all
    }

    /// The Moebius function of the subgroups between two.
    ///
    /// Hall, The Eulerian functions of a group, Quarterly Journal of Mathematics 7 (1936): for a
    /// p-group it is 0 unless the quotient is elementary of some rank r, and else
    /// (-1)^r p^(r (r - 1) / 2); for commutative groups it multiplies over the primes.
    pub(crate) fn moebius(&self, small: Set, large: Set) -> i64 {
        let mut index = i64::from(large.count_ones() / small.count_ones());
        let mut radical = 1;
        let mut value = 1;
        let mut p = 2;
        while index > 1 {
            let mut rank = 0;
            while index % p == 0 {
                index /= p;
                rank += 1;
            }
            match rank {
                0 => {}
                1 => value = -value,
                2 => value *= p,
                _ => return 0,
            }
            if rank > 0 {
                radical *= p;
            }
            p += 1;
        }
        let elementary = members(large).all(|n| {
            let times = (0..radical).fold(0, |sum, _| self.sum(sum, n));
            small & 1 << times != 0
        });
        if elementary { value } else { 0 }
    }
}

/// The numbers in a set.
pub(crate) fn members(set: Set) -> impl Iterator<Item = usize> {
    (0..64).filter(move |n| set & 1 << n != 0)
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "shares of a repeat with few cells"
)]
fn whole(x: f64) -> i64 {
    libm::round(x) as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shifts(m: f64, n: f64) -> Shifts {
        let unit = |x, y| Point::new(x, y);
        Shifts::new(
            Periods::new(unit(1.0, 0.0), unit(0.0, 1.0)).unwrap(),
            Periods::new(unit(m, 0.0), unit(0.0, n)).unwrap(),
        )
    }

    #[test]
    fn numbers_and_sums() {
        for (m, n) in [(2.0, 3.0), (4.0, 2.0), (1.0, 5.0), (8.0, 8.0)] {
            let s = shifts(m, n);
            for i in 0..s.count() {
                assert_eq!(s.number(s.vector(i)), i);
                for j in 0..s.count() {
                    let sum = s.vector(i) + s.vector(j);
                    assert_eq!(s.sum(i, j), s.number(sum));
                }
            }
        }
    }

    // Numbers of subgroups of Z_m x Z_n: OEIS A060724 (m = n: 1, 5, 6, 15, 8, 30, 10, 37; from
    // memory, and by counting here for the small ones).
    #[test]
    fn how_many_subgroups() {
        let counts: Vec<usize> = (1..=8)
            .map(|n| shifts(f64::from(n), f64::from(n)).subgroups().len())
            .collect();
        assert_eq!(counts, [1, 5, 6, 15, 8, 30, 10, 37]);
    }

    #[test]
    fn the_moebius_function_sums_to_nothing() {
        for (m, n) in [(2.0, 2.0), (4.0, 4.0), (6.0, 6.0), (3.0, 4.0), (8.0, 2.0)] {
            let s = shifts(m, n);
            let all = s.subgroups();
            for &small in &all {
                for &large in all.iter().filter(|&&l| l & small == small) {
                    let sum: i64 = all
                        .iter()
                        .filter(|&&t| t & small == small && large & t == t)
                        .map(|&t| s.moebius(small, t))
                        .sum();
                    assert_eq!(sum, i64::from(small == large));
                }
            }
        }
    }
}
