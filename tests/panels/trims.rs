//! Panels trimmed to rounds and other outlines, against an independent geometry library (the `geo`
//! crate): areas, whole and trimmed tiles, and which tiles are needed at all.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::collections::BTreeSet;
use std::{num::NonZeroUsize, sync::Arc};

use crate::common::wood::{hexagon_tile, rectangle};
use geo::{Area, BooleanOps};
use plyloom::{
    explore::{alike::looks_of_all, known_faces::KnownFaces, material::materials},
    geom::{Point, Polygon},
    layout::{Cell, Cells, Extent, Filling, Lattice, Panel, Rule, Tally, Trim, resolve},
    recipe::{Outcome, evaluate, memory_host::MemoryHost, settings::Settings, source::Source},
    stock::Tile,
};
use proptest::prelude::*;

fn theirs(p: &Polygon) -> geo::Polygon {
    let ring: Vec<(f64, f64)> = p.corners().iter().map(|c| (c.x, c.y)).collect();
    geo::Polygon::new(ring.into(), vec![])
}

fn made(tile: &Tile, lattice: Lattice, extent: &Extent) -> Panel {
    let cells = Cells::new(Arc::new(lattice), extent, 100_000).unwrap();
    let mut filling = Filling::new(Arc::new(cells));
    filling.fill(&Rule::One(tile.clone()), None, 1).unwrap();
    resolve("panel", &filling, NonZeroUsize::MIN).unwrap()
}

/// The panel of an outline, and that of the rectangle round it.
fn both(set: impl Fn(&mut Extent), hexagons: bool) -> (Panel, Panel) {
    let tile = if hexagons {
        hexagon_tile(18.0)
    } else {
        rectangle(37.0, 16.0)
    };
    let lattice = || {
        if hexagons {
            Lattice::hexagons(&tile).unwrap()
        } else {
            Lattice::running_bond(&tile, 0.3).unwrap()
        }
    };
    let mut extent = Extent::default();
    set(&mut extent);
    let bounds = extent.trim().unwrap().bounds();
    let mut square = Extent::default();
    square.finish(bounds.width(), bounds.height()).unwrap();
    (
        made(&tile, lattice(), &extent),
        made(&tile, lattice(), &square),
    )
}

/// Their clipping works on a grid of its own: what differs by less than this is theirs.
const THEIRS: f64 = 1e-2;

fn check(set: impl Fn(&mut Extent), hexagons: bool) -> Result<(), TestCaseError> {
    let (panel, square) = both(set, hexagons);
    let trim = panel.trim.clone().unwrap();
    let outline = theirs(&trim.loops()[0]);
    let tally = Tally::of(&panel);
    prop_assert!((tally.net_area - trim.area()).abs() < 1e-3 * trim.area().sqrt());
    prop_assert!((trim.area() - outline.unsigned_area()).abs() < 1e-6 * trim.area());
    let mut whole = 0;
    for tile in &panel.tiles {
        let rim = theirs(&panel.rim(tile));
        let left = rim.intersection(&outline).unsigned_area();
        prop_assert!((panel.area_left(tile) - left).abs() < THEIRS);
        let off = rim.unsigned_area() - left;
        // A corner that sticks out by a hundredth of a millimetre has no area to speak of.
        prop_assert!(!tile.whole || off < 1.0);
        prop_assert!(tile.whole || off > 0.0);
        whole += u64::from(tile.whole);
    }
    prop_assert_eq!(tally.whole, whole);
    prop_assert_eq!(tally.whole + tally.trimmed, panel.tiles.len() as u64);
    // Of the tiles of the rectangle just those that reach into the outline are there.
    let taken: BTreeSet<Cell> = panel.tiles.iter().map(|t| t.cell).collect();
    for tile in &square.tiles {
        let area = theirs(&square.rim(tile))
            .intersection(&outline)
            .unsigned_area();
        if taken.contains(&tile.cell) {
            prop_assert!(area > 0.0);
        } else {
            prop_assert!(area < 1.0, "{:?} has {area} mm2 inside", tile.cell);
        }
    }
    prop_assert!(taken.len() <= square.tiles.len());
    // What shows is what stays.
    let shown: f64 = materials(&panel).values().sum();
    prop_assert!((shown - tally.net_area).abs() < 0.1);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn rounds(diameter in 40.0..400.0_f64, hexagons: bool) {
        check(|e| e.finish_round(diameter).unwrap(), hexagons)?;
    }

    #[test]
    fn rounded_corners(width in 60.0..300.0_f64, height in 60.0..300.0_f64, share in 0.05..1.0_f64, hexagons: bool) {
        let radius = share * width.min(height) / 2.0;
        check(|e| e.finish_rounded(width, height, radius).unwrap(), hexagons)?;
    }

    #[test]
    fn corners_on_an_ellipse(n in 3..9_u32, first in 0.0..90.0_f64, wide in 60.0..200.0_f64, high in 60.0..200.0_f64, hexagons: bool) {
        let corners: Vec<Point> = (0..n)
            .map(|k| {
                let unit = Point::unit(first + 360.0 * f64::from(k) / f64::from(n));
                Point::new(unit.x * wide, unit.y * high)
            })
            .collect();
        check(|e| e.finish_outline(Trim::corners(&corners).unwrap()).unwrap(), hexagons)?;
    }
}

const WOOD: &str = "let light = bar(plywood(9, 12).square()).slice(\"light\");\n\
    let dark = bar(laminate([ply(12, \"walnut\")]).square()).slice(\"dark\");\n";

fn run(text: &str) -> Result<Outcome, String> {
    let source = Arc::new(Source::new("trial.rhai", format!("{WOOD}{text}")));
    evaluate(
        &source,
        &Settings::default(),
        Arc::new(MemoryHost::default()),
    )
    .map_err(|failure| failure.to_string())
}

#[test]
fn a_small_round_counted_by_hand() {
    let outcome = run("panel(\"p\", squares(light)).finished_round(60).fill(light);").unwrap();
    let panel = &outcome.panels[0];
    // The inner corners of the corner squares lie 18 x sqrt 2 = 25.5 mm from the middle, inside the
    // round: all 25 are needed. Those wholly inside have their outer corners within 30 mm:
    // 18 x sqrt 2 for the inner nine; 30.6 for those beside the middle of a side.
    let tally = Tally::of(panel);
    assert_eq!((tally.whole, tally.trimmed), (9, 16));
    assert!((tally.net_area - std::f64::consts::PI * 900.0).abs() < 1.0);
    assert_eq!(tally.width.to_bits(), 60.0_f64.to_bits());
}

#[test]
fn free_tiles_are_trimmed_to_a_round_too() {
    let outcome = run("let p = panel(\"p\").finished_round(20);\n\
         p.place(light, 0, 0).place(dark, 12, 0).place(dark, 0, 12).place(light, 12, 12);")
    .unwrap();
    let tally = Tally::of(&outcome.panels[0]);
    assert_eq!((tally.whole, tally.trimmed), (0, 4));
    assert!((tally.net_area - std::f64::consts::PI * 100.0).abs() < 0.5);
}

/// A round and the square round it are not the same panel.
#[test]
fn rounds_are_told_from_squares() {
    let looks = |fill: &str| {
        let outcome = run(&format!("panel(\"p\", squares(light)).size(5, 5).{fill};")).unwrap();
        looks_of_all(&outcome.panels, &mut KnownFaces::default())
    };
    let stripe = |columns: bool| {
        let along = if columns { "column" } else { "course" };
        format!("fill(|cell| if cell.{along} == 1 {{ dark }} else {{ light }})")
    };
    let square = looks(&format!("finished(60, 60).{}", stripe(true)));
    let upright = looks(&format!("finished_round(60).{}", stripe(true)));
    let level = looks(&format!("finished_round(60).{}", stripe(false)));
    assert_ne!(square.over, upright.over);
    assert_ne!(upright.lying, level.lying);
}

#[test]
fn slips_are_told() {
    for (text, why) in [
        ("finished_round(0)", "1"),
        ("finished_rounded(100, 60, 40)", "at most 30 mm"),
        ("finished_outline([[0, 0], [10, 0]])", "3 to 10000 corners"),
        (
            "finished_outline([[0, 0], [40, 40], [40, 0], [0, 40]])",
            "cross or touch at 20.0 mm",
        ),
        ("finished_outline([[0, 0], [10], [5, 5]])", "two lengths"),
    ] {
        let said = run(&format!("panel(\"p\", squares(light)).{text}.fill(light);")).unwrap_err();
        assert!(said.contains(why), "{text}: {said}");
    }
}
