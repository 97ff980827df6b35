//! `plyloom arrangements`.

use crate::common::Bench;

const BLOCKS: &str = "let line = veneer(0.6, \"soot\");
let sheet = laminate([line, plywood(13, 18), line]);
let r = sheet.rhombus(60);
let block = hexagon([r, r, r]).slice(\"block\");
panel(\"Blocks\", hexagons(block)).size(6, 6).fill(block);
";

const HALVED: &str = "let light = plywood(9, 12).triangle(45);
let dark = laminate([ply(12, \"walnut\")]).triangle(45);
let block = stack([light.roll(), dark]).slice(\"halved\").rotate(45);
panel(\"Halved\", squares(block)).size(5, 5).fill(block);
";

fn bench() -> Bench {
    Bench::new()
        .file("blocks.rhai", BLOCKS)
        .file("halved.rhai", HALVED)
}

#[test]
fn counts_and_lists_hexagons() {
    bench()
        .run(&["arrangements", "blocks.rhai"])
        .ended(0)
        .out_has("ways to fill  256")
        .out_has("different     23")
        .out_has("A  block turned 0°")
        .out_has("AA / AA   p6");
}

/// A square halved by its diagonal. Quarter turns: OEIS A368145; all symmetries: A367536 (n = 2).
#[test]
fn counts_halved_squares() {
    for (same, different) in [("turns", "23"), ("mirrors", "17"), ("shifts", "76")] {
        bench()
            .run(&["arrangements", "halved.rhai", "--same", same])
            .ended(0)
            .out_has("ways to fill  256")
            .out_has(&format!("different     {different}\n"));
    }
}

#[test]
fn filters_and_json() {
    let ran = bench().run(&["arrangements", "halved.rhai", "--group", "p4m", "--json"]);
    ran.ended(0)
        .out_has("\"schema\": \"plyloom-arrangements\"")
        .out_has("\"ways_to_fill\": \"256\"")
        .out_has("\"international\": \"p4mm\"");
    bench()
        .run(&[
            "arrangements",
            "halved.rhai",
            "--repeat",
            "4x4",
            "--sample",
            "--seed",
            "3",
            "--json",
        ])
        .ended(0)
        .out_has("\"seed\": 3");
}

#[test]
fn draws_them_side_by_side() {
    let bench = bench();
    bench
        .run(&[
            "arrangements",
            "halved.rhai",
            "--most",
            "4",
            "--out",
            "ways.svg",
        ])
        .ended(0);
    let svg = bench.read("ways.svg");
    assert!(svg.contains("Halved: arrangements of 2 x 2"));
    assert!(svg.contains("4: p"));
}

#[test]
fn says_what_does_not_work() {
    bench()
        .run(&["arrangements", "blocks.rhai", "--repeat", "2x3"])
        .ended(2)
        .err_has("a repeat of 2x4 would");
    bench()
        .run(&["arrangements", "halved.rhai", "--repeat", "5x5"])
        .ended(2)
        .err_has("too small");
    bench()
        .run(&["arrangements", "halved.rhai", "--group", "p5"])
        .ended(2)
        .err_has("p31m");
    bench()
        .run(&["arrangements", "halved.rhai", "--repeat", "9x9"])
        .ended(2)
        .err_has("2x3");
    bench()
        .run(&["arrangements", "halved.rhai", "--out", "halved.rhai"])
        .ended(2)
        .err_has("what to draw");
}

/// Two veneers alike: each rhombus in two ways, so 2^3 ways, of which turning and flipping leave 2.
#[test]
fn strips_inside_a_bar() {
    let bench = bench();
    bench
        .run(&[
            "arrangements",
            "blocks.rhai",
            "--bar",
            "block",
            "--out",
            "ways.svg",
        ])
        .ended(0)
        .out_has("ways to glue  8")
        .out_has("different     2 ")
        .out_has("1, 2 unchanged; 3 end for end");
    let svg = bench.read("ways.svg");
    assert_eq!(svg.matches("<text").count(), 3, "a title and two panels");
    let ran = bench.run(&[
        "arrangements",
        "blocks.rhai",
        "--bar",
        "block",
        "--same",
        "turns",
        "--json",
    ]);
    ran.ended(0);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["schema"], "plyloom-bar-ways");
    assert_eq!(
        (&json["ways_to_glue"], &json["different"]),
        (&8.into(), &4.into())
    );
    let bars = json["bars"].as_array().expect("bars").iter();
    let ways: u64 = bars.map(|b| b["ways"].as_u64().expect("a count")).sum();
    assert_eq!(ways, 8);
    bench
        .run(&["arrangements", "halved.rhai", "--bar", "whole"])
        .ended(2)
        .err_has("it has `halved`");
    bench
        .run(&[
            "arrangements",
            "halved.rhai",
            "--bar",
            "halved",
            "--matched",
        ])
        .ended(2);
}
