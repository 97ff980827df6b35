//! Tiles laid by hand, in the commands that read a panel.

use crate::common::Bench;

const LAID: &str = "let light = bar(plywood(13, 18).square()).slice(\"light\");\n\
     let dark = bar(laminate([veneer(0.6, \"walnut\"), plywood(13, 16.8), veneer(0.6, \"walnut\")]).square()).slice(\"dark\");\n\
     panel(\"p\", squares(light)).size(param(\"wide\", 4, #{ from: 2, to: 6 }), 2).fill(light)\n\
     \x20   .lay([[1, 0, dark], [3, 1, dark.rotate(90)]]);\n";

#[test]
fn laid_tiles_are_in_preview_check_plan_and_template() {
    let bench = Bench::new().file("laid.rhai", LAID);
    let run = |words: &[&str]| {
        let ran = bench.run(words);
        assert_eq!(ran.code, 0, "{words:?}: {}", ran.err);
        ran
    };
    let whole = run(&["preview", "laid.rhai"]);
    assert_eq!(whole.out.matches("   dark ").count(), 2, "{}", whole.out);
    // A narrower panel tells of the cell that it lacks.
    let narrow = run(&["preview", "laid.rhai", "--set", "wide=3"]);
    assert_eq!(narrow.out.matches("   dark ").count(), 1, "{}", narrow.out);
    assert!(
        narrow.err.contains("1 laid tile lies outside"),
        "{}",
        narrow.err
    );
    // Each width is tried, and none is a fault.
    let checked = run(&["check", "laid.rhai"]);
    assert!(
        checked.out.contains("1 warning, 27 runs"),
        "{}",
        checked.out
    );
    let plan = run(&["plan", "laid.rhai"]);
    assert!(
        plan.out.contains("dark: 3 = 2 whole + 0 trimmed + 1 spare"),
        "{}",
        plan.out
    );
    run(&["template", "laid.rhai", "--out", "laid.pdf"]);
    run(&["plan", "laid.rhai", "--out", "laid.html"]);
    let page = bench.read("laid.html");
    assert!(page.contains("dark"), "the glue-up map names it");
}
