//! Lattices fill the plane, and panels of them count right.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::{num::NonZeroUsize, sync::Arc};

use crate::common::tiles::face;
use crate::common::wood::{arrow, hexagon_tile, parallelogram, rectangle, rhombus, triangle};
use geo::{Area, BooleanOps, unary_union};
use plyloom::{
    geom::{Point, Polygon, Rect, TOLERANCE, angle},
    layout::{Cell, Cells, Extent, Filling, Lattice, LayoutError, Panel, Rule, Tally, resolve},
    stock::Tile,
};
use proptest::prelude::*;

fn counted(columns: i64, courses: i64) -> Extent {
    let mut extent = Extent::default();
    extent.count(columns, courses).unwrap();
    extent
}

fn finished(width: f64, height: f64) -> Extent {
    let mut extent = Extent::default();
    extent.finish(width, height).unwrap();
    extent
}

fn all_of(tile: &Tile, lattice: Lattice, extent: &Extent) -> Result<Panel, LayoutError> {
    let cells = Cells::new(Arc::new(lattice), extent, 100_000)?;
    let mut filling = Filling::new(Arc::new(cells));
    filling.fill(&Rule::One(tile.clone()), None, 1)?;
    resolve("panel", &filling, NonZeroUsize::MIN)
}

/// Every lattice there is, with a tile of about the given size.
pub(crate) fn every_lattice(width: f64, height: f64, edge: f64) -> Vec<(Tile, Lattice)> {
    let block = rectangle(width, height);
    let hex = hexagon_tile(height);
    let lean = parallelogram(width, height, edge);
    let lozenge = rhombus(height, 60.0);
    let narrow = rhombus(height, edge);
    let even = triangle(height, 60.0);
    let tall = triangle(height, edge);
    let pointed = arrow(width, height, edge);
    let mut all = Vec::new();
    let mut add = |tile: &Tile, lattice: Result<Lattice, LayoutError>| {
        all.push((tile.clone(), lattice.unwrap()));
    };
    add(&block, Lattice::squares(&block));
    add(&block, Lattice::herringbone(&block));
    for share in [0.0, 0.5, 1.0 / 3.0, 0.4, 0.123] {
        add(&block, Lattice::running_bond(&block, share));
        add(&block, Lattice::to_and_fro(&block, share));
    }
    for n in 1..5 {
        let plank = rectangle(height * f64::from(n), height);
        add(&plank, Lattice::basket_weave(&plank));
    }
    for turn in [0.0, 30.0, 60.0] {
        let hex = hex.rotate(turn);
        add(&hex, Lattice::hexagons(&hex));
    }
    for tile in [&lean, &narrow, &lozenge] {
        for (turn, level) in [(0.0, true), (90.0, true), (17.0, false), (180.0, true)] {
            let tile = tile.rotate(turn);
            add(&tile, Lattice::rhombi(&tile));
            add(&tile.flip(), Lattice::rhombi(&tile.flip()));
            if level {
                add(&tile, Lattice::chevrons(&tile));
                add(&tile.flip(), Lattice::chevrons(&tile.flip()));
            }
        }
    }
    for turn in [0.0, 30.0, -30.0, 60.0, 90.0] {
        let tile = lozenge.rotate(turn);
        add(&tile, Lattice::rhombi(&tile));
        add(&tile, Lattice::tumbling(&tile));
        add(&tile.flip(), Lattice::tumbling(&tile.flip()));
    }
    for (tile, turn) in [
        (&even, 0.0),
        (&even, 60.0),
        (&even, 120.0),
        (&tall, 0.0),
        (&tall, 180.0),
    ] {
        let tile = tile.rotate(turn);
        add(&tile, Lattice::triangles(&tile));
    }
    // Arrows of one size fit into one another, end to end and side by side.
    let cut = height / angle::sin(edge);
    let ends: Vec<(Point, Point)> = (face(&pointed).outline().edges())
        .filter(|(a, b)| (a.distance(*b) - cut).abs() < 1e-6)
        .collect();
    let (along, beside) = (ends[1].0 - ends[0].1, ends[0].1 - ends[0].0);
    add(&pointed, Lattice::steps(&pointed, along, beside));
    all
}

fn outline(panel: &Panel, tile: usize) -> Polygon {
    let placed = panel.tiles[tile];
    panel.faces[placed.face as usize]
        .face
        .outline()
        .shifted(placed.at)
}

fn theirs(p: &Polygon) -> geo::Polygon {
    let ring: Vec<(f64, f64)> = p.corners().iter().map(|c| (c.x, c.y)).collect();
    geo::Polygon::new(ring.into(), vec![])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 6, failure_persistence: None, ..ProptestConfig::default() })]

    /// Checked by an independent geometry library (the `geo` crate): what the tiles have inside the
    /// finished rectangle adds up to its area, and so does their union; so there is neither hole
    /// nor overlap.
    #[test]
    fn every_lattice_covers_a_rectangle_once(
        width in 20.0..60.0_f64,
        height in 8.0..30.0_f64,
        edge in prop_oneof![40.0..58.0_f64, 62.0..80.0_f64],
        (x, y) in (-100.0..100.0_f64, -100.0..100.0_f64),
    ) {
        // What is a rhombus within the tolerance is laid as one, a hundredth off at each joint.
        prop_assume!((width - height / angle::sin(edge)).abs() > 0.05);
        let size = Rect::sized(190.0, 130.0);
        let room = theirs(&size.polygon());
        let mut extent = finished(size.width(), size.height());
        extent.shift(x, y).unwrap();
        for (number, (tile, lattice)) in every_lattice(width, height, edge).into_iter().enumerate() {
            let panel = all_of(&tile, lattice, &extent).unwrap();
            let cut: Vec<_> = (0..panel.tiles.len())
                .flat_map(|i| theirs(&outline(&panel, i)).intersection(&room).0)
                .collect();
            let sum: f64 = cut.iter().map(Area::unsigned_area).sum();
            let union = unary_union(&cut).unsigned_area();
            // Their clipping works on a grid of its own; tiles that reach in by less than the
            // tolerance are left out along the rim.
            let rim = TOLERANCE * size.polygon().perimeter();
            let net = Tally::of(&panel).net_area;
            for found in [sum, union, net] {
                let missing = size.area() - found;
                prop_assert!(
                    (-0.5..rim + 0.5).contains(&missing),
                    "lattice {}: {}",
                    number,
                    found
                );
            }
        }
    }

    /// Each cell is its neighbours' neighbour, over the same piece of the same edges.
    #[test]
    fn neighbours_see_each_other(
        width in 20.0..60.0_f64,
        height in 8.0..30.0_f64,
        edge in prop_oneof![40.0..58.0_f64, 62.0..80.0_f64],
    ) {
        for (number, (_, lattice)) in every_lattice(width, height, edge).into_iter().enumerate() {
            let (columns, courses) = lattice.block();
            for course in 0..courses {
                for column in 0..columns {
                    let cell = Cell { column, course };
                    let class = &lattice.classes()[lattice.class_of(cell)];
                    let shared: f64 = class.neighbours.iter().map(|n| n.piece.to - n.piece.from).sum();
                    let rim = class.shape.outline.perimeter();
                    // A piece shorter than the tolerance at a corner is no neighbour.
                    let corners = class.shape.outline.corners().len() as f64;
                    prop_assert!(
                        (shared - rim).abs() < corners * TOLERANCE,
                        "lattice {}: {} of {}", number, shared, rim
                    );
                    for n in &class.neighbours {
                        let there = Cell {
                            column: column + n.columns,
                            course: course + n.courses,
                        };
                        let other = &lattice.classes()[lattice.class_of(there)];
                        let seen = other.neighbours.iter().any(|back| {
                            (back.columns, back.courses) == (-n.columns, -n.courses)
                                && (back.edge, back.other_edge) == (n.other_edge, n.edge)
                                && (back.piece.from - n.piece.other_from).abs() < 1e-6
                        });
                        prop_assert!(seen);
                    }
                }
            }
        }
    }
}

#[test]
fn a_hexagon_has_six_neighbours_and_a_tumbling_rhombus_four() {
    for turn in [0.0, 30.0] {
        let tile = hexagon_tile(18.0).rotate(turn);
        let lattice = Lattice::hexagons(&tile).unwrap();
        for class in lattice.classes() {
            let edges: Vec<usize> = class.neighbours.iter().map(|n| n.edge).collect();
            assert_eq!(edges, [0, 1, 2, 3, 4, 5]);
            assert_eq!(class.touching.len(), 6);
        }
    }
    let lattice = Lattice::tumbling(&rhombus(18.0, 60.0)).unwrap();
    for class in lattice.classes() {
        assert_eq!(class.neighbours.len(), 4);
        // Three rhombi meet in each obtuse corner and six in each sharp one: 2 x 1 + 2 x 4 more.
        assert_eq!(class.touching.len(), 4 + 2 * 3);
    }
    let triangles = Lattice::triangles(&triangle(18.0, 60.0)).unwrap();
    for class in triangles.classes() {
        assert_eq!((class.neighbours.len(), class.touching.len()), (3, 12));
    }
}

#[test]
fn joints_follow_the_formulas() {
    let square = rectangle(18.0, 18.0);
    let hex = hexagon_tile(18.0);
    let flat = hex.rotate(30.0);
    for (n, m) in [(1, 1), (1, 5), (4, 3), (20, 30)] {
        let joints = |tile: &Tile, lattice: Result<Lattice, LayoutError>| {
            let panel = all_of(tile, lattice.unwrap(), &counted(n, m)).unwrap();
            i64::try_from(panel.joints.all).unwrap()
        };
        let straight = (n - 1) * m + n * (m - 1);
        assert_eq!(joints(&square, Lattice::squares(&square)), straight);
        // Each course but the first has two joints a tile with the one above, less one at its end.
        let shifted = (n - 1) * m + (m - 1) * (2 * n - 1);
        assert_eq!(joints(&hex, Lattice::hexagons(&hex)), shifted);
        assert_eq!(
            joints(&square, Lattice::running_bond(&square, 0.5)),
            shifted
        );
        let by_columns = (m - 1) * n + (n - 1) * (2 * m - 1);
        assert_eq!(joints(&flat, Lattice::hexagons(&flat)), by_columns);
    }
}

#[test]
fn the_finished_rectangle_cuts_joints_and_tiles() {
    // 4 x 3 squares of 20 mm cut from 70 x 45 mm: the last column and course are cut.
    let tile = rectangle(20.0, 20.0);
    let panel = all_of(
        &tile,
        Lattice::squares(&tile).unwrap(),
        &finished(70.0, 45.0),
    )
    .unwrap();
    let tally = Tally::of(&panel);
    assert_eq!((tally.whole, tally.trimmed, tally.total()), (6, 6, 12));
    assert_eq!(panel.joints.all, 3 * 3 + 4 * 2);
    assert!((tally.net_area - 3150.0).abs() < 1e-9);
    assert!((tally.offcut_area - (12.0 * 400.0 - 3150.0)).abs() < 1e-9);
    // A rectangle that ends where tiles end needs no more of them.
    let panel = all_of(
        &tile,
        Lattice::squares(&tile).unwrap(),
        &finished(80.0, 60.0),
    )
    .unwrap();
    assert!(panel.tiles.len() == 12 && panel.tiles.iter().all(|t| t.whole));
    // Joints on the rim's line lie outside.
    assert_eq!(panel.joints.all, 3 * 3 + 4 * 2);
}

#[test]
fn a_larger_finished_size_leaves_the_tiles_where_they_were() {
    for (tile, lattice) in every_lattice(31.0, 18.0, 55.0) {
        let small = all_of(&tile, lattice.clone(), &finished(150.0, 100.0)).unwrap();
        let large = all_of(&tile, lattice, &finished(220.0, 170.0)).unwrap();
        for t in &small.tiles {
            let same = large.tiles.iter().find(|l| l.cell == t.cell).unwrap();
            assert!(same.at.distance(t.at) < 1e-12);
        }
    }
}

#[test]
fn counted_cells_must_cover_the_finished_size() {
    let tile = hexagon_tile(18.0);
    let lattice = || Lattice::hexagons(&tile).unwrap();
    let mut extent = counted(8, 9);
    extent.finish(269.0, 269.0).unwrap();
    let panel = all_of(&tile, lattice(), &extent).unwrap();
    let inside = |c: Cell| (0..8).contains(&c.column) && (0..9).contains(&c.course);
    assert!(panel.tiles.iter().all(|t| inside(t.cell)));
    extent.finish(290.0, 269.0).unwrap();
    let error = all_of(&tile, lattice(), &extent).unwrap_err();
    let LayoutError::NotCovered {
        sides,
        missing,
        named,
        ..
    } = &error
    else {
        panic!("{error:?}")
    };
    assert_eq!(sides, "left and the right");
    assert!(*missing > 4 && named.len() == 3);
    assert!(error.to_string().contains("column -1, course"), "{error}");
}

#[test]
fn too_many_tiles_are_refused_before_they_are_made() {
    let tile = rectangle(18.0, 18.0);
    let lattice = || Lattice::squares(&tile).unwrap();
    assert_eq!(
        all_of(&tile, lattice(), &counted(1_000_000, 1_000_000)),
        Err(LayoutError::TooManyTiles {
            asked: 1_000_000_000_000,
            at_least: false,
            limit: 100_000
        })
    );
    for (w, h) in [(100_000.0, 100_000.0), (100_000.0, 1000.0)] {
        assert!(matches!(
            all_of(&tile, lattice(), &finished(w, h)),
            Err(LayoutError::TooManyTiles { at_least: true, .. })
        ));
    }
    for (columns, courses) in [(0, 5), (5, 0), (-1, 5), (i64::MAX, 1), (i64::MIN, i64::MAX)] {
        assert!(matches!(
            Extent::default().count(columns, courses),
            Err(LayoutError::Count { .. })
        ));
    }
    for bad in [0.0, -5.0, f64::NAN, f64::INFINITY, 1e9] {
        assert!(Extent::default().finish(bad, 100.0).is_err());
        assert!(Extent::default().finish(100.0, bad).is_err());
    }
    assert!(Extent::default().shift(f64::NAN, 0.0).is_err());
}

#[test]
fn outlines_that_do_not_suit_are_told_what_would() {
    let (square, hex, lean) = (
        rectangle(20.0, 20.0),
        hexagon_tile(18.0),
        parallelogram(30.0, 18.0, 70.0),
    );
    for (error, found, instead) in [
        (
            Lattice::squares(&hex),
            "regular hexagon with an upright edge",
            "`hexagons`",
        ),
        (
            Lattice::squares(&square.rotate(20.0)),
            "square without a level",
            "`rhombi`",
        ),
        (
            Lattice::hexagons(&square),
            "square",
            "`squares` or `running_bond`",
        ),
        (
            Lattice::hexagons(&hex.rotate(10.0)),
            "without a level",
            "`hexagons`",
        ),
        (Lattice::triangles(&lean), "parallelogram", "`rhombi`"),
        (Lattice::tumbling(&lean), "parallelogram", "`rhombi`"),
        (
            Lattice::tumbling(&rhombus(18.0, 50.0)),
            "rhombus",
            "`rhombi`",
        ),
        (
            Lattice::basket_weave(&rectangle(50.0, 18.0)),
            "rectangle",
            "`squares`",
        ),
    ] {
        let error = error.unwrap_err().to_string();
        assert!(error.contains(found) && error.contains(instead), "{error}");
    }
}

#[test]
fn steps_that_leave_holes_or_lay_tiles_over_each_other() {
    let tile = rectangle(20.0, 10.0);
    let steps = |ax, ay, dx, dy| Lattice::steps(&tile, Point::new(ax, ay), Point::new(dx, dy));
    assert!(steps(20.0, 0.0, 7.0, 10.0).is_ok());
    assert!(matches!(
        steps(21.0, 0.0, 0.0, 10.0),
        Err(LayoutError::LatticeHole { .. })
    ));
    assert!(matches!(
        steps(19.0, 0.0, 0.0, 10.0),
        Err(LayoutError::LatticeOverlap { .. })
    ));
    assert!(matches!(
        steps(20.0, 0.0, 40.0, 0.0),
        Err(LayoutError::LatticeOverlap { .. })
    ));
    // The area is right, the place is not.
    assert!(matches!(
        steps(10.0, 0.0, 0.0, 20.0),
        Err(LayoutError::CellsOverlap { .. })
    ));
    for bad in [0.0, f64::NAN, 1e9] {
        assert!(matches!(
            steps(bad, 0.0, 0.0, 10.0),
            Err(LayoutError::Step { .. })
        ));
    }
}

#[test]
fn a_tile_that_does_not_fit_its_cell() {
    let tile = hexagon_tile(18.0);
    let cells = Cells::new(
        Arc::new(Lattice::hexagons(&tile).unwrap()),
        &counted(5, 4),
        100,
    );
    let mut filling = Filling::new(Arc::new(cells.unwrap()));
    filling.fill(&Rule::One(tile.clone()), None, 1).unwrap();
    filling.put(13, &tile.rotate(90.0));
    let error = resolve("p", &filling, NonZeroUsize::MIN)
        .unwrap_err()
        .to_string();
    for part in [
        "`hex` (turned 90 degrees)",
        "column 3, course 2",
        "into a neighbour",
        "turns in steps of 60 degrees, flipped or not",
    ] {
        assert!(error.contains(part), "{error}");
    }
    filling.put(13, &rectangle(10.0, 10.0));
    let error = resolve("p", &filling, NonZeroUsize::MIN)
        .unwrap_err()
        .to_string();
    assert!(
        error.contains("mm2 of the cell open") && error.contains("10.00 x 10.00 mm"),
        "{error}"
    );
}
