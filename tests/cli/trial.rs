//! `plyloom trial`: from a recipe and what was seen to what to change on the saw.

use crate::common::Bench;

const BLOCKS: &str = "let sheet = plywood(13, 18);\n\
    let block = hexagon([sheet.rhombus(60), sheet.rhombus(60), sheet.rhombus(60)]).slice(\"block\");\n\
    panel(\"Blocks\", hexagons(block)).size(3, 2).fill(block);\n";

#[test]
fn a_gap_and_a_proud_point_tell_blade_and_fence() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&[
        "trial",
        "a.rhai",
        "--bar",
        "block",
        "--gap-outside",
        "0.4",
        "--proud",
        "0.2",
        "--proud-edge",
        "face",
    ]);
    ran.ended(0);
    // 0.4 = 20.785 * sin(3 d): d = 0.368 degrees; see tests/plan/trial.rs for the fence.
    for part in [
        "Trial bar \"block\"",
        "tilt it farther from vertical by 0.37\u{b0}",
        "move it towards the blade by 0.12 mm",
        "Guard and riving knife in place",
    ] {
        assert!(ran.out.contains(part), "{part}\n{}", ran.out);
    }
}

#[test]
fn readings_in_inches_that_contradict_are_said_to() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&[
        "trial",
        "a.rhai",
        "--gap-outside",
        "1/64 in",
        "--gap-centre",
        "0.4",
    ]);
    ran.ended(0);
    assert!(ran.out.contains("contradict each other"), "{}", ran.out);
}

#[test]
fn what_does_not_go_together_is_wrong_usage() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    bench
        .run(&["trial", "a.rhai"])
        .ended(2)
        .err_has("--gap-outside");
    bench
        .run(&["trial", "a.rhai", "--bar", "moon", "--gap-outside", "0.4"])
        .ended(2)
        .err_has("its bars are \"block\"");
    bench
        .run(&["trial", "a.rhai", "--gap-outside", "-0.4"])
        .ended(2);
    bench
        .run(&["trial", "a.rhai", "--proud-edge", "face"])
        .ended(2)
        .err_has("--proud");
}

#[test]
fn a_shop_in_inches_is_told_both_ways() {
    let bench = Bench::new()
        .file("a.rhai", BLOCKS)
        .file("shop.toml", "units = \"in\"\n");
    let ran = bench.run(&[
        "trial",
        "a.rhai",
        "--shop",
        "shop.toml",
        "--gap-outside",
        "0.4",
        "--proud",
        "0.2",
        "--proud-edge",
        "face",
    ]);
    ran.ended(0);
    // 0.12 mm / 25.4 = 0.0047 in.
    assert!(
        ran.out
            .contains("move it towards the blade by 0.005 in (0.12 mm)"),
        "{}",
        ran.out
    );
    bench
        .run(&[
            "trial",
            "a.rhai",
            "--shop",
            "none.toml",
            "--gap-outside",
            "0.4",
        ])
        .ended(1)
        .err_has("--new-shop none.toml");
}

/// 17.827 / sin 60 = 20.585; the flat of a face 20.785, over its corners 31.177.
#[test]
fn a_measured_sheet_and_a_caliper_that_lies_either_way() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    bench
        .run(&["trial", "a.rhai", "--thickness", "17.827"])
        .ended(0)
        .out_has("fence at 20.78 mm with the blade tilted 30.0\u{b0} moves: set it to 20.58 mm");
    bench
        .run(&["trial", "a.rhai", "--width", "20.8"])
        .ended(2)
        .err_has("20.785 mm along the flat")
        .err_has("--across corners");
    bench
        .run(&["trial", "a.rhai", "--width", "31.2", "--across", "corners"])
        .ended(0)
        .out_has("31.18 mm over its sharp corners");
}
