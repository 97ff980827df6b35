//! The shift that takes the fewest tiles.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::sync::Arc;

use plyloom::{
    layout::{Panel, fewest::fewest},
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

#[test]
fn the_best_shift_is_found_by_trying_all() {
    for (width, height) in [(210, 150), (183, 97), (305, 222)] {
        let of = |right: f64, down: f64| {
            panel(&format!(
                "hexagons(block)).finished({width}, {height}).shift({right}, {down}).fill(block);"
            ))
        };
        let corner = of(0.0, 0.0);
        let found = fewest(&corner).map_or(corner.tiles.len(), |f| f.tiles);
        let steps = 16;
        let all = (0..steps).flat_map(|i| (0..steps).map(move |j| (i, j)));
        let least = all
            .map(|(i, j)| {
                let part = |n: i32, period: f64| period * f64::from(n) / f64::from(steps);
                of(-part(i, 38.4), -part(j, 66.51)).tiles.len()
            })
            .min()
            .unwrap();
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
