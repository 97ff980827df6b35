//! Tiles or loaves: the numbers derived by hand, and panels that no loaf serves.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::sync::Arc;

use plyloom::{
    plan::{
        Shop,
        loaf::methods::{SlicingMethod, ways},
        report,
        shop::sliced::Sliced,
    },
    recipe::{evaluate, memory_host::MemoryHost, settings::Settings, source::Source},
};

fn of(recipe: &str, shop: &str) -> Vec<SlicingMethod> {
    let source = Arc::new(Source::new("recipe.rhai", recipe));
    let made = evaluate(
        &source,
        &Settings::default(),
        Arc::new(MemoryHost::default()),
    )
    .unwrap();
    let panels: Vec<_> = made.panels.iter().collect();
    ways(&panels, &Shop::parse(shop).unwrap())
}

fn numbers(ways: &[SlicingMethod]) -> Vec<(usize, u64, u64, u64)> {
    let each = ways
        .iter()
        .map(|w| (w.side_by_side, w.bars, w.parts, w.joints));
    each.collect()
}

const CHECKER: &str = r#"
let light = bar(laminate([plywood(9, 20, "birch")]).square()).slice("light");
let dark = bar(laminate([plywood(9, 20, "walnut")]).square()).slice("dark");
panel("Checker", squares(light)).size(8, 8).fill(|c| if (c.column + c.course) % 2 == 0 { light } else { dark });
"#;

const HEXAGONS: &str = r#"
let r = plywood(13, 19.2).rhombus(60);
let block = hexagon([r, r, r]).slice("block");
panel("Alike", hexagons(block)).size(12, 9).fill(block);
"#;

/// 8 x 8: 7 x 8 x 2 = 112 joints by tiles; 8 bars in one loaf, as a course turned half round is the next one:
/// 7 joints in the loaf and 7 between the courses, 16 parts.
#[test]
fn a_checker_of_64() {
    let all = of(CHECKER, "");
    assert_eq!(all[0].joints, 112);
    assert_eq!((all[0].parts, all[0].bars), (64, 2));
    let last = all.last().unwrap();
    assert_eq!(last.way, Sliced::Courses);
    assert_eq!((last.bars, last.parts, last.joints), (8, 16, 14));
    // Two bars give 32 runs of two, as long as for single tiles: 34 parts, 1 + 31 joints.
    assert_eq!(numbers(&all)[1], (2, 2, 34, 32));
    assert!((all[1].bar_length - all[0].bar_length).abs() < 1e-9);
}

/// 12 x 9 hexagons: 11 x 9 joints in the courses and 8 x 23 between them, 283 by tiles; 29 by four bars side by
/// side, 19 by twelve.
#[test]
fn an_all_alike_panel_of_108_hexagons() {
    let all = of(HEXAGONS, "");
    assert_eq!((all[0].parts, all[0].joints), (108, 283));
    let by = |wide: usize| all.iter().find(|w| w.side_by_side == wide).unwrap();
    assert_eq!((by(4).parts, by(4).joints, by(4).bars), (31, 29, 4));
    assert_eq!((by(12).parts, by(12).joints, by(12).bars), (21, 19, 12));
    // Four bars of 27 slices each: as much bar as for single tiles, 27 x 13 + 26 x 0.8 + 160 each.
    assert!((by(4).bar_length - 4.0 * (27.0 * 13.0 + 26.0 * 0.8 + 160.0)).abs() < 1e-9);
    assert!((by(4).stubs - 640.0).abs() < 1e-9);
    let best: Vec<usize> = all
        .iter()
        .filter(|w| w.recommended)
        .map(|w| w.side_by_side)
        .collect();
    assert_eq!(best.len(), 1);
    assert!(by(best[0]).bar_length <= 1.5 * all[0].bar_length);
    // A handle in place of the stubs makes the widest loaf the least work.
    let with_handles = of(HEXAGONS, "[slicing]\nend_trim = 10\n");
    assert!(with_handles.last().unwrap().recommended);
    let section = report::ways(&all, &Shop::common()).unwrap();
    let text: Vec<String> = section.entries.iter().map(report::Entry::line).collect();
    let text = text.join("|");
    for part in [
        "108 parts to handle, 283 joints",
        "recommended: ",
        "this plan: tile by tile",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
}

/// So many coasters of 3 x 2 hexagons, all alike.
fn coasters(many: u32) -> Vec<SlicingMethod> {
    let recipe = format!(
        r#"
let r = plywood(13, 19.2).rhombus(60);
let block = hexagon([r, r, r]).slice("block");
for i in 0..{many} {{ panel(`coaster ${{i}}`, hexagons(block)).size(3, 2).fill(block); }}
"#
    );
    of(&recipe, "")
}

/// A coaster has 3 x 2 tiles and 2 x 2 + 5 joints. By tiles, 30 have 180 parts; by blocks, six bars and nothing laid:
/// a block of 30 slices, 30 x 13 + 29 x 0.8 + 160 long. For three coasters, the clamps would hold more than they give.
#[test]
fn panels_that_are_alike_are_sliced_of_a_block() {
    let all = coasters(30);
    assert_eq!((all[0].parts, all[0].joints), (180, 270));
    let block = all.last().unwrap();
    assert_eq!(block.way, Sliced::Panels);
    assert_eq!((block.bars, block.parts, block.joints), (6, 6, 9));
    assert!((block.bar_length - 6.0 * (30.0 * 13.0 + 29.0 * 0.8 + 160.0)).abs() < 1e-9);
    assert!(block.recommended);
    let text = report::ways(&all, &Shop::common()).unwrap();
    let text: Vec<String> = text.entries.iter().map(report::Entry::line).collect();
    let told = "recommended: 6 bars in a block, sliced to whole panels (the way \"panels\"), 6 parts to handle instead of 180";
    assert!(text.iter().any(|line| line.starts_with(told)), "{text:?}");
    let few = coasters(3);
    assert_eq!(few.last().unwrap().way, Sliced::Panels);
    assert!(!few.last().unwrap().recommended);
}

/// A loaf lies on its wider side: what counts is how high it is then.
#[test]
fn a_loaf_that_is_too_high_is_left_out() {
    assert_eq!(of(HEXAGONS, "[slicing]\nheight = 44\n").len(), 1);
    assert!(of(HEXAGONS, "[slicing]\nheight = 45\n").len() > 1);
}

/// Where every course is another by chance, nothing is gained.
#[test]
fn tiles_by_chance_stay_single() {
    let recipe = r#"
let a = laminate([veneer(0.6, "navy"), plywood(13, 18.6)]);
let block = hexagon([a.rhombus(60), a.rhombus(60), plywood(13, 19.2).rhombus(60)]).slice("block");
panel("Chance", hexagons(block)).size(11, 13).fill(random("x", block.looks()));
"#;
    let all = of(recipe, "");
    assert_eq!(all.len(), 1);
    assert!(report::ways(&all, &Shop::common()).is_none());
}
