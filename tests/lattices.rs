//! Lattices fill the plane, and panels of them count right.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

mod common;

use std::sync::Arc;

use common::wood::{arrow, hexagon_tile, parallelogram, rectangle, rhombus, triangle};
use plyloom::{
    geom::Point,
    layout::{Cells, Extent, Filling, Lattice, LayoutError, Panel, Rule, resolve},
    stock::Tile,
};

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

fn all_of(tile: &Tile, lattice: Lattice, extent: Extent) -> Result<Panel, LayoutError> {
    let cells = Cells::new(Arc::new(lattice), &extent, 100_000)?;
    let mut filling = Filling::new(Arc::new(cells));
    filling.fill(&Rule::One(tile.clone()), None, 1)?;
    resolve("panel", &filling)
}

/// Every lattice there is, with a tile of about the given size.
fn every_lattice(width: f64, height: f64) -> Vec<(Tile, Lattice)> {
    let block = rectangle(width, height);
    let hex = hexagon_tile(height);
    let lean = parallelogram(width, height, 70.0);
    let steep = parallelogram(width, height, 35.0);
    let lozenge = rhombus(height, 60.0);
    let narrow = rhombus(height, 40.0);
    let even = triangle(height, 60.0);
    let tall = triangle(height, 75.0);
    let pointed = arrow(width, height, 55.0);
    let mut all = Vec::new();
    let mut add = |tile: &Tile, lattice: Result<Lattice, LayoutError>| {
        all.push((tile.clone(), lattice.unwrap()));
    };
    add(&block, Lattice::squares(&block));
    for share in [0.0, 0.5, 1.0 / 3.0, 0.4, 0.123] {
        add(&block, Lattice::running_bond(&block, share));
        add(&block, Lattice::to_and_fro(&block, share));
    }
    for turn in [0.0, 30.0, 60.0] {
        let hex = hex.rotate(turn);
        add(&hex, Lattice::hexagons(&hex));
    }
    for tile in [&lean, &steep, &narrow, &lozenge] {
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
    for turn in [30.0, -30.0, 60.0, 90.0] {
        let tile = lozenge.rotate(turn);
        add(&tile, Lattice::rhombi(&tile));
        add(&tile, Lattice::tumbling(&tile));
        add(&tile.flip(), Lattice::tumbling(&tile.flip()));
    }
    for tile in [
        even.clone(),
        even.rotate(60.0),
        even.rotate(120.0),
        tall.clone(),
        tall.rotate(180.0),
    ] {
        add(&tile, Lattice::triangles(&tile));
    }
    // Arrows of one size fit into one another, end to end and side by side.
    let cut = height / plyloom::geom::angle::sin(55.0);
    let ends: Vec<(Point, Point)> = (pointed.face().outline().edges())
        .filter(|(a, b)| (a.distance(*b) - cut).abs() < 1e-6)
        .collect();
    assert_eq!(ends.len(), 2);
    let (along, beside) = (ends[1].0 - ends[0].1, ends[0].1 - ends[0].0);
    add(&pointed, Lattice::steps(&pointed, along, beside));
    all
}

#[test]
fn every_lattice_covers_a_rectangle_once() {
    for (tile, lattice) in every_lattice(31.0, 18.0) {
        let name = lattice.name();
        let panel = all_of(&tile, lattice, finished(200.0, 150.0)).unwrap();
        let trim = panel.trim.unwrap();
        let area: f64 = panel
            .tiles
            .iter()
            .map(|t| {
                let outline = panel.faces[t.face as usize].face.outline().shifted(t.at);
                plyloom::geom::clip::within(&outline, trim).unwrap().area()
            })
            .sum();
        assert!((area - 30_000.0).abs() < 0.01, "{name}: {area}");
    }
}

#[test]
fn a_hexagon_has_six_neighbours() {
    for turn in [0.0, 30.0] {
        let tile = hexagon_tile(18.0).rotate(turn);
        let lattice = Lattice::hexagons(&tile).unwrap();
        for class in lattice.classes() {
            assert_eq!(class.neighbours.len(), 6);
            assert_eq!(class.touching.len(), 6);
            let edges: Vec<usize> = class.neighbours.iter().map(|n| n.edge).collect();
            assert_eq!(edges, [0, 1, 2, 3, 4, 5]);
        }
    }
}

#[test]
fn joints_of_squares_follow_the_formula() {
    let tile = rectangle(18.0, 18.0);
    for (n, m) in [(1, 1), (1, 5), (4, 3), (20, 30)] {
        let lattice = Lattice::squares(&tile).unwrap();
        let panel = all_of(&tile, lattice, counted(n, m)).unwrap();
        let joints = u64::try_from((n - 1) * m + n * (m - 1)).unwrap();
        assert_eq!(panel.joints.all, joints);
        assert!((panel.bounds.width() - 18.0 * n as f64).abs() < 1e-9);
    }
}

#[test]
fn too_many_tiles_are_refused_before_they_are_made() {
    let tile = rectangle(18.0, 18.0);
    let lattice = || Lattice::squares(&tile).unwrap();
    assert_eq!(
        all_of(&tile, lattice(), counted(1_000_000, 1_000_000)),
        Err(LayoutError::TooManyTiles {
            asked: 1_000_000_000_000,
            at_least: false,
            limit: 100_000
        })
    );
    for (w, h) in [(100_000.0, 100_000.0), (100_000.0, 1000.0)] {
        assert!(matches!(
            all_of(&tile, lattice(), finished(w, h)),
            Err(LayoutError::TooManyTiles { at_least: true, .. })
        ));
    }
}
