//! Gluing a panel up: numbers, sub-assemblies, joints, the map.
#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    reason = "a test may stop at once, and its numbers are small"
)]

use std::{num::NonZeroUsize, sync::Arc};

use crate::common::wood::{hexagon_tile, rectangle};
use plyloom::{
    draw::glue_map::glue_map,
    layout::{Cells, Extent, Filling, Lattice, Panel, Rule, resolve},
    plan::{
        Shop, Units,
        glue_up::words::{before_lines, clamping_lines},
        glue_up::{
            Clamping, GlueTerms, GlueUp, PRESSURES, flattened, glue_up_slices, pencil_marks,
        },
    },
    stock::Tile,
};

fn panel(tile: &Tile, lattice: Lattice, columns: i64, courses: i64) -> Panel {
    let mut extent = Extent::default();
    extent.count(columns, courses).unwrap();
    let cells = Cells::new(Arc::new(lattice), &extent, 100_000).unwrap();
    let mut filling = Filling::new(Arc::new(cells));
    filling.fill(&Rule::One(tile.clone()), None, 1).unwrap();
    resolve("trial", &filling, NonZeroUsize::MIN).unwrap()
}

fn squares(columns: i64, courses: i64) -> Panel {
    let tile = rectangle(20.0, 20.0);
    panel(&tile, Lattice::squares(&tile).unwrap(), columns, courses)
}

const TERMS: GlueTerms = GlueTerms {
    slice: 12.0,
    open_time: 8.0,
    tile_seconds: 20.0,
};

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6 * b.abs().max(1.0), "{a} is not {b}");
}

/// Every tile is in just one sub-assembly, in order.
fn sound(panel: &Panel, plan: &GlueUp) {
    let mut seen: Vec<usize> = plan.placements.iter().map(|p| p.tile).collect();
    seen.sort_unstable();
    assert!(seen.iter().copied().eq(0..panel.tiles.len()));
    let mut at = 0;
    for a in &plan.assemblies {
        assert_eq!(a.placements.start, at);
        assert!(a.placements.end > at);
        at = a.placements.end;
    }
    assert_eq!(at, panel.tiles.len());
}

#[test]
fn joints_of_squares_by_hand() {
    // 4 x 3 squares of 20 mm: 3 * 3 upright and 4 * 2 level joints, 17 * 20 mm.
    let panel = squares(4, 3);
    let plan = glue_up_slices(&panel, Vec::new(), TERMS);
    near(plan.joints, 340.0);
    near(plan.glue_area, 340.0 * 12.0);
    sound(&panel, &plan);
    // 12 tiles at 20 s are 4 minutes; 6 of the 8 are for tiles: all at once.
    assert_eq!(plan.assemblies.len(), 1);
    near(plan.assemblies[0].minutes, 4.0 + 2.0);
    near(plan.seams, 0.0);
    let last = plan.placements[11];
    assert_eq!((last.course, last.number), (3, 4));
}

#[test]
fn a_short_open_time_parts_the_panel_between_courses() {
    // 6 minutes hold 18 tiles, so 10 x 10 tiles go course by course: 10 sub-assemblies of 10.
    let panel = squares(10, 10);
    let plan = glue_up_slices(&panel, Vec::new(), TERMS);
    assert_eq!(plan.assemblies.len(), 10);
    sound(&panel, &plan);
    near(plan.joints, 2.0 * 90.0 * 20.0);
    near(plan.seams, 90.0 * 20.0);
    assert!(plan.assemblies.iter().all(|a| a.minutes <= TERMS.open_time));
    // 6 x 7 tiles: three courses fit, 42 tiles are three groups, evenly 2 + 2 + 3 or the like.
    let plan = glue_up_slices(&squares(6, 7), Vec::new(), TERMS);
    let mut sizes: Vec<usize> = plan.assemblies.iter().map(|a| a.placements.len()).collect();
    sizes.sort_unstable();
    assert_eq!(sizes, [6, 18, 18]);
    let plan = glue_up_slices(&squares(6, 8), Vec::new(), TERMS);
    assert!(plan.assemblies.iter().all(|a| a.placements.len() % 6 == 0));
}

#[test]
fn a_course_too_long_alone_is_parted_evenly() {
    let panel = squares(40, 2);
    let plan = glue_up_slices(&panel, Vec::new(), TERMS);
    sound(&panel, &plan);
    // 18 at most: 40 are 13 + 13 + 14 in each course.
    assert_eq!(plan.assemblies.len(), 6);
    assert!(
        plan.assemblies
            .iter()
            .all(|a| (13..=14).contains(&a.placements.len()))
    );
    let hurried = GlueTerms {
        tile_seconds: 1000.0,
        ..TERMS
    };
    let plan = glue_up_slices(&panel, Vec::new(), hurried);
    assert!(plan.hopeless && plan.assemblies.len() == 80);
}

#[test]
fn hexagons_count_their_joints_too() {
    let tile = hexagon_tile(18.0);
    let panel = panel(&tile, Lattice::hexagons(&tile).unwrap(), 5, 4);
    let plan = glue_up_slices(&panel, Vec::new(), TERMS);
    sound(&panel, &plan);
    // As the panel itself counts them, each as long as a side: 18 / sin 60.
    near(plan.joints, panel.joints.all as f64 * 20.784_609_69);
}

#[test]
fn clamps_and_thickness() {
    // 300 mm by 12 mm at 0.7 and 1.7 N/mm2.
    let clamping = Clamping::of(300.0 * 12.0, PRESSURES, 2.0);
    near(clamping.force[0], 2.52);
    near(clamping.force[1], 6.12);
    // Of 2 kN each, 1.26 and 3.06 of them: two and four.
    assert_eq!(clamping.clamps, [2, 4]);
    // Of 6.12 kN one would do; a joint takes two at any rate.
    assert_eq!(Clamping::of(300.0 * 12.0, PRESSURES, 6.12).clamps, [2, 2]);
    // One side 0.7 mm thinner: that is what both faces come down to.
    near(flattened(12.0, 0.7, 0.5).unwrap(), 10.8);
    near(flattened(12.0, -0.7, 0.5).unwrap(), 10.8);
    assert_eq!(flattened(1.0, 0.7, 0.5), None);
}

#[test]
fn pencil_marks_tell_every_turn_and_flip_apart() {
    for tile in [
        hexagon_tile(18.0),
        rectangle(20.0, 20.0),
        rectangle(40.0, 20.0),
    ] {
        let kind = &tile.kind;
        let mut all: Vec<[(i64, i64); 2]> = Vec::new();
        for pose in kind.orientations() {
            let turned = kind.isometry(pose);
            let corners = kind.face().outline().corners();
            let marks = pencil_marks(kind).map(|i| turned.apply(corners[i]));
            let key = marks.map(|m| ((m.x * 100.0).round() as i64, (m.y * 100.0).round() as i64));
            assert!(!all.contains(&key), "{pose:?}");
            all.push(key);
        }
    }
}

#[test]
fn the_words_say_what_to_do_in_order() {
    let panel = squares(10, 10);
    let plan = glue_up_slices(&panel, Vec::new(), TERMS);
    let told = |units| {
        let mut shop = Shop::common();
        shop.units = units;
        shop.clamps.count = Some(1);
        let clamping = Clamping::of(200.0 * 12.0, PRESSURES, shop.clamps.force);
        let mut lines = before_lines(&plan, TERMS, units);
        lines.extend(clamping_lines(clamping, [200.0, 980.0], &shop));
        lines.join("\n")
    };
    let text = told(Units::Metric);
    for part in [
        "open time of 8 min is too short",
        "glue 10 sub-assemblies",
        "Seams 1.8 m in all",
        // 100 tiles at 20 s are 33.3 minutes, three quarters of 44.5; 16 minutes hold 36 tiles, three courses.
        "with an open time of 16 min there would be 4 sub-assemblies; all at once takes an open time of 45 min",
        "2 clamps of 3 kN; you have 1",
        // 980 mm and two battens of 20.
        "The last seam's clamps span 1020 mm, battens included; yours open 1000 mm",
        "cauls",
        "1.7 kN for light wood to 4.1 kN for dense wood",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
    let text = told(Units::Inch);
    // 0.7 and 1.7 N/mm^2 on 200 x 12 mm, a pound-force being 4.448 N.
    let force = "380 lbf (1.7 kN) for light wood to 920 lbf (4.1 kN) for dense wood";
    assert!(text.contains(force), "{text}");
}

#[test]
fn the_map_shows_every_tile_once_with_its_number_and_marks() {
    let panel = squares(10, 3);
    let plan = glue_up_slices(&panel, Vec::new(), TERMS);
    let drawn = |assembly| {
        let text = glue_map(&panel, &plan, assembly, "");
        assert!(!text.contains("NaN"));
        let drawing = roxmltree::Document::parse(&text).unwrap();
        let named = |name: &str| {
            drawing
                .descendants()
                .filter(|n| n.has_tag_name(name))
                .count()
        };
        let said: Vec<String> = drawing
            .descendants()
            .filter(|n| n.has_tag_name("text"))
            .filter_map(|n| n.text().map(|t| t.trim().to_owned()))
            .collect();
        (named("use"), named("circle"), said)
    };
    let (tiles, dots, said) = drawn(None);
    // Two marks a tile, and two in the key.
    assert_eq!((tiles, dots), (30, 62));
    for number in ["1-1", "3-10", "2-5"] {
        assert_eq!(said.iter().filter(|s| *s == number).count(), 1, "{number}");
    }
    let (tiles, _, said) = drawn(Some(1));
    assert_eq!(tiles, 10);
    assert!(said.iter().any(|s| s.contains("sub-assembly 2 of 3")));
    assert!(!said.contains(&"1-1".to_owned()));
}

#[test]
fn a_tile_is_marked_as_it_is_laid_with_the_fewest_moves() {
    let signs = |tile: &Tile| {
        let panel = panel(tile, Lattice::squares(tile).unwrap(), 2, 2);
        let text = glue_map(&panel, &glue_up_slices(&panel, Vec::new(), TERMS), None, "");
        let drawing = roxmltree::Document::parse(&text).unwrap();
        let all = drawing.descendants();
        let (dots, texts): (Vec<_>, Vec<_>) = all
            .filter(|n| n.has_tag_name("circle") || n.has_tag_name("text"))
            .partition(|n| n.has_tag_name("circle"));
        let place = |n: &roxmltree::Node<'_, '_>| {
            ["cx", "cy"].map(|a| n.attribute(a).unwrap().parse::<f64>().unwrap())
        };
        let dots: Vec<[f64; 2]> = dots.iter().map(place).collect();
        let texts: Vec<String> = (texts.iter())
            .map(|n| n.text().unwrap_or_default().trim().to_owned())
            .collect();
        (dots, texts)
    };
    // Plies that read the same from both faces: the mirror image and half a turn show nothing.
    let tile = rectangle(20.0, 20.0);
    let sliced = signs(&tile);
    for moved in [tile.flip(), tile.rotate(180.0), tile.flip().rotate(180.0)] {
        assert_eq!(signs(&moved), sliced);
    }
    let way = |dots: &[[f64; 2]]| [dots[1][0] - dots[0][0], dots[1][1] - dots[0][1]];
    let [along, none] = way(&sliced.0);
    assert!(along > 1.0 && none.abs() < 1e-6);
    // A quarter turn clockwise brings the line from the red to the blue dot from along to down.
    for moved in [
        tile.rotate(90.0),
        tile.rotate(270.0),
        tile.flip().rotate(90.0),
    ] {
        let (dots, texts) = signs(&moved);
        let [none, down] = way(&dots);
        assert!((down - along).abs() < 2e-3 && none.abs() < 2e-3);
        assert_eq!(texts, sliced.1);
    }
}

/// At 20 s a tile 3/4 of 5 minutes hold 11 tiles, of 10 minutes 22: of a panel of 14 courses of 22, 28 sub-assemblies or
/// 14. All 308 at once take 308 x 20 s / (3/4) = 136.9 minutes.
#[test]
fn a_slower_glue_says_what_it_would_change() {
    let panel = squares(22, 14);
    let terms = GlueTerms {
        open_time: 5.0,
        ..TERMS
    };
    let plan = glue_up_slices(&panel, Vec::new(), terms);
    assert_eq!(plan.assemblies.len(), 28);
    let slower = plan.slower.unwrap();
    assert_eq!(slower.assemblies, 14);
    near(slower.open_time, 10.0);
    near(slower.all_at_once, 308.0 / 3.0 / 0.75);
    let told = before_lines(&plan, terms, Units::Metric).join("\n");
    let line = "A slower glue: with an open time of 10 min there would be 14 sub-assemblies; all at once takes \
                an open time of 137 min.";
    assert!(told.contains(line), "{told}");
    // With that open time it is so, and more is not asked for.
    let slow = |open_time| glue_up_slices(&panel, Vec::new(), GlueTerms { open_time, ..terms });
    assert_eq!(slow(10.0).assemblies.len(), 14);
    assert_eq!(slow(slower.all_at_once).assemblies.len(), 1);
    assert!(slow(slower.all_at_once).slower.is_none());
}

/// Squares of 20 mm that are finished to 90 x 50: the dashed line of the map is that rectangle, at the scale of its tiles.
#[test]
fn the_map_shows_where_the_panel_is_trimmed() {
    let tile = rectangle(20.0, 20.0);
    let mut extent = Extent::default();
    extent.finish(90.0, 50.0).unwrap();
    let cells = Cells::new(Arc::new(Lattice::squares(&tile).unwrap()), &extent, 100_000).unwrap();
    let mut filling = Filling::new(Arc::new(cells));
    filling.fill(&Rule::One(tile.clone()), None, 1).unwrap();
    let panel = resolve("trimmed", &filling, NonZeroUsize::MIN).unwrap();
    let plan = glue_up_slices(&panel, Vec::new(), TERMS);
    let text = glue_map(&panel, &plan, None, "");
    let map = roxmltree::Document::parse(&text).unwrap();
    let dashed: Vec<_> = (map.descendants())
        .filter_map(|n| n.attribute("stroke-dasharray").and(n.attribute("d")))
        .collect();
    assert_eq!(dashed.len(), 1);
    let numbers: Vec<f64> = (dashed[0].split(['M', 'L', ' ']))
        .filter_map(|number| number.parse().ok())
        .collect();
    let span = |axis: usize| {
        let along = || numbers.iter().skip(axis).step_by(2).copied();
        along().fold(f64::NEG_INFINITY, f64::max) - along().fold(f64::INFINITY, f64::min)
    };
    let wood = map
        .descendants()
        .find_map(|n| n.attribute("transform"))
        .unwrap();
    let scale = wood.split("scale(").nth(1).unwrap().trim_end_matches(')');
    let scale: f64 = scale.parse().unwrap();
    assert!((span(0) - 90.0 * scale).abs() < 0.2, "{scale}");
    assert!((span(1) - 50.0 * scale).abs() < 0.2, "{scale}");
    assert!(text.contains("Dashed: where the panel is trimmed at the end."));
    let whole = squares(5, 3);
    let text = glue_map(&whole, &glue_up_slices(&whole, Vec::new(), TERMS), None, "");
    assert!(!text.contains("stroke-dasharray"));
}
