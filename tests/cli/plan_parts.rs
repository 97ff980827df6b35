//! `plyloom plan --from-parts`: the largest panel that tiles in hand fill.

use super::plan::BLOCKS;
use crate::common::Bench;

#[test]
fn from_parts_tells_the_largest_panel_and_what_remains() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&["plan", "a.rhai", "--from-parts", "block=14"]);
    ran.ended(0);
    // Of 6 x 4, with 14 tiles at most: 4 x 3 = 12, 3 x 4 = 12, 6 x 2 = 12; in mm 3 x 4 is nearest to a
    // square, as courses of hexagons lie three quarters of their height apart.
    for part in [
        "3 columns x 4 courses, 12 tiles",
        "block: 12 used, 2 remain",
    ] {
        assert!(ran.out.contains(part), "{part}\n{}", ran.out);
    }
    let json = bench.run(&["plan", "a.rhai", "--from-parts", "block=14", "--json"]);
    json.ended(0);
    let json: serde_json::Value = serde_json::from_str(&json.out).expect("JSON");
    assert_eq!(json["from_parts"][0]["largest"]["tiles"], 12);
    bench
        .run(&["plan", "a.rhai", "--from-parts", "blok=14"])
        .ended(2)
        .err_has("did you mean \"block\"?");
    bench
        .run(&["plan", "a.rhai", "--from-parts", "14 blocks"])
        .ended(2)
        .err_has("name=count");
}

/// Hexagons of 37.8 across the flats, courses 32.74 apart and 43.65 high: 60 tiles fill 7 or so by 8 and more. Three by
/// two within a tenth are 8 x 6 (321 by 207, 1.55), but not 9 x 6 (1.73), 8 x 7 (1.34) or 10 x 6 (1.91).
#[test]
fn the_shape_of_what_tiles_fill_can_be_asked_for() {
    let bench = Bench::new().file("a.rhai", BLOCKS.replace("size(6, 4)", "size(20, 20)"));
    let filled = |more: &[&str]| {
        let args = ["plan", "a.rhai", "--from-parts", "block=60", "--json"];
        let json = bench.run(&[&args[..], more].concat());
        json.ended(0);
        let json: serde_json::Value = serde_json::from_str(&json.out).expect("JSON");
        let largest = &json["from_parts"][0]["largest"];
        let side = |i: usize| largest["size"][i].as_f64().expect("a size");
        (largest["tiles"].as_u64(), side(0) / side(1))
    };
    let (tiles, square) = filled(&[]);
    assert_eq!(tiles, Some(60));
    assert!((square - 1.0).abs() < 0.3, "{square}");
    let (tiles, wide) = filled(&["--shape", "3:2"]);
    assert_eq!(tiles, Some(48));
    assert!((wide - 1.55).abs() < 0.01, "{wide}");
    bench
        .run(&[
            "plan",
            "a.rhai",
            "--from-parts",
            "block=60",
            "--shape",
            "wide",
        ])
        .ended(2)
        .err_has("width to its height: 3:2");
}

const BAG: &str = "let light = bar(plywood(9, 12).square()).slice(\"light\");\n\
    let dark = bar(laminate([ply(12, \"walnut\")]).square()).slice(\"dark\");\n\
    panel(\"From stock\", squares(light)).size(8, 5)\
    .fill(bag(\"shuffle\", [[light, 28], [dark, 12]]));\n";

#[test]
fn a_recipes_bag_is_what_is_in_hand() {
    let bench = Bench::new().file("a.rhai", BAG).file("b.rhai", BLOCKS);
    for ask in [
        &["plan", "a.rhai", "--from-parts"][..],
        &["plan", "a.rhai", "--from-parts", "bag"],
    ] {
        let ran = bench.run(ask);
        ran.ended(0);
        for part in [
            "8 columns x 5 courses, 40 tiles",
            "light: 28 used, 0 remain",
            "dark: 12 used, 0 remain",
        ] {
            assert!(ran.out.contains(part), "{part}\n{}", ran.out);
        }
    }
    // A panel that mirrors itself takes no more than there is of each.
    let json = bench.run(&[
        "plan",
        "a.rhai",
        "--from-parts",
        "--symmetric",
        "both",
        "--json",
    ]);
    json.ended(0);
    let json: serde_json::Value = serde_json::from_str(&json.out).expect("JSON");
    let largest = &json["from_parts"][0]["largest"];
    assert_eq!(largest["upright"].as_str().map(|s| s != "none"), Some(true));
    for (i, held) in [(0, 28), (1, 12)] {
        let of = |list: &str| largest[list][i][1].as_u64().expect("a number");
        assert_eq!(of("used") + of("left"), held);
    }
    bench
        .run(&["plan", "b.rhai", "--from-parts"])
        .ended(2)
        .err_has("not filled from a bag");
}

/// A checker that another panel of the recipe is ripped from is planned by itself where it is asked for alone.
#[test]
fn a_panel_that_is_ripped_again_can_be_planned_alone() {
    let recipe = include_str!("../../demo-patterns/ripped-checker.rhai");
    let bench = Bench::new().file("ripped.rhai", recipe);
    let ran = bench.run(&["plan", "ripped.rhai", "--panel", "Checker"]);
    ran.ended(0);
    assert!(ran.out.contains("63 tiles"), "{}", ran.out);
    assert!(!ran.out.contains("slats"), "{}", ran.out);
    let both = bench.run(&["plan", "ripped.rhai", "--panel", "Ripped checker"]);
    both.ended(0);
    assert!(both.out.contains("63 tiles") && both.out.contains("12 slats"));
}
