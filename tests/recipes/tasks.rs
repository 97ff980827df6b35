//! What a maker who is new to recipes sets out to do: each task is a recipe of at most 25 lines in
//! `tests/suite/tasks/`, and what it is to come to is counted here by other means.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use plyloom::geom::Point;
use plyloom::layout::panel::Panel;
use plyloom::recipe::doubts::doubts;

use crate::in_memory::recipe;

fn made(task: &str) -> Panel {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/suite/tasks");
    let text = fs::read_to_string(folder.join(format!("{task}.rhai"))).expect("a task");
    let lines = text.lines().count();
    assert!(lines <= 25, "{task} takes {lines} lines");
    let (result, _) = recipe(&text).run();
    let outcome = result.unwrap_or_else(|failure| panic!("{task}: {failure}"));
    let found = doubts(&outcome);
    assert!(found.is_empty(), "{task}: {found:?}");
    outcome.panels.into_iter().next().expect("a panel")
}

/// How many tiles there are of each kind.
fn kinds(panel: &Panel) -> BTreeMap<String, usize> {
    let mut counts = BTreeMap::new();
    for tile in &panel.tiles {
        let name = panel.faces[tile.face as usize].kind.name();
        *counts.entry(name.to_owned()).or_default() += 1;
    }
    counts
}

fn counts(task: &str) -> Vec<usize> {
    kinds(&made(task)).into_values().collect()
}

/// The kind of each cell, its first letter, course by course.
fn rows(task: &str) -> Vec<String> {
    let panel = made(task);
    let mut rows: BTreeMap<i32, String> = BTreeMap::new();
    for tile in &panel.tiles {
        let name = panel.faces[tile.face as usize].kind.name();
        rows.entry(tile.cell.course)
            .or_default()
            .push_str(&name[..1]);
    }
    rows.into_values().collect()
}

#[test]
fn a_checkered_tray() {
    let panel = made("01_checkered_tray");
    assert!(
        (panel.bounds.width() - 300.0).abs() < 1e-9 && (panel.bounds.height() - 200.0).abs() < 1e-9
    );
    let rows = rows("01_checkered_tray");
    for row in &rows {
        assert!(!row.contains("ll") && !row.contains("dd"), "{row}");
    }
    for pair in rows.windows(2) {
        assert!(pair[0].chars().zip(pair[1].chars()).all(|(a, b)| a != b));
    }
}

#[test]
fn a_border_two_tiles_wide() {
    // 16 x 11 with a field of 12 x 7.
    assert_eq!(counts("02_border"), [16 * 11 - 12 * 7, 12 * 7]);
}

#[test]
fn a_chevron_of_two_dyes() {
    let panel = made("03_chevron_of_two_dyes");
    assert_eq!(kinds(&panel).keys().collect::<Vec<_>>(), ["poppy", "sea"]);
}

#[test]
fn a_word_of_letters() {
    let rows = rows("04_word_of_letters");
    assert_eq!(rows[1], "ldddddlddddlldddll");
    assert_eq!(rows[0], "l".repeat(18));
    assert_eq!(rows.len(), 7);
}

#[test]
fn a_gradient() {
    let rows = rows("05_gradient");
    let light = |columns: std::ops::Range<usize>| -> usize {
        rows.iter()
            .map(|row| row[columns.clone()].matches('l').count())
            .sum()
    };
    assert!(light(0..1) == 0 && light(23..24) == 10);
    assert!(light(0..8) < light(8..16) && light(8..16) < light(16..24));
}

#[test]
fn rings_of_three_woods() {
    // The middle, then 8, 16, 24 ... around it.
    let of = |k: usize| {
        (k..8)
            .step_by(3)
            .map(|ring| (8 * ring).max(1))
            .sum::<usize>()
    };
    let mut expected = [of(0), of(1), of(2)];
    // By name: cherry, maple, walnut.
    expected.swap(0, 1);
    assert_eq!(counts("06_rings"), expected);
}

#[test]
fn a_spiral_of_two_arms() {
    let panel = made("07_spiral");
    let middle = panel.bounds.centre();
    // On a ray from the middle the arms take turns every 40 mm; across the middle is the other arm.
    let kind_at = |angle: f64, distance: f64| {
        let at = middle + Point::unit(angle) * distance;
        let tile = panel.tile_at(at).expect("wood");
        panel.faces[panel.tiles[tile].face as usize]
            .kind
            .name()
            .to_owned()
    };
    for angle in [0.0_f64, 45.0, 90.0, 135.0, 180.0, 270.0] {
        // The middle of an arm: half an arm in, and further out by an arm with each half turn.
        let distances =
            [2.5, 3.5, 4.5].map(|arms: f64| 40.0 * (arms - 1.0 + (angle / 180.0).fract()));
        let kinds: Vec<String> = distances.map(|mm| kind_at(angle, mm)).into();
        let across: Vec<String> = distances.map(|mm| kind_at(angle + 180.0, mm)).into();
        assert!(
            kinds[0] == kinds[2] && kinds[0] != kinds[1],
            "{angle}: {kinds:?}"
        );
        assert!(
            kinds.iter().zip(&across).all(|(a, b)| a != b),
            "{angle}: {kinds:?} {across:?}"
        );
    }
}

#[test]
fn symmetric_chance() {
    for row in rows("08_symmetric_chance") {
        assert_eq!(row, row.chars().rev().collect::<String>());
    }
    let counts = counts("08_symmetric_chance");
    assert!(counts[0] > 20 && counts[1] > 20, "{counts:?}");
}

#[test]
fn a_herringbone_of_two_woods() {
    let panel = made("09_herringbone");
    for tile in &panel.tiles {
        let face = &panel.faces[tile.face as usize];
        let bounds = face.face.outline().bounds();
        let lies = bounds.width() > bounds.height();
        assert_eq!(lies, face.kind.name() == "lying");
    }
}

#[test]
fn bricks_by_thirds() {
    assert_eq!(counts("10_bricks"), [8 * 6, 8 * 3]);
    let panel = made("10_bricks");
    let left = |course: i32| {
        let of_course = panel.tiles.iter().filter(|tile| tile.cell.course == course);
        of_course
            .map(|tile| tile.at.x)
            .fold(f64::INFINITY, f64::min)
    };
    assert!(((left(1) - left(0)).abs() - 12.0).abs() < 1e-6);
}

#[test]
fn three_woods_on_hexagons() {
    let panel = made("11_three_woods_on_hexagons");
    let name = |i: usize| panel.faces[panel.tiles[i].face as usize].kind.name();
    let size = panel.faces[0].face.outline().bounds();
    let near = 1.05 * size.width().min(size.height());
    let mut pairs = 0;
    for i in 0..panel.tiles.len() {
        for j in 0..i {
            if panel.tiles[i].at.distance(panel.tiles[j].at) < near {
                assert_ne!(name(i), name(j));
                pairs += 1;
            }
        }
    }
    assert!(pairs > 100, "{pairs}");
}

#[test]
fn tumbling_blocks() {
    let counts = counts("12_tumbling_blocks");
    assert_eq!(counts, [24, 24, 24]);
}

#[test]
fn a_cross() {
    let rows = rows("13_cross");
    assert_eq!(rows[0], "llllldddlllll");
    assert_eq!(rows[6], "d".repeat(13));
}

#[test]
fn stripes_of_random_widths() {
    let panel = made("14_stripes");
    assert_eq!(panel.tiles.len(), 12);
    let widths = kinds(&panel);
    let sum: usize = widths
        .iter()
        .map(|(name, count)| name[1..].parse::<usize>().expect("a width") * count)
        .sum();
    assert!((panel.bounds.width() - sum as f64).abs() < 1e-6);
}

#[test]
fn a_round_lid() {
    let panel = made("15_round_lid");
    assert!((panel.bounds.width() - 240.0).abs() < 0.1);
    let dark = kinds(&panel)["dark"];
    // Squares of 12 mm whose centre lies within 60 mm.
    let expected = (-20..=20_i32)
        .flat_map(|x| (-20..=20_i32).map(move |y| (x, y)))
        .filter(|(x, y)| (x * x + y * y) * 144 < 3600)
        .count();
    let off = dark.abs_diff(expected);
    assert!(off <= 12, "{dark} and {expected}");
}

#[test]
fn what_is_left_in_the_bag() {
    assert_eq!(counts("16_what_is_left"), [20, 76]);
}

#[test]
fn knights_moves() {
    let rows = rows("17_knights_moves");
    let dark: Vec<(i32, i32)> = rows
        .iter()
        .zip(0..)
        .flat_map(|(row, y)| row.chars().zip(0..).map(move |(kind, x)| (kind, x, y)))
        .filter(|(kind, ..)| *kind == 'd')
        .map(|(_, x, y)| (x, y))
        .collect();
    assert_eq!(dark.len(), 30);
    for (x, y) in dark
        .iter()
        .filter(|(x, y)| (2..13).contains(x) && (2..8).contains(y))
    {
        let near: Vec<(i32, i32)> = dark
            .iter()
            .map(|(a, b)| ((a - x).abs(), (b - y).abs()))
            .filter(|(a, b)| a.max(b) < &3 && (*a, *b) != (0, 0))
            .collect();
        assert_eq!(near.len(), 4, "{near:?}");
        assert!(
            near.iter().all(|move_| matches!(move_, (1, 2) | (2, 1))),
            "{near:?}"
        );
    }
}

#[test]
fn every_third_is_turned() {
    let panel = made("18_every_third_turned");
    let mut turns: BTreeMap<i64, usize> = BTreeMap::new();
    for tile in &panel.tiles {
        #[allow(clippy::cast_possible_truncation, reason = "whole degrees")]
        let turn = panel.faces[tile.face as usize].pose.turn as i64;
        *turns.entry(turn).or_default() += 1;
    }
    assert_eq!(
        turns.into_iter().collect::<Vec<_>>(),
        [(0, 18), (90, 18), (180, 18)]
    );
}

#[test]
fn a_knob_for_the_width() {
    let panel = made("19_knob_for_the_width");
    assert!((panel.bounds.width() - 12.0 * 25.4).abs() < 1e-9);
}
