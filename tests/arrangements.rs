//! Counting and listing the arrangements of a small repeat.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

#[path = "common/tiles.rs"]
mod tiles;

use std::collections::BTreeSet;

use num_bigint::BigUint;
use plyloom::explore::{
    counting,
    moves::Same,
    repeat::{Poses, Repeat},
};
use tiles::{grid, plain_squares, truchet};

fn counts(sizes: &[(i32, i32)], same: Same, make: impl Fn(i32, i32) -> Repeat) -> Vec<String> {
    sizes
        .iter()
        .map(|&(m, n)| counting::different(&make(m, n), same).to_string())
        .collect()
}

fn two_colours(m: i32, n: i32) -> Repeat {
    grid(m, n, &plain_squares(2), Poses::TurnedAndFlipped)
}

fn diagonals(m: i32, n: i32) -> Repeat {
    grid(m, n, &[truchet()], Poses::TurnedAndFlipped)
}

/// OEIS A184271, 2-coloured m x n tori up to shifts (Ethier 2013): rows 2 and 3; A179043, the
/// diagonal.
#[test]
fn two_coloured_tori_up_to_shifts() {
    let row = |m| (1..=7).map(|n| (m, n)).collect::<Vec<_>>();
    assert_eq!(
        counts(&row(2), Same::Shifts, two_colours),
        ["3", "7", "14", "40", "108", "362", "1182"]
    );
    assert_eq!(
        counts(&row(3), Same::Shifts, two_colours),
        ["4", "14", "64", "352", "2192", "14624", "99880"]
    );
    let diagonal = (1..=7).map(|n| (n, n)).collect::<Vec<_>>();
    assert_eq!(
        counts(&diagonal, Same::Shifts, two_colours),
        [
            "2",
            "7",
            "64",
            "4156",
            "1342208",
            "1908897152",
            "11488774559744"
        ]
    );
}

/// OEIS A368143 (shifts and quarter turns) and A255016 (all symmetries of the square).
#[test]
fn two_coloured_square_tori() {
    let sizes = [(1, 1), (2, 2), (3, 3), (4, 4), (5, 5), (6, 6)];
    assert_eq!(
        counts(&sizes[..5], Same::Turns, two_colours),
        ["2", "6", "28", "1171", "337664"]
    );
    assert_eq!(
        counts(&sizes, Same::TurnsAndMirrors, two_colours),
        ["2", "6", "26", "805", "172112", "239123150"]
    );
}

/// Kagey and Keehn, Journal of Integer Sequences 27 (2024), 24.6.1: a square tile halved by its
/// diagonal on the n x n torus. OEIS A368145 (quarter turns), A367536 (all symmetries); up to
/// shifts alone computed by brute force and by Ethier's formula.
#[test]
fn tiles_halved_by_a_diagonal() {
    let sizes = [(1, 1), (2, 2), (3, 3), (4, 4), (5, 5)];
    assert_eq!(
        counts(&sizes, Same::Shifts, diagonals),
        ["4", "76", "29184", "268447936", "45035996274688"]
    );
    assert_eq!(
        counts(&sizes, Same::Turns, diagonals),
        ["1", "23", "7296", "67124336", "11258999068672"]
    );
    assert_eq!(
        counts(&sizes, Same::TurnsAndMirrors, diagonals),
        ["1", "17", "3692", "33572458", "5629501212064"]
    );
}

#[test]
fn the_tile_has_four_looks() {
    let repeat = diagonals(3, 3);
    assert_eq!(repeat.looks().len(), 4);
    assert_eq!(counting::all(&repeat), BigUint::from(262_144_u32));
    let turned = grid(2, 2, &[truchet()], Poses::Turned);
    assert_eq!(turned.looks().len(), 4, "a flip gives no new look");
}

/// All patterns with an m x n repeat, laid on a torus that every symmetry keeps, and sorted by
/// trying every symmetry: an independent count.
fn brute_force(m: i32, n: i32, looks: usize, turn: &[usize], mirror: &[usize]) -> [usize; 3] {
    let big = lcm(m, n);
    let side = usize::try_from(big).unwrap();
    let (m, n) = (usize::try_from(m).unwrap(), usize::try_from(n).unwrap());
    let total = looks.pow(u32::try_from(m * n).unwrap());
    let mut found = [BTreeSet::new(), BTreeSet::new(), BTreeSet::new()];
    for code in 0..total {
        let look = |c: usize, r: usize| code / looks.pow(u32::try_from(r * m + c).unwrap()) % looks;
        let mut grid: Vec<Vec<usize>> = (0..side)
            .map(|r| (0..side).map(|c| look(c % m, r % n)).collect())
            .collect();
        let mut least: [Option<Vec<Vec<usize>>>; 3] = [None, None, None];
        for step in 0..8 {
            if step == 4 {
                grid.iter_mut().for_each(|row| row.reverse());
                grid.iter_mut().flatten().for_each(|l| *l = mirror[*l]);
            }
            let shifted = (0..side)
                .flat_map(|x| (0..side).map(move |y| (x, y)))
                .map(|(x, y)| {
                    (0..side)
                        .map(|r| {
                            (0..side)
                                .map(|c| grid[(r + y) % side][(c + x) % side])
                                .collect()
                        })
                        .collect::<Vec<Vec<usize>>>()
                });
            let best = shifted.min().unwrap();
            for (k, slot) in least.iter_mut().enumerate() {
                let counts = match k {
                    0 => step == 0,
                    1 => step < 4,
                    _ => true,
                };
                if counts && slot.as_ref().is_none_or(|b| best < *b) {
                    *slot = Some(best.clone());
                }
            }
            // A quarter turn: what was at (r, c) comes to (c, side - 1 - r).
            grid = (0..side)
                .map(|r| (0..side).map(|c| turn[grid[side - 1 - c][r]]).collect())
                .collect();
        }
        for (set, least) in found.iter_mut().zip(least) {
            set.insert(least.unwrap());
        }
    }
    found.map(|set| set.len())
}

fn lcm(m: i32, n: i32) -> i32 {
    (1..).map(|k| k * m).find(|k| k % n == 0).unwrap()
}

#[test]
fn counted_and_listed_by_brute_force_agree() {
    let ways = [Same::Shifts, Same::Turns, Same::TurnsAndMirrors];
    for (m, n) in [
        (1, 2),
        (2, 1),
        (2, 2),
        (3, 1),
        (1, 4),
        (3, 2),
        (2, 3),
        (4, 2),
        (3, 3),
    ] {
        let listed = brute_force(m, n, 2, &[0, 1], &[0, 1]);
        let counted = ways.map(|w| counting::different(&two_colours(m, n), w));
        assert_eq!(counted, listed.map(BigUint::from), "{m} x {n}, two colours");
    }
    // The dark corner: top left, top right, bottom right, bottom left.
    for (m, n) in [(1, 1), (1, 2), (2, 1), (3, 1), (4, 1), (2, 2), (3, 2)] {
        let listed = brute_force(m, n, 4, &[1, 2, 3, 0], &[1, 0, 3, 2]);
        let counted = ways.map(|w| counting::different(&diagonals(m, n), w));
        assert_eq!(counted, listed.map(BigUint::from), "{m} x {n}, diagonals");
    }
}
