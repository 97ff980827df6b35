//! Counting and listing the arrangements of a small repeat.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use crate::common::tiles;
use std::collections::BTreeSet;

use crate::common::tiles::{diagonal, grid, plain_squares, striped};
use num_bigint::BigUint;
use plyloom::{
    explore::{
        bar_turns, counting,
        enumeration::{Arrangements, Wanted},
        moves::Same,
        pattern::Joints,
        plane_group::{PlaneGroup, Repeats},
        repeat::{Arrangement, Poses, Repeat},
    },
    geom::TOLERANCE,
    stock::{Bar, Face, Pose, hexagon::hexagon, shapes},
};

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
    grid(m, n, &[diagonal()], Poses::TurnedAndFlipped)
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
    let turned = grid(2, 2, &[diagonal()], Poses::Turned);
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
                for row in &mut grid {
                    row.reverse();
                }
                for look in grid.iter_mut().flatten() {
                    *look = mirror[*look];
                }
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
    (1..=n).map(|k| k * m).find(|k| k % n == 0).unwrap()
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

fn listed(repeat: &Repeat, same: Same, wanted: Wanted) -> Vec<Arrangement> {
    let arrangements = Arrangements::new(repeat, same, wanted);
    let mut listing = arrangements.list();
    let all: Vec<_> = listing.by_ref().collect();
    assert!(!listing.gave_up());
    all
}

#[test]
fn as_many_are_listed_as_counted() {
    let ways = [Same::Shifts, Same::Turns, Same::TurnsAndMirrors];
    for (m, n) in [(1, 1), (2, 1), (1, 3), (2, 2), (3, 2), (2, 3)] {
        for same in ways {
            let repeat = diagonals(m, n);
            let all = listed(&repeat, same, Wanted::All);
            assert_eq!(BigUint::from(all.len()), counting::different(&repeat, same));
            assert!(all.is_sorted());
        }
    }
    // OEIS A367536, n = 3.
    let all = listed(&diagonals(3, 3), Same::TurnsAndMirrors, Wanted::All);
    assert_eq!(all.len(), 3692);
}

#[test]
fn every_filling_belongs_to_one_that_is_listed() {
    let repeat = diagonals(2, 2);
    let arrangements = Arrangements::new(&repeat, Same::TurnsAndMirrors, Wanted::All);
    let all: Vec<_> = arrangements.list().collect();
    let ways: usize = all.iter().map(|a| arrangements.ways(a)).sum();
    assert_eq!(ways, 256);
    for code in 0..256_u16 {
        let filling: Vec<u16> = (0..4).map(|i| code >> (2 * i) & 3).collect();
        assert!(all.contains(&arrangements.first_of_its_kind(&filling)));
    }
}

#[test]
fn chance_finds_listed_ones_and_is_the_same_every_time() {
    let repeat = diagonals(2, 2);
    let arrangements = Arrangements::new(&repeat, Same::TurnsAndMirrors, Wanted::All);
    let all: Vec<_> = arrangements.list().collect();
    let some = arrangements.sample(7, 10);
    assert_eq!(some.len(), 10);
    assert!(some.iter().all(|a| all.contains(a)));
    assert_eq!(some, arrangements.sample(7, 10));
    assert_ne!(some, arrangements.sample(8, 10));
    // Asked for more than there are, it finds all.
    assert_eq!(arrangements.sample(1, 40).len(), 17);
}

/// Squares with three stripes match where stripes meet stripes in line, and plain sides meet plain
/// sides of the same colour.
#[test]
fn lines_that_run_on() {
    let stripes = striped("stripes", &[(3.0, 0), (4.0, 1), (3.0, 0)]);
    let repeat = grid(2, 2, &[stripes], Poses::TurnedAndFlipped);
    assert_eq!(repeat.looks().len(), 2);
    // Level stripes end in a side of three colours; upright ones show a plain side there. So all
    // lie the same way: two fillings, one up to turns.
    assert_eq!(listed(&repeat, Same::Shifts, Wanted::Matched).len(), 2);
    assert_eq!(listed(&repeat, Same::Turns, Wanted::Matched).len(), 1);
    let all = listed(&repeat, Same::TurnsAndMirrors, Wanted::All);
    let matched = listed(&repeat, Same::TurnsAndMirrors, Wanted::Matched);
    assert!(matched.iter().all(|a| all.contains(a)));
    let arrangements = Arrangements::new(&repeat, Same::Shifts, Wanted::Matched);
    assert_eq!(arrangements.sample(3, 5).len(), 2);
}

/// A square halved by its diagonal: sides are plain, and opposite sides differ. By hand: along each
/// course the colours of the joints take turns, so there is one choice a course and one a column,
/// 2^4 fillings. Both courses begin alike or not, both columns too: 3 up to turns.
#[test]
fn halves_that_meet_in_one_colour() {
    let repeat = diagonals(2, 2);
    let matched = listed(&repeat, Same::TurnsAndMirrors, Wanted::Matched);
    let arrangements = Arrangements::new(&repeat, Same::TurnsAndMirrors, Wanted::Matched);
    let ways: usize = matched.iter().map(|a| arrangements.ways(a)).sum();
    assert_eq!((matched.len(), ways), (3, 16));
    // All alike: dark squares on their corners.
    let groups = matched
        .iter()
        .map(|a| Repeats::of(&repeat.pattern(a, Joints::Unseen)));
    assert!(
        groups
            .into_iter()
            .any(|g| g == Repeats::By(PlaneGroup::P4m))
    );
    assert!(listed(&diagonals(3, 1), Same::Shifts, Wanted::Matched).is_empty());
}

#[test]
fn groups_of_the_halved_tile() {
    let repeat = diagonals(2, 2);
    let mut groups: Vec<String> = listed(&repeat, Same::TurnsAndMirrors, Wanted::All)
        .iter()
        .map(|a| Repeats::of(&repeat.pattern(a, Joints::Unseen)).to_string())
        .collect();
    groups.sort();
    assert_eq!(groups.len(), 17);
    // All turned alike: the pattern has the mirror of the tile and nothing else.
    let alike = repeat.pattern(&[0, 0, 0, 0], Joints::Unseen);
    assert_eq!(Repeats::of(&alike), Repeats::By(PlaneGroup::Cm));
    assert!(groups.iter().any(|g| g == "p4m"), "{groups:?}");
}

fn rhombi(layers: &[(f64, usize)]) -> Bar {
    let rhombus = shapes::rhombus(&tiles::sheet(layers), 60.0).unwrap();
    hexagon(vec![rhombus; 3], TOLERANCE).unwrap()
}

fn different(bar: &Bar, same: Same) -> usize {
    let ways = bar_turns::ways(bar, same).unwrap();
    ways.iter().map(|w| w.tile).collect::<BTreeSet<_>>().len()
}

/// Three rhombi, each with its plies along one pair of sides or the other: 2 x 2 x 2 faces.
#[test]
fn three_rhombi_two_ways_each() {
    let plain = rhombi(&[(3.0, 0), (3.0, 1), (3.0, 0), (3.0, 1), (3.0, 0)]);
    assert_eq!(different(&plain, Same::Shifts), 8);
    // Up to turns of 120 degrees: necklaces of three beads in two colours, (2^3 + 2 x 2) / 3 = 4
    // (OEIS A000031). A flip in an axis through a rhombus mirrors each rhombus too, so it exchanges
    // the colours: 2 are left.
    assert_eq!(different(&plain, Same::Turns), 4);
    assert_eq!(different(&plain, Same::TurnsAndMirrors), 2);
    // A veneer on one face tells all four turns apart: necklaces in four colours,
    // (4^3 + 2 x 4) / 3 = 24 (OEIS A001868).
    let veneered = rhombi(&[(1.0, 2), (5.0, 0), (5.0, 1), (5.0, 0)]);
    assert_eq!(different(&veneered, Same::Shifts), 64);
    assert_eq!(different(&veneered, Same::Turns), 24);
    // Three axes of mirrors, none of which leaves a rhombus as it was: (64 + 8 + 3 x 0) / 6 = 12.
    assert_eq!(different(&veneered, Same::TurnsAndMirrors), 12);
}

/// The words of recipes do just what the list says: the bars are those that a maker would glue.
#[test]
fn turned_strips_are_those_of_recipes() {
    let sheet = tiles::sheet(&[(1.0, 2), (5.0, 0), (5.0, 1), (5.0, 0)]);
    let r = shapes::rhombus(&sheet, 60.0).unwrap();
    let found = bar_turns::ways(
        &rhombi(&[(1.0, 2), (5.0, 0), (5.0, 1), (5.0, 0)]),
        Same::Shifts,
    )
    .unwrap();
    let turned = |pose: &Pose| {
        let strip = if pose.flip {
            r.end_for_end()
        } else {
            r.clone()
        };
        if pose.turn > 90.0 {
            strip.roll()
        } else {
            strip
        }
    };
    for way in found {
        let typed = hexagon(way.parts.iter().map(turned).collect(), TOLERANCE).unwrap();
        let face = Face::of(&typed);
        assert!(face.looks_like(&Face::of(&way.bar)), "{:?}", way.parts);
    }
}

/// A stack of squares: every strip in 8 ways, of which plies alone leave 2.
#[test]
fn other_bars_turn_their_strips_too() {
    let square = shapes::square(&tiles::sheet(&[(3.0, 0), (3.0, 1), (3.0, 0)])).unwrap();
    let stack = Bar::stack(vec![square.clone(), square], TOLERANCE).unwrap();
    assert_eq!(different(&stack, Same::Shifts), 4);
    // Level or upright each; turned by half a turn the pair changes places.
    assert_eq!(different(&stack, Same::Turns), 3);
    let many = Bar::stack(
        vec![shapes::square(&tiles::sheet(&[(3.0, 0), (3.0, 1)])).unwrap(); 9],
        TOLERANCE,
    )
    .unwrap();
    let refused = bar_turns::ways(&many, Same::Shifts);
    assert_eq!(
        refused,
        Err(bar_turns::BarTurnError::TooMany {
            ways: 4_u128.pow(9)
        })
    );
}

/// Hexagons of three rhombi on a repeat that only some turns keep, against a repeat of 4 x 4 cells
/// on the hexagons' own steps, which every turn keeps: each filling of the small repeat is laid on
/// the large one and sorted there.
#[test]
fn hexagons_counted_on_a_repeat_that_every_turn_keeps() {
    let block = tiles::hexagon_block();
    let small = tiles::hexagons(&block, (2, 0), (-1, 2), Poses::TurnedAndFlipped);
    let large = tiles::hexagons(&block, (4, 0), (0, 4), Poses::TurnedAndFlipped);
    assert_eq!((small.cells().len(), large.cells().len()), (4, 16));
    assert_eq!(small.looks().len(), 4);
    for (same, expected) in [(Same::Turns, 0), (Same::TurnsAndMirrors, 23)] {
        let sorted = Arrangements::new(&large, same, Wanted::All);
        let mut kinds = BTreeSet::new();
        for code in 0..256_u16 {
            let filling: Vec<u16> = (0..4).map(|i| code >> (2 * i) & 3).collect();
            let laid: Vec<u16> = large
                .cells()
                .iter()
                .map(|c| {
                    let look = &small.looks()[usize::from(filling[small.cell_at(c.at)])];
                    let same = large
                        .looks()
                        .iter()
                        .position(|l| l.face.looks_like(&look.face));
                    u16::try_from(same.unwrap()).unwrap()
                })
                .collect();
            kinds.insert(sorted.first_of_its_kind(&laid));
        }
        let counted = counting::different(&small, same);
        assert_eq!(counted, BigUint::from(kinds.len()));
        assert_eq!(listed(&small, same, Wanted::All).len(), kinds.len());
        assert!(expected == 0 || kinds.len() == expected);
    }
}
