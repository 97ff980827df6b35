//! The 17 plane groups, from their published general positions and by their recognition chart.
//!
//! General positions: International Tables for Crystallography, volume A, plane groups 1 to 17
//! (from memory; that each list is a group of the right order is checked here, and that each pattern
//! painted from it has what the published recognition chart says). The chart: D. Schattschneider, The
//! plane symmetry groups: their recognition and notation, American Mathematical Monthly 85 (1978)
//! 439-450, as the mathematics department of the University of York gives it; for p4m and p4g it
//! prints a generating region of 1/4 where a point group of order 8 gives 1/8.

use std::collections::{BTreeMap, BTreeSet};

use plyloom::{
    explore::{
        pattern::{Joints, Pattern, Piece},
        periods::Periods,
        plane_group::{PlaneGroup, Repeats},
        symmetries::Symmetries,
    },
    geom::{Isometry, Point, Polygon, angle},
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

pub(super) fn steps(group: PlaneGroup) -> (Point, Point) {
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

pub(super) const PAINTS: [Colour; 3] = [
    Colour::rgb(232, 212, 176),
    Colour::rgb(104, 74, 54),
    Colour::rgb(186, 120, 80),
];

/// Paints every set of shapes that the group makes alike in one colour, by chance.
pub(super) fn painted(group: PlaneGroup, seed: u64) -> Vec<Piece> {
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

pub(super) fn pattern(pieces: Vec<Piece>, (a, b): (Point, Point), joints: Joints) -> Pattern {
    let outlines = pieces.iter().map(|p| p.polygon.clone()).collect();
    Pattern::new(Periods::new(a, b).unwrap(), pieces, outlines, joints)
}

/// How many moves a group has up to translations: the order of its point group.
fn order(group: PlaneGroup) -> usize {
    use PlaneGroup::*;
    match group {
        P1 => 1,
        P2 | Pm | Pg | Cm => 2,
        P3 => 3,
        Pmm | Pmg | Pgg | Cmm | P4 => 4,
        P3m1 | P31m | P6 => 6,
        P4m | P4g => 8,
        P6m => 12,
    }
}

/// The colour at a place of pieces that are repeated by two steps; none where two colours meet.
fn colour_at(pieces: &[Piece], p: Point, (a, b): (Point, Point)) -> Option<Colour> {
    let shifts = (-2..=2).flat_map(|i| (-2..=2).map(move |j| a * f64::from(i) + b * f64::from(j)));
    let holds = shifts.flat_map(|s| pieces.iter().filter(move |q| q.polygon.shifted(s).holds(p)));
    let mut colours = holds.map(|q| q.colour);
    let first = colours.next()?;
    colours.all(|c| c == first).then_some(first)
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
        assert_eq!(all.len(), order(group) * times, "{group}");
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
        assert_eq!(symmetries.moves.len(), order(group));
        for &g in &symmetries.moves {
            assert!(still.is_kept_by(g));
            let spot = Point::new(17.3, 9.1);
            let still_periods = Periods::new(a, b).unwrap();
            let at = |p| colour_at(&pieces, still_periods.wrapped(p), (a, b));
            if let Some(colour) = at(spot) {
                assert!([None, Some(colour)].contains(&at(g.apply(spot))));
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
        assert_eq!(order(group) % order(PlaneGroup::of(&left)), 0);
        for &g in &left.moves {
            assert!(before.is_kept_by(g), "{group}");
            let to = g.apply(centre);
            assert!(left.periods.has(to - centre), "{group}: the stain stays");
        }
        assert!(left.periods.area() >= all.periods.area() - 1e-6);
    }
}

/// A line of the chart: the highest rotation, reflections, glides in other axes than those, the
/// generating region as a part of the repeat, and what tells it from its likes.
type ChartLine = (PlaneGroup, u32, bool, bool, u32, Likes);

#[derive(Debug, Clone, Copy, PartialEq)]
enum Likes {
    Nothing,
    ParallelAxes,
    CrossedAxes,
    /// All centres of the highest rotation lie on axes of reflection.
    OnAxes,
    /// Not all do.
    OffAxes,
}

const CHART: [ChartLine; 17] = [
    (PlaneGroup::P1, 1, false, false, 1, Likes::Nothing),
    (PlaneGroup::P2, 2, false, false, 2, Likes::Nothing),
    (PlaneGroup::Pm, 1, true, false, 2, Likes::Nothing),
    (PlaneGroup::Pg, 1, false, true, 2, Likes::Nothing),
    (PlaneGroup::Cm, 1, true, true, 2, Likes::Nothing),
    (PlaneGroup::Pmm, 2, true, false, 4, Likes::Nothing),
    (PlaneGroup::Pmg, 2, true, true, 4, Likes::ParallelAxes),
    (PlaneGroup::Pgg, 2, false, true, 4, Likes::Nothing),
    (PlaneGroup::Cmm, 2, true, true, 4, Likes::CrossedAxes),
    (PlaneGroup::P4, 4, false, false, 4, Likes::Nothing),
    (PlaneGroup::P4m, 4, true, true, 8, Likes::OnAxes),
    (PlaneGroup::P4g, 4, true, true, 8, Likes::OffAxes),
    (PlaneGroup::P3, 3, false, false, 3, Likes::Nothing),
    (PlaneGroup::P3m1, 3, true, true, 6, Likes::OnAxes),
    (PlaneGroup::P31m, 3, true, true, 6, Likes::OffAxes),
    (PlaneGroup::P6, 6, false, false, 6, Likes::Nothing),
    (PlaneGroup::P6m, 6, true, true, 12, Likes::Nothing),
];

/// A mirror axis: its direction in degrees, its distance from the origin, and the slide along it.
struct Axis {
    direction: f64,
    off: f64,
    slide: f64,
}

/// The symmetries of a pattern near its origin, by plain geometry.
struct Found {
    axes: Vec<Axis>,
    /// Centres of turns by this many degrees.
    centres: Vec<(f64, Point)>,
}

fn found(symmetries: &Symmetries) -> Found {
    let [a, b] = symmetries.periods.steps();
    let mut found = Found {
        axes: Vec::new(),
        centres: Vec::new(),
    };
    for g in &symmetries.moves {
        for (i, j) in (-3..=3).flat_map(|i| (-3..=3).map(move |j| (i, j))) {
            let shift = g.shift + a * f64::from(i) + b * f64::from(j);
            if g.flip {
                let direction = (g.turn / 2.0 + 90.0).rem_euclid(180.0);
                let (sin, cos) = direction.to_radians().sin_cos();
                let along = Point::new(cos, sin);
                found.axes.push(Axis {
                    direction,
                    off: shift.cross(along) / 2.0,
                    slide: shift.dot(along),
                });
            } else if g.turn > 0.0 {
                // c = R c + s has the solution s / 2 + cot(turn / 2) / 2 times s turned by a quarter.
                let quarter = Point::new(-shift.y, shift.x);
                let cot = 1.0 / (g.turn.to_radians() / 2.0).tan();
                found.centres.push((g.turn, (shift + quarter * cot) * 0.5));
            }
        }
    }
    found
}

impl Found {
    fn reflects_in(&self, axis: &Axis) -> bool {
        self.axes.iter().any(|o| {
            let same =
                (o.direction - axis.direction).abs() < 1e-6 && (o.off - axis.off).abs() < 1e-6;
            same && o.slide.abs() < 1e-6
        })
    }

    fn is_on_axis(&self, p: Point) -> bool {
        self.axes.iter().filter(|o| o.slide.abs() < 1e-6).any(|o| {
            let (sin, cos) = o.direction.to_radians().sin_cos();
            (p.cross(Point::new(cos, sin)) - o.off).abs() < 1e-6
        })
    }
}

/// Each pattern painted from its general positions has what the chart says of its group.
#[test]
fn all_seventeen_by_the_recognition_chart() {
    for (group, rotation, reflections, glides, region, likes) in CHART {
        let made = pattern(painted(group, 47), steps(group), Joints::Unseen);
        let symmetries = Symmetries::of(&made).unwrap();
        let all = found(&symmetries);
        let turns = symmetries.moves.iter().filter(|g| !g.flip).count();
        assert_eq!(u32::try_from(turns).unwrap(), rotation, "{group}");
        assert_eq!(symmetries.moves.len(), region as usize, "{group}");
        let true_mirrors: Vec<&Axis> = all.axes.iter().filter(|x| x.slide.abs() < 1e-6).collect();
        assert_eq!(!true_mirrors.is_empty(), reflections, "{group}");
        // Near the origin only: axes farther out than the shifts tried may miss their mirror.
        let near = |x: &&Axis| x.off.abs() < 40.0;
        let glide = all.axes.iter().filter(near).any(|x| !all.reflects_in(x));
        assert_eq!(glide, glides, "{group}");
        let first = true_mirrors.first().map_or(0.0, |x| x.direction);
        let parallel = true_mirrors
            .iter()
            .all(|x| (x.direction - first).abs() < 1e-6);
        let step = 360.0 / f64::from(rotation.max(1));
        let on_axes = all
            .centres
            .iter()
            .filter(|(turn, at)| (turn - step).abs() < 1e-6 && at.length() < 40.0)
            .all(|(_, at)| all.is_on_axis(*at));
        match likes {
            Likes::Nothing => {}
            Likes::ParallelAxes => assert!(parallel, "{group}"),
            Likes::CrossedAxes => assert!(!parallel, "{group}"),
            Likes::OnAxes => assert!(on_axes, "{group}"),
            Likes::OffAxes => assert!(!on_axes, "{group}"),
        }
    }
}
