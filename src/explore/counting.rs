//! How many different arrangements of a repeat there are: exact, without listing them.
//!
//! Two arrangements are the same when a symmetry of the whole tiling (a shift, and turns and
//! mirrors as chosen) maps one infinite pattern to the other. A quarter turn can map a pattern with
//! a finer repeat to another one although it does not keep a 2 x 3 repeat itself. So the patterns
//! are sorted by their finest shifts T, which lie between the repeat's shifts and the tiling's:
//! those with the same T up to turns are counted once, by the lemma of Cauchy, Frobenius and
//! Burnside over the symmetries that keep T, up to T:
//!
//! ```text
//! sum over T of  1 / |G(T)|  *  sum over g in G(T) of  exact(g, T)
//! ```
//!
//! exact(g, T) counts the patterns that g keeps and whose finest shifts are just T. It comes from
//! the number kept(g, T') of patterns that g and T' keep by Moebius inversion over T' above T.
//! kept(g, T') is a product over the cycles of g on the cells up to T': a cycle of length d gives
//! the number of looks that g, done d times, leaves as they are.

use num_bigint::{BigInt, BigUint, Sign};

use super::{
    moves::{Move, Moves, Same},
    repeat::Repeat,
    shifts::{Set, members},
};
use crate::watch;

/// The number of ways to give every cell of a repeat a look.
pub fn all(repeat: &Repeat) -> BigUint {
    repeat
        .options()
        .iter()
        .map(|o| BigUint::from(o.len()))
        .product()
}

/// The number of different arrangements.
pub fn different(repeat: &Repeat, same: Same) -> BigUint {
    Counting::new(repeat, &Moves::of(repeat, same)).different()
}

struct Counting<'a> {
    repeat: &'a Repeat,
    moves: &'a Moves,
    subgroups: Vec<Set>,
}

impl<'a> Counting<'a> {
    fn new(repeat: &'a Repeat, moves: &'a Moves) -> Self {
        Self {
            repeat,
            moves,
            subgroups: moves.shifts.subgroups(),
        }
    }

    fn different(&self) -> BigUint {
        let mut done: Vec<Set> = Vec::new();
        let mut sum = BigUint::ZERO;
        for &finest in &self.subgroups {
            if done.contains(&finest) {
                continue;
            }
            let images: Vec<(&Move, Option<Set>)> = self
                .moves
                .points
                .iter()
                .map(|m| (m, self.image(m, finest)))
                .collect();
            done.extend(images.iter().filter_map(|(_, image)| *image));
            let keeping: Vec<&Move> = images
                .iter()
                .filter(|(_, image)| *image == Some(finest))
                .map(|(m, _)| *m)
                .collect();
            sum += self.with_finest(finest, &keeping);
        }
        sum
    }

    /// The image of a subgroup under a move; none where that is not between the repeat's shifts and
    /// the tiling's.
    fn image(&self, by: &Move, set: Set) -> Option<Set> {
        let holds = by.needs.iter().all(|&n| set & 1 << n != 0);
        holds.then(|| {
            // Turned shifts are right up to the turned repeat's, which the image holds.
            let turned = members(set).fold(0, |sum, n| sum | 1 << by.shifts[n]);
            let coarse = self.moves.shifts.image_of_coarse(by.by);
            self.moves
                .shifts
                .generated(turned | 1 << coarse[0] | 1 << coarse[1])
        })
    }

    /// How many different arrangements have just these shifts, up to the moves that keep them.
    fn with_finest(&self, finest: Set, keeping: &[&Move]) -> BigUint {
        let shifts = self.representatives(finest);
        let above: Vec<(Set, i64)> = self
            .subgroups
            .iter()
            .filter(|&&t| t & finest == finest)
            .map(|&t| (t, self.moves.shifts.moebius(finest, t)))
            .filter(|&(_, factor)| factor != 0)
            .collect();
        let mut sum = BigInt::ZERO;
        for by in keeping {
            for &shift in &shifts {
                watch::ask();
                for &(set, factor) in &above {
                    sum += BigInt::from(self.kept(by, shift, set)) * factor;
                }
            }
        }
        let order = BigInt::from(shifts.len() * keeping.len());
        let (sign, count) = (sum / order).into_parts();
        debug_assert_ne!(sign, Sign::Minus);
        count
    }

    /// One shift of each set of shifts that differ by a subgroup.
    fn representatives(&self, subgroup: Set) -> Vec<usize> {
        let shifts = &self.moves.shifts;
        let mut seen: Set = 0;
        (0..shifts.count())
            .filter(|&n| {
                let fresh = seen & 1 << n == 0;
                if fresh {
                    for s in members(subgroup) {
                        watch::ask();
                        seen |= 1 << shifts.sum(n, s);
                    }
                }
                fresh
            })
            .collect()
    }

    /// How many arrangements a move, shifted further, and the shifts of a subgroup keep.
    fn kept(&self, by: &Move, shift: usize, set: Set) -> BigUint {
        let mut set = set;
        loop {
            watch::ask();
            let more = members(set).fold(set, |sum, n| sum | 1 << by.shifts[n]);
            let more = self.moves.shifts.generated(more);
            if more == set {
                break;
            }
            set = more;
        }
        let cells = self.repeat.cells().len();
        // Each cell's representative among those that differ by a shift of the set.
        let class: Vec<usize> = (0..cells)
            .map(|c| {
                members(set)
                    .map(|n| self.moves.shifted[n][c])
                    .min()
                    .expect("invariant: a subgroup has the shift by nothing")
            })
            .collect();
        let mut product = BigUint::from(1_u32);
        let mut seen = vec![false; cells];
        for start in 0..cells {
            watch::ask();
            if class[start] != start || seen[start] {
                continue;
            }
            let mut length = 0;
            let mut at = start;
            while !seen[at] {
                seen[at] = true;
                length += 1;
                at = class[by.source[self.moves.shifted[shift][at]]];
            }
            product *= self.fixed(by, length, start);
        }
        product
    }

    /// How many looks of a cell stay the same when a move is done some times.
    fn fixed(&self, by: &Move, times: usize, cell: usize) -> usize {
        let after = |look: u16| (0..times).fold(look, |l, _| by.looks[usize::from(l)]);
        self.repeat.options()[cell]
            .iter()
            .filter(|&&look| after(look) == look)
            .count()
    }
}
