//! `plyloom compare`: side by side, with what differs.

use crate::common::Bench;

fn recipe(dye: &str, width: u32) -> String {
    format!(
        "let line = veneer(0.6, \"{dye}\");
let sheet = laminate([line, plywood(5, 6.4), line]);
let r = sheet.rhombus(60);
let block = hexagon([r, r, r]).slice(\"block\");
panel(\"Blocks\", hexagons(block)).finished({width}, 120).fill(block);
"
    )
}

fn bench() -> Bench {
    Bench::new()
        .file("a.rhai", recipe("soot", 160))
        .file("b.rhai", recipe("poppy", 240))
        .file("c.rhai", recipe("soot", 160))
}

#[test]
fn differences_are_told_and_drawn_at_one_scale() {
    let bench = bench();
    bench
        .run(&[
            "compare", "a.rhai", "b.rhai", "--window", "110x25", "--window", "round 90",
        ])
        .ended(0)
        .out_has("160.0 x 120.0")
        .out_has("240.0 x 120.0")
        .out_has("veneer, soot")
        .out_has("window round 90")
        .out_has("the same in all:")
        .out_has("compare.svg");
    let svg = bench.read("compare.svg");
    let tree = roxmltree::Document::parse(&svg).expect("XML");
    let texts = tree
        .descendants()
        .filter(|n| n.has_tag_name("text"))
        .count();
    assert_eq!(texts, 7, "a title and three rows of two");
    assert_eq!(svg.matches("<clipPath id=\"d5-round\"").count(), 1);
}

#[test]
fn what_is_the_same_is_said() {
    let bench = bench();
    let ran = bench.run(&["compare", "a.rhai", "c.rhai", "--json"]);
    ran.ended(0);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["schema"], "plyloom-compare");
    for row in json["rows"].as_array().expect("rows") {
        assert_eq!(row["values"][0], row["values"][1], "{row}");
    }
    bench
        .run(&["compare", "a.rhai", "c.rhai", "--all"])
        .ended(0)
        .out_has("0.0192           0.0192");
}

#[test]
fn a_window_that_is_too_large_finds_no_place() {
    bench()
        .run(&["compare", "a.rhai", "b.rhai", "--window", "200x60"])
        .ended(0)
        .out_has("does not fit")
        .out_has("cut tiles");
}

#[test]
fn slips_are_told() {
    let bench = bench();
    bench.run(&["compare", "a.rhai"]).ended(2);
    bench
        .run(&["compare", "a.rhai", "d.rhai"])
        .ended(1)
        .err_has("there is no file");
    bench
        .run(&["compare", "a.rhai", "b.rhai", "--window", "x"])
        .ended(2);
    bench
        .run(&[
            "compare", "a.rhai", "b.rhai", "--out", "b.rhai", "--format", "svg",
        ])
        .ended(2)
        .err_has("is one of the recipes");
    bench
        .run(&[
            "compare", "a.rhai", "b.rhai", "--json", "--out", "-", "--format", "svg",
        ])
        .ended(2);
}

#[test]
fn all_are_looked_at_alike() {
    let bench = bench();
    let page = |words: &[&str]| {
        let line = [
            "compare", "a.rhai", "b.rhai", "--window", "round 90", "--out", "x.svg",
        ];
        let line: Vec<&str> = line.iter().chain(words).copied().collect();
        bench.run(&line).ended(0);
        bench.read("x.svg")
    };
    let plain = page(&[]);
    let lit = page(&["--light", "225", "--view", "grey"]);
    assert_ne!(plain, lit);
    assert_eq!(lit.matches("light from 225").count(), 2);
    // Light from all round: eight rows of two, and the pieces.
    let swept = page(&["--light", "sweep"]);
    assert_eq!(swept.matches("<text").count(), 1 + 8 * 2 + 2);
    bench
        .run(&["compare", "a.rhai", "b.rhai", "--light", "sweep", "--grain"])
        .ended(2)
        .err_has("one direction");
}

/// From afar two panels and two pieces are pictures, the pieces still round.
#[test]
fn from_afar_they_are_pictures_of_pixels() {
    let bench = Bench::new()
        .file("a.rhai", recipe("soot", 60).replace("120)", "50)"))
        .file("b.rhai", recipe("poppy", 60).replace("120)", "50)"));
    let line = [
        "compare", "a.rhai", "b.rhai", "--window", "round 30", "--out", "x.svg", "--from", "4m",
        "--grain",
    ];
    bench.run(&line).ended(0);
    let far = bench.read("x.svg");
    assert_eq!(far.matches("<image ").count(), 4);
    assert_eq!(far.matches("clip-path=").count(), 2);
}

#[test]
fn a_shop_file_prices_what_is_compared() {
    let bench = bench().file(
        "shop.toml",
        "[[sheet]]\nname = \"s\"\nwidth = 600\nlength = 1200\nprice = 40\n",
    );
    bench
        .run(&["compare", "a.rhai", "b.rhai", "--all"])
        .ended(0)
        .out_has("not defined");
    bench
        .run(&[
            "compare",
            "a.rhai",
            "b.rhai",
            "--all",
            "--shop",
            "shop.toml",
        ])
        .ended(0)
        .out_has("40.000");
}
