//! Known patterns and their plane groups.
//!
//! From the public encyclopaedia's article 'Wallpaper group' and its articles on the tilings named;
//! those marked 'computed' were classified for this project by an independent program that tries
//! every isometry on a grid. Whether colours and joints count is said at each.

use plyloom::{
    explore::{
        pattern::{Joints, Piece},
        plane_group::{PlaneGroup, Repeats},
        symmetries::Symmetries,
    },
    geom::{Point, Polygon, Rect, angle},
    stock::Colour,
};

use super::plane_groups::{PAINTS, pattern};

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

fn assert_groups(cases: &[(&str, PlaneGroup, Repeats)]) {
    for (name, group, found) in cases {
        assert_eq!(*found, Repeats::By(*group), "{name}");
    }
}

/// Outlines only, joints seen.
#[test]
fn undecorated_bonds_in_courses() {
    use PlaneGroup::{Cmm, P2, P4m, Pmg, Pmm};
    let one = &[(0.0, 0.0, 1.0, 1.0)];
    let brick = &[(0.0, 0.0, 2.0, 1.0)];
    assert_groups(&[
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
    ]);
}

/// Outlines only, joints seen.
#[test]
fn undecorated_bonds_of_turned_bricks() {
    use PlaneGroup::{P4, P4g, Pgg};
    assert_groups(&[
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
        (
            "the same block, alternately mirrored (computed)",
            P4g,
            laid(
                &[
                    (0.0, 0.0, 2.0, 1.0),
                    (2.0, 0.0, 1.0, 2.0),
                    (1.0, 2.0, 2.0, 1.0),
                    (0.0, 1.0, 1.0, 2.0),
                    (1.0, 1.0, 1.0, 1.0),
                    (4.0, 0.0, 2.0, 1.0),
                    (3.0, 0.0, 1.0, 2.0),
                    (3.0, 2.0, 2.0, 1.0),
                    (5.0, 1.0, 1.0, 2.0),
                    (4.0, 1.0, 1.0, 1.0),
                ],
                (3.0, 3.0),
                (3.0, -3.0),
            ),
        ),
    ]);
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

/// The group of a tiling by its outlines only.
fn outlined(list: Vec<Polygon>, a: Point, b: Point) -> Repeats {
    let pieces = list.into_iter().enumerate().map(|(tile, polygon)| Piece {
        polygon,
        colour: PAINTS[1],
        tile,
    });
    Repeats::of(&pattern(pieces.collect(), (a, b), Joints::Seen))
}

/// Tilings by regular polygons, outlines only: public encyclopaedia, articles on each.
#[test]
fn tilings_by_regular_polygons() {
    let s = 10.0;
    let h = s * angle::sin(60.0);
    let (a, b) = (Point::new(s, 0.0), Point::new(s / 2.0, h));
    let up = Polygon::clockwise(vec![Point::ZERO, a, b]);
    let down = Polygon::clockwise(vec![a, a + b, b]);
    assert_eq!(
        outlined(vec![up.clone(), down.clone()], a, b),
        Repeats::By(PlaneGroup::P6m)
    );
    // Hexagons.
    let hexagon = regular(6, s, 30.0, Point::ZERO);
    let (c, d) = (Point::new(2.0 * h, 0.0), Point::new(h, 1.5 * s));
    assert_eq!(outlined(vec![hexagon], c, d), Repeats::By(PlaneGroup::P6m));
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
    assert_eq!(outlined(list, e, f), Repeats::By(PlaneGroup::P6m));
    // Elongated triangular: a course of squares, a course of triangles.
    let square = Rect::sized(s, s).polygon().shifted(Point::new(0.0, -s));
    assert_eq!(
        outlined(vec![square, up, down], a, Point::new(s / 2.0, -s - h)),
        Repeats::By(PlaneGroup::Cmm)
    );
}

/// A square, a hexagon and a triangle at every corner, alternating: p6m.
#[test]
fn rhombitrihexagonal() {
    let s = 10.0;
    let (apothem, radius) = (s * angle::sin(60.0), s / (2.0 * angle::sin(60.0)));
    let mut list = vec![regular(6, s, 0.0, Point::ZERO)];
    for way in [30.0, 90.0, 150.0] {
        let at = Point::unit(way) * (apothem + s / 2.0);
        list.push(regular(4, s, way + 45.0, at));
    }
    for way in [0.0, 60.0] {
        let at = Point::unit(way) * (s + radius);
        list.push(regular(3, s, way + 180.0, at));
    }
    let step = |way| Point::unit(way) * (2.0 * apothem + s);
    assert_eq!(
        outlined(list, step(30.0), step(90.0)),
        Repeats::By(PlaneGroup::P6m)
    );
}

/// Squares turned by 15 degrees to and fro, with triangles between: p4g.
#[test]
fn snub_square() {
    let s = 10.0;
    let side = s * (2.0 + 3.0_f64.sqrt()).sqrt();
    let mut list = vec![
        regular(4, s, 60.0, Point::ZERO),
        regular(4, s, 30.0, Point::new(side, side) * 0.5),
    ];
    for quarter in 0..4 {
        let way = 15.0 + 90.0 * f64::from(quarter);
        let out = s / 2.0 + s * angle::sin(60.0) / 3.0;
        list.push(regular(3, s, way, Point::unit(way) * out));
    }
    assert_eq!(
        outlined(list, Point::new(side, 0.0), Point::new(0.0, side)),
        Repeats::By(PlaneGroup::P4g)
    );
}

/// Triangles of which every seventh corner is the middle of a hexagon: p6, without mirrors.
#[test]
fn snub_trihexagonal() {
    let s = 10.0;
    let (a, b) = (
        Point::new(s, 0.0),
        Point::new(s / 2.0, s * angle::sin(60.0)),
    );
    let mut list = vec![regular(6, s, 0.0, Point::ZERO)];
    // Corners i a + j b with i - 2 j a multiple of seven are middles.
    let middle = |n: i32| n.rem_euclid(7) == 0;
    for i in 0..7 {
        let at = a * f64::from(i);
        if ![i, i + 1, i - 2].into_iter().any(middle) {
            list.push(Polygon::clockwise(vec![at, at + a, at + b]));
        }
        if ![i + 1, i - 1, i - 2].into_iter().any(middle) {
            list.push(Polygon::clockwise(vec![at + a, at + a + b, at + b]));
        }
    }
    assert_eq!(list.len(), 9);
    assert_eq!(
        outlined(list, a * 2.0 + b, b * 3.0 - a),
        Repeats::By(PlaneGroup::P6)
    );
}

/// Squares quartered by their diagonals: p4m.
#[test]
fn tetrakis_square() {
    let corner = |k: i32| Point::unit(45.0 + 90.0 * f64::from(k)) * 10.0;
    let quarters: Vec<Polygon> = (0..4)
        .map(|k| Polygon::clockwise(vec![Point::ZERO, corner(k), corner(k + 1)]))
        .collect();
    let (a, b) = (corner(0) - corner(1), corner(0) - corner(3));
    assert_eq!(
        outlined(quarters.clone(), a, b),
        Repeats::By(PlaneGroup::P4m)
    );
}
