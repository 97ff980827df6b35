//! Shifts that take the fewest tiles, leave the fewest slivers, or put a joint or a mirror through the middle.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::sync::Arc;

use plyloom::{
    geom::{Point, Polygon, Rect, TOLERANCE, clip, region::Piece},
    layout::{
        Panel,
        shifts::{Middle, Shift, fewest, shifts},
    },
    recipe::{evaluate, memory_host::MemoryHost, settings::Settings, source::Source},
};

fn panel(of: &str) -> Panel {
    let text = format!(
        "let r = plywood(13, 19.2).rhombus(60);\nlet block = hexagon([r, r, r]).slice(\"block\");\n\
         let square = bar(plywood(13, 20).square()).slice(\"square\");\npanel(\"P\", {of}"
    );
    let source = Arc::new(Source::new("recipe.rhai", text));
    let made = evaluate(
        &source,
        &Settings::default(),
        Arc::new(MemoryHost::default()),
    )
    .unwrap();
    made.panels.into_iter().next().unwrap()
}

/// Hexagons of 38.4 across the flats over 600 x 400: 231 from the corner, 165 of them whole, 214 with the lattice
/// moved by half a side, 11.085, upwards; found by trying 8,640 shifts on a grid of a period: none takes fewer.
#[test]
fn hexagons_over_600_by_400() {
    let corner = panel("hexagons(block)).finished(600, 400).fill(block);");
    let counts = corner.counts();
    assert_eq!((corner.tiles.len(), counts[0].whole), (231, 165));
    let found = fewest(&corner).unwrap();
    assert_eq!(found.tiles, 214);
    assert!(found.right.abs() < 1e-9, "{found:?}");
    // What it offers holds as it is written.
    let shifted = panel(&format!(
        "hexagons(block)).finished(600, 400).shift({}, {}).fill(block);",
        found.right, found.down
    ));
    assert_eq!(shifted.tiles.len(), 214);
    assert_eq!(fewest(&shifted), None);
}

/// Of a pattern that reaches farther by a period each way, the tiles that a rectangle of that size meets, wherever it is laid
/// within the period.
#[test]
fn the_best_shift_is_found_by_trying_all() {
    const PERIOD: (f64, f64) = (38.4, 66.51);
    const STEPS: i32 = 16;
    for (width, height) in [(210.0, 150.0), (183.0, 97.0), (305.0, 222.0)] {
        let of = |width: f64, height: f64| {
            panel(&format!(
                "hexagons(block)).finished({width}, {height}).fill(block);"
            ))
        };
        let corner = of(width, height);
        let found = fewest(&corner).map_or(corner.tiles.len(), |f| f.tiles);
        let wide = of(width + PERIOD.0, height + PERIOD.1);
        let rims: Vec<Polygon> = wide.tiles.iter().map(|tile| wide.rim(tile)).collect();
        let meets = |i: i32, j: i32| {
            let part = |n: i32, period: f64| period * f64::from(n) / f64::from(STEPS);
            let at = Point::new(part(i, PERIOD.0), part(j, PERIOD.1));
            let rect = Rect::sized(width, height).shifted(at).grown(-TOLERANCE);
            let touched = rims.iter().filter(|rim| clip::within(rim, rect).is_some());
            touched.count()
        };
        // From the corner, by both ways of counting.
        assert_eq!(meets(0, 0), corner.tiles.len());
        let all = (0..STEPS).flat_map(|i| (0..STEPS).map(move |j| (i, j)));
        let least = all.map(|(i, j)| meets(i, j)).min().unwrap();
        assert!(
            found <= least,
            "{width} x {height}: {found}, on a grid {least}"
        );
    }
}

#[test]
fn squares_are_drawn_in_at_the_rim() {
    // 210 x 100 from the corner is 11 x 5; no shift covers 210 with fewer than 11 squares of 20.
    assert_eq!(
        fewest(&panel("squares(square)).finished(210, 100).fill(square);")),
        None
    );
    // Shifted by half a square both ways it takes 12 x 6 there; offered is a shift that takes 11 x 5.
    let shifted = panel("squares(square)).finished(210, 100).shift(-15, -10).fill(square);");
    assert_eq!(shifted.tiles.len(), 12 * 6);
    assert_eq!(fewest(&shifted).unwrap().tiles, 11 * 5);
    // Columns and courses that are counted stay as they are.
    assert_eq!(
        fewest(&panel(
            "squares(square)).size(12, 6).finished(210, 100).fill(square);"
        )),
        None
    );
}

/// Whether no circle of 15 mm fits in a piece: its middle is looked for on a grid.
fn is_sliver(piece: &Piece) -> bool {
    let bounds = piece.rim.bounds();
    if piece.area() < std::f64::consts::PI * 7.5 * 7.5 {
        return true;
    }
    let places = |from: f64, to: f64| {
        let all = std::iter::successors(Some(from), |at| Some(at + 0.5));
        // No nearer to the bounds than the circle is wide.
        all.take_while(move |at| *at <= to - 7.5)
    };
    !places(bounds.min.x + 7.5, bounds.max.x).any(|x| {
        places(bounds.min.y + 7.5, bounds.max.y).any(|y| {
            let p = Point::new(x, y);
            piece.holds(p)
                && (piece.loops().flat_map(Polygon::edges)).all(|(a, b)| p.from_line(a, b) >= 7.5)
        })
    })
}

fn slivers(panel: &Panel) -> usize {
    let cut = panel.tiles.iter().filter(|tile| !tile.whole);
    cut.flat_map(|tile| panel.left_of(tile))
        .filter(is_sliver)
        .count()
}

/// As good as the best of all shifts on a grid, each carried out as a recipe of its own; what is offered holds as it is
/// written.
#[test]
fn shifts_under_a_curved_outline_are_as_good_as_those_found_by_trying_all() {
    let of = |right: f64, down: f64| {
        panel(&format!(
            "squares(square)).finished_outline(ellipse(110, 90).hole(circle(24))).shift({right}, {down}).fill(square);"
        ))
    };
    let found = shifts(&of(3.0, 4.0), None).unwrap();
    let grid = (0..5).flat_map(|i| (0..5).map(move |j| (4.0 * f64::from(i), 4.0 * f64::from(j))));
    let all: Vec<Panel> = grid.map(|(right, down)| of(right, down)).collect();
    let tiles = found.tiles.unwrap_or(found.now);
    assert!(all.iter().all(|panel| panel.tiles.len() >= tiles.tiles));
    let few = found.slivers.unwrap_or(found.now);
    let least = all.iter().map(slivers).min().unwrap();
    assert!(few.slivers <= least, "{few:?}, on a grid {least}");
    for offer in [Some(tiles), Some(few), found.joint, found.mirror]
        .into_iter()
        .flatten()
    {
        let made = of(offer.right, offer.down);
        assert_eq!(made.tiles.len(), offer.tiles, "{offer:?}");
        // To the fineness of the grid.
        assert!(slivers(&made).abs_diff(offer.slivers) <= 2, "{offer:?}");
    }
    // An ellipse over squares can be mirrored both ways, with joints on both middle lines.
    let both = Middle {
        upright: true,
        level: true,
    };
    assert_eq!(found.mirror.unwrap().mirror, both);
    let joint: Shift = found.joint.unwrap();
    assert_eq!((joint.joint, joint.mirror), (both, both));
    assert_eq!(
        (joint.right.rem_euclid(20.0), joint.down.rem_euclid(20.0)),
        (15.0, 5.0)
    );
    let made = of(joint.right, joint.down);
    let rims: Vec<Polygon> = made.tiles.iter().map(|tile| made.rim(tile)).collect();
    for rim in &rims {
        let image = rim.corners().iter().map(|p| Point::new(110.0 - p.x, p.y));
        let image = Polygon::clockwise(image.collect());
        assert!(rims.iter().any(|other| other.coincides(&image, 0.02)));
        assert!(rim.bounds().max.x < 55.02 || rim.bounds().min.x > 54.98);
    }
}

/// A rectangle of 6 by 4 squares that lies askew: turned straight, it takes 24 squares and leaves no sliver.
#[test]
fn a_turn_of_the_outline_is_found() {
    let askew =
        panel("squares(square)).finished_outline(rectangle(120, 80).rotate(45)).fill(square);");
    let found = shifts(&askew, Some(135.0)).unwrap();
    let tiles = found.tiles.unwrap();
    assert_eq!((tiles.tiles, tiles.slivers), (24, 0), "{found:?}");
    assert!(found.now.tiles > 30 && tiles.turn > 0.0);
    let straight = panel(&format!(
        "squares(square)).finished_outline(rectangle(120, 80).rotate(45).rotate({})).shift({}, {}).fill(square);",
        tiles.turn, tiles.right, tiles.down
    ));
    assert_eq!(straight.tiles.len(), 24);
    assert!(straight.tiles.iter().all(|tile| tile.whole));
}
