//! The 17 plane groups, from their published general positions and on known patterns.
//!
//! General positions: International Tables for Crystallography, volume A, plane groups 1 to 17
//! (from memory; that each list is a group of the right order is checked here). Known patterns:
//! D. Schattschneider, The plane symmetry groups: their recognition and notation, American
//! Mathematical Monthly 85 (1978) 439-450, and the public encyclopaedia's article 'Wallpaper
//! group'; those marked 'computed' were classified for this project by an independent program that
//! tries every isometry on a grid.

use std::collections::{BTreeMap, BTreeSet};

use plyloom::{
    explore::{
        pattern::{Joints, Pattern, Piece},
        periods::Periods,
        plane_group::{PlaneGroup, Repeats},
        symmetries::Symmetries,
    },
    geom::{Isometry, Point, Polygon, Rect, angle},
    stock::Colour,
};

/// Coordinates as shares of the two steps, times some whole number: (x, y) goes to
/// (a x + b y + e / 2, c x + d y + f / 2).
type Position = [i32; 6];

const P2MM: &[Position] = &[
    [1, 0, 0, 1, 0, 0],
    [-1, 0, 0, -1, 0, 0],
    [-1, 0, 0, 1, 0, 0],
    [1, 0, 0, -1, 0, 0],
];

const P3: [Position; 3] = [
    [1, 0, 0, 1, 0, 0],
    [0, -1, 1, -1, 0, 0],
    [-1, 1, -1, 0, 0, 0],
];

fn centred(list: &[Position]) -> Vec<Position> {
    let also = list
        .iter()
        .map(|p| [p[0], p[1], p[2], p[3], p[4] + 1, p[5] + 1]);
    list.iter().copied().chain(also).collect()
}

fn p3_and(more: &[Position]) -> Vec<Position> {
    P3.iter().chain(more).copied().collect()
}

fn general_positions(group: PlaneGroup) -> Vec<Position> {
    const P4: [Position; 4] = [
        [1, 0, 0, 1, 0, 0],
        [-1, 0, 0, -1, 0, 0],
        [0, -1, 1, 0, 0, 0],
        [0, 1, -1, 0, 0, 0],
    ];
    const P31: [Position; 3] = [
        [0, -1, -1, 0, 0, 0],
        [-1, 1, 0, 1, 0, 0],
        [1, 0, 1, -1, 0, 0],
    ];
    const P3_1: [Position; 3] = [
        [0, 1, 1, 0, 0, 0],
        [1, -1, 0, -1, 0, 0],
        [-1, 0, -1, 1, 0, 0],
    ];
    const HALF_TURNS: [Position; 3] = [
        [-1, 0, 0, -1, 0, 0],
        [0, 1, -1, 1, 0, 0],
        [1, -1, 1, 0, 0, 0],
    ];
    let one = [1, 0, 0, 1, 0, 0];
    match group {
        PlaneGroup::P1 => vec![one],
        PlaneGroup::P2 => P2MM[..2].to_vec(),
        PlaneGroup::Pm => vec![one, [-1, 0, 0, 1, 0, 0]],
        PlaneGroup::Pg => vec![one, [-1, 0, 0, 1, 0, 1]],
        PlaneGroup::Cm => centred(&[one, [-1, 0, 0, 1, 0, 0]]),
        PlaneGroup::Pmm => P2MM.to_vec(),
        PlaneGroup::Pmg => {
            vec![
                one,
                [-1, 0, 0, -1, 0, 0],
                [-1, 0, 0, 1, 1, 0],
                [1, 0, 0, -1, 1, 0],
            ]
        }
        PlaneGroup::Pgg => {
            vec![
                one,
                [-1, 0, 0, -1, 0, 0],
                [-1, 0, 0, 1, 1, 1],
                [1, 0, 0, -1, 1, 1],
            ]
        }
        PlaneGroup::Cmm => centred(P2MM),
        PlaneGroup::P4 => P4.to_vec(),
        PlaneGroup::P4m => {
            let more = [
                [-1, 0, 0, 1, 0, 0],
                [1, 0, 0, -1, 0, 0],
                [0, 1, 1, 0, 0, 0],
                [0, -1, -1, 0, 0, 0],
            ];
            P4.iter().chain(&more).copied().collect()
        }
        PlaneGroup::P4g => {
            let more = [
                [-1, 0, 0, 1, 1, 1],
                [1, 0, 0, -1, 1, 1],
                [0, 1, 1, 0, 1, 1],
                [0, -1, -1, 0, 1, 1],
            ];
            P4.iter().chain(&more).copied().collect()
        }
        PlaneGroup::P3 => P3.to_vec(),
        PlaneGroup::P3m1 => p3_and(&P31),
        PlaneGroup::P31m => p3_and(&P3_1),
        PlaneGroup::P6 => p3_and(&HALF_TURNS),
        PlaneGroup::P6m => p3_and(&[P31, P3_1, HALF_TURNS].concat()),
    }
}

fn is_hexagonal(group: PlaneGroup) -> bool {
    general_positions(group)
        .iter()
        .any(|p| p[0] * p[3] - p[1] * p[2] == 1 && p[0] + p[3] == -1)
}

fn is_square(group: PlaneGroup) -> bool {
    matches!(group, PlaneGroup::P4 | PlaneGroup::P4m | PlaneGroup::P4g)
}

/// A small generator (xorshift, Marsaglia 2003); the tests need no promise.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }
}

const GRID: i32 = 8;

fn steps(group: PlaneGroup) -> (Point, Point) {
    let a = Point::new(48.0, 0.0);
    match group {
        g if is_hexagonal(g) => (a, Point::new(-24.0, 48.0 * angle::sin(60.0))),
        g if is_square(g) => (a, Point::new(0.0, 48.0)),
        PlaneGroup::P1 | PlaneGroup::P2 => (a, Point::new(11.0, 37.0)),
        _ => (a, Point::new(0.0, 61.0)),
    }
}

/// The shapes of a grid over one repeat, by their centres in units of 1 / (6 GRID): parallelograms,
/// or triangles for the hexagonal groups.
fn shapes(group: PlaneGroup) -> Vec<((i32, i32), Polygon)> {
    let (a, b) = steps(group);
    let at = |i: i32, j: i32| {
        a * (f64::from(i) / f64::from(GRID)) + b * (f64::from(j) / f64::from(GRID))
    };
    let mut all = Vec::new();
    for i in 0..GRID {
        for j in 0..GRID {
            let [p, q, r, s] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            if is_hexagonal(group) {
                all.push(((6 * i + 4, 6 * j + 2), Polygon::clockwise(vec![p, q, r])));
                all.push(((6 * i + 2, 6 * j + 4), Polygon::clockwise(vec![p, r, s])));
            } else {
                all.push(((6 * i + 3, 6 * j + 3), Polygon::clockwise(vec![p, q, r, s])));
            }
        }
    }
    all
}

fn image(p: Position, (x, y): (i32, i32)) -> (i32, i32) {
    let whole = 6 * GRID;
    (
        (p[0] * x + p[1] * y + p[4] * whole / 2).rem_euclid(whole),
        (p[2] * x + p[3] * y + p[5] * whole / 2).rem_euclid(whole),
    )
}

const PAINTS: [Colour; 3] = [
    Colour::rgb(232, 212, 176),
    Colour::rgb(104, 74, 54),
    Colour::rgb(186, 120, 80),
];

/// Paints every set of shapes that the group makes alike in one colour, by chance.
fn painted(group: PlaneGroup, seed: u64) -> Vec<Piece> {
    let mut dice = Dice(seed);
    let mut paint: BTreeMap<(i32, i32), Colour> = BTreeMap::new();
    shapes(group)
        .into_iter()
        .enumerate()
        .map(|(tile, (centre, polygon))| {
            let paint = paint.get(&centre).copied().unwrap_or_else(|| {
                let colour = PAINTS[usize::try_from(dice.below(3)).unwrap()];
                for p in general_positions(group) {
                    paint.insert(image(p, centre), colour);
                }
                colour
            });
            Piece {
                polygon,
                colour: paint,
                tile,
            }
        })
        .collect()
}

fn pattern(pieces: Vec<Piece>, (a, b): (Point, Point), joints: Joints) -> Pattern {
    let outlines = pieces.iter().map(|p| p.polygon.clone()).collect();
    Pattern::new(Periods::new(a, b).unwrap(), pieces, outlines, joints)
}

#[test]
fn general_positions_are_groups_of_the_right_order() {
    for group in PlaneGroup::all() {
        let all = general_positions(group);
        let times = if matches!(group, PlaneGroup::Cm | PlaneGroup::Cmm) {
            2
        } else {
            1
        };
        assert_eq!(all.len(), group.order() as usize * times, "{group}");
        let spot = (5, 13);
        let spots: BTreeSet<_> = all.iter().map(|&p| image(p, spot)).collect();
        assert_eq!(spots.len(), all.len(), "{group}");
        for &p in &all {
            let again: BTreeSet<_> = all.iter().map(|&q| image(q, image(p, spot))).collect();
            assert_eq!(again, spots, "{group}");
        }
    }
}

#[test]
fn all_seventeen_from_their_general_positions() {
    for group in PlaneGroup::all() {
        for seed in 1..=6 {
            let made = pattern(painted(group, seed * 7919), steps(group), Joints::Unseen);
            assert_eq!(
                Repeats::of(&made),
                Repeats::By(group),
                "{group}, seed {seed}"
            );
        }
    }
}

#[test]
fn a_moved_pattern_keeps_its_group_and_its_own_symmetries_change_nothing() {
    let by = Isometry {
        flip: true,
        turn: 23.7,
        shift: Point::new(310.0, -77.3),
    };
    for group in PlaneGroup::all() {
        let pieces = painted(group, 31);
        let (a, b) = steps(group);
        let still = pattern(pieces.clone(), (a, b), Joints::Unseen);
        let symmetries = Symmetries::of(&still).unwrap();
        assert_eq!(symmetries.moves.len(), group.order() as usize);
        for &g in &symmetries.moves {
            assert!(still.is_kept_by(g));
            let spot = Point::new(17.3, 9.1);
            if let Some(colour) = still.colour_at(spot) {
                assert!([None, Some(colour)].contains(&still.colour_at(g.apply(spot))));
            }
        }
        let linear = by.linear();
        let moved = pieces
            .into_iter()
            .map(|p| Piece {
                polygon: p.polygon.moved(by),
                ..p
            })
            .collect();
        let moved = pattern(moved, (linear.apply(a), linear.apply(b)), Joints::Unseen);
        assert_eq!(Repeats::of(&moved), Repeats::By(group));
    }
}

#[test]
fn one_tile_of_another_colour_leaves_a_subgroup() {
    let stain = Colour::rgb(10, 20, 200);
    for group in PlaneGroup::all() {
        let before = pattern(painted(group, 5), steps(group), Joints::Unseen);
        let all = Symmetries::of(&before).unwrap();
        let mut pieces = painted(group, 5);
        pieces[11].colour = stain;
        let centre = pieces[11].polygon.centroid();
        let after = pattern(pieces, steps(group), Joints::Unseen);
        let left = Symmetries::of(&after).unwrap();
        assert_eq!(group.order() % PlaneGroup::of(&left).order(), 0);
        for &g in &left.moves {
            assert!(before.is_kept_by(g), "{group}");
            let to = g.apply(centre);
            assert!(left.periods.has(to - centre), "{group}: the stain stays");
        }
        assert!(left.periods.area() >= all.periods.area() - 1e-6);
    }
}

fn bricks(list: &[(f64, f64, f64, f64)]) -> Vec<Piece> {
    list.iter()
        .enumerate()
        .map(|(tile, &(x, y, w, h))| Piece {
            polygon: Rect::sized(w * 10.0, h * 10.0)
                .polygon()
                .shifted(Point::new(x, y) * 10.0),
            colour: PAINTS[0],
            tile,
        })
        .collect()
}

fn laid(list: &[(f64, f64, f64, f64)], a: (f64, f64), b: (f64, f64)) -> Repeats {
    let step = |(x, y): (f64, f64)| Point::new(x, y) * 10.0;
    Repeats::of(&pattern(bricks(list), (step(a), step(b)), Joints::Seen))
}

/// Outlines only, joints seen.
#[test]
fn undecorated_bonds() {
    use PlaneGroup::{Cmm, P2, P4, P4g, P4m, Pgg, Pmg, Pmm};
    let one = &[(0.0, 0.0, 1.0, 1.0)];
    let brick = &[(0.0, 0.0, 2.0, 1.0)];
    let cases: &[(&str, PlaneGroup, Repeats)] = &[
        ("squares", P4m, laid(one, (1.0, 0.0), (0.0, 1.0))),
        (
            "squares, a longer repeat",
            P4m,
            laid(
                &[(0.0, 0.0, 1.0, 1.0), (1.0, 0.0, 1.0, 1.0)],
                (2.0, 0.0),
                (0.0, 1.0),
            ),
        ),
        (
            "stack bond (computed)",
            Pmm,
            laid(brick, (2.0, 0.0), (0.0, 1.0)),
        ),
        ("running bond", Cmm, laid(brick, (2.0, 0.0), (1.0, 1.0))),
        (
            "running bond of 1 x 4 (computed)",
            Cmm,
            laid(&[(0.0, 0.0, 4.0, 1.0)], (4.0, 0.0), (2.0, 1.0)),
        ),
        (
            "raking bond by a third (computed)",
            P2,
            laid(&[(0.0, 0.0, 3.0, 1.0)], (3.0, 0.0), (1.0, 1.0)),
        ),
        (
            "1 x 4 to and fro by a quarter (computed)",
            Pmg,
            laid(
                &[(0.0, 0.0, 4.0, 1.0), (1.0, 1.0, 4.0, 1.0)],
                (4.0, 0.0),
                (0.0, 2.0),
            ),
        ),
        (
            "herringbone",
            Pgg,
            laid(
                &[(0.0, 0.0, 2.0, 1.0), (2.0, 0.0, 1.0, 2.0)],
                (1.0, -1.0),
                (2.0, 2.0),
            ),
        ),
        (
            "basket weave of two (computed)",
            P4g,
            laid(
                &[
                    (0.0, 0.0, 2.0, 1.0),
                    (0.0, 1.0, 2.0, 1.0),
                    (2.0, 0.0, 1.0, 2.0),
                    (3.0, 0.0, 1.0, 2.0),
                ],
                (2.0, 2.0),
                (2.0, -2.0),
            ),
        ),
        (
            "pinwheel of two squares",
            P4,
            laid(
                &[(0.0, 0.0, 2.0, 2.0), (2.0, 0.0, 1.0, 1.0)],
                (2.0, 1.0),
                (-1.0, 2.0),
            ),
        ),
        (
            "four bricks round a square (computed)",
            P4,
            laid(
                &[
                    (0.0, 0.0, 2.0, 1.0),
                    (2.0, 0.0, 1.0, 2.0),
                    (1.0, 2.0, 2.0, 1.0),
                    (0.0, 1.0, 1.0, 2.0),
                    (1.0, 1.0, 1.0, 1.0),
                ],
                (3.0, 0.0),
                (0.0, 3.0),
            ),
        ),
    ];
    for (name, group, found) in cases {
        assert_eq!(*found, Repeats::By(*group), "{name}");
    }
}

/// Colours only, joints unseen.
#[test]
fn painted_squares() {
    let board = |paint: fn(i32, i32) -> usize, n: i32| {
        let mut pieces = Vec::new();
        for i in 0..n {
            for j in 0..n {
                let at = Point::new(f64::from(i), f64::from(j)) * 10.0;
                pieces.push(Piece {
                    polygon: Rect::sized(10.0, 10.0).polygon().shifted(at),
                    colour: PAINTS[paint(i, j)],
                    tile: pieces.len(),
                });
            }
        }
        let side = f64::from(n) * 10.0;
        pattern(
            pieces,
            (Point::new(side, 0.0), Point::new(0.0, side)),
            Joints::Unseen,
        )
    };
    let checks = board(|i, j| usize::from((i + j) % 2 == 0), 2);
    assert_eq!(Repeats::of(&checks), Repeats::By(PlaneGroup::P4m));
    // The finest repeat of a chessboard is a square on its corner, two fields large.
    let finest = Symmetries::of(&checks).unwrap().periods;
    assert!((finest.area() - 200.0).abs() < 1e-6);
    let stripes = board(|i, _| usize::from(i % 2 == 0), 2);
    assert_eq!(Repeats::of(&stripes), Repeats::Stripes);
    assert_eq!(Repeats::of(&board(|_, _| 0, 2)), Repeats::Stripes);
    let diagonal = board(|i, j| usize::from((i + j) % 3 == 0), 3);
    assert_eq!(Repeats::of(&diagonal), Repeats::By(PlaneGroup::Cmm));
    // A big square of three fields and a single one: all mirrors in the diagonals only.
    let steps = board(|i, j| usize::from(i < 2 && j < 2), 3);
    assert_eq!(Repeats::of(&steps), Repeats::By(PlaneGroup::P4m));
}

/// Three rhombi of 60 degrees round a point, on the lattice of the hexagons they make.
fn blocks(paints: [Colour; 3], joints: Joints) -> Repeats {
    let side = 20.0;
    let corner = |k: i32| Point::unit(-90.0 + 60.0 * f64::from(k)) * side;
    let pieces = (0..3)
        .map(|k| Piece {
            polygon: Polygon::clockwise(vec![
                Point::ZERO,
                corner(2 * k),
                corner(2 * k + 1),
                corner(2 * k + 2),
            ]),
            colour: paints[usize::try_from(k).unwrap()],
            tile: usize::try_from(k).unwrap(),
        })
        .collect();
    let a = corner(1) + corner(2);
    let b = corner(2) + corner(3);
    Repeats::of(&pattern(pieces, (a, b), joints))
}

#[test]
fn tumbling_blocks() {
    // Outlines only: p6m (the rhombille tiling; public encyclopaedia).
    assert_eq!(
        blocks([PAINTS[0]; 3], Joints::Seen),
        Repeats::By(PlaneGroup::P6m)
    );
    // Three tones, kept (computed): only half turns survive.
    let tones = blocks(PAINTS, Joints::Unseen);
    assert_eq!(tones, Repeats::By(PlaneGroup::P2));
}

fn regular(n: u32, side: f64, first: f64, at: Point) -> Polygon {
    let radius = side / (2.0 * angle::sin(180.0 / f64::from(n)));
    let corner = |i| at + Point::unit(first + 360.0 * f64::from(i) / f64::from(n)) * radius;
    Polygon::clockwise((0..n).map(corner).collect())
}

/// Tilings by regular polygons, outlines only: public encyclopaedia, articles on each.
#[test]
fn tilings_by_regular_polygons() {
    let seen = |list: Vec<Polygon>, a: Point, b: Point| {
        let pieces = list.into_iter().enumerate().map(|(tile, polygon)| Piece {
            polygon,
            colour: PAINTS[1],
            tile,
        });
        Repeats::of(&pattern(pieces.collect(), (a, b), Joints::Seen))
    };
    let s = 10.0;
    let h = s * angle::sin(60.0);
    let (a, b) = (Point::new(s, 0.0), Point::new(s / 2.0, h));
    let up = Polygon::clockwise(vec![Point::ZERO, a, b]);
    let down = Polygon::clockwise(vec![a, a + b, b]);
    assert_eq!(
        seen(vec![up.clone(), down.clone()], a, b),
        Repeats::By(PlaneGroup::P6m)
    );
    // Hexagons.
    let hexagon = regular(6, s, 30.0, Point::ZERO);
    let (c, d) = (Point::new(2.0 * h, 0.0), Point::new(h, 1.5 * s));
    assert_eq!(seen(vec![hexagon], c, d), Repeats::By(PlaneGroup::P6m));
    // Trihexagonal: a hexagon with a triangle above and one below.
    let hexagon = regular(6, s, 0.0, Point::ZERO);
    let triangles = [(30.0, -90.0), (-30.0, 90.0)].map(|(way, first)| {
        regular(
            3,
            s,
            first,
            Point::unit(way) * (2.0 * s * angle::cos(30.0) / 1.5),
        )
    });
    let list = vec![hexagon, triangles[0].clone(), triangles[1].clone()];
    let (e, f) = (Point::new(2.0 * s, 0.0), Point::new(s, 2.0 * h));
    assert_eq!(seen(list, e, f), Repeats::By(PlaneGroup::P6m));
    // Elongated triangular: a course of squares, a course of triangles.
    let square = Rect::sized(s, s).polygon().shifted(Point::new(0.0, -s));
    assert_eq!(
        seen(vec![square, up, down], a, Point::new(s / 2.0, -s - h)),
        Repeats::By(PlaneGroup::Cmm)
    );
}
