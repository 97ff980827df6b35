//! `plyloom template`: where the PDF goes, and what goes with what.

use crate::common::Bench;

const BLOCKS: &str = "let courses = param(\"courses\", 3, #{ from: 1, to: 40 });\n\
    let r = plywood(13, 18).rhombus(60);\n\
    let block = hexagon([r, r, r]).slice(\"block\");\n\
    panel(\"Blocks\", hexagons(block)).size(3, courses).fill(block);\n";

fn is_pdf(bench: &Bench, name: &str) -> bool {
    let bytes = std::fs::read(bench.path(name)).expect("a file");
    bytes.starts_with(b"%PDF-")
}

#[test]
fn it_goes_beside_the_recipe_or_where_it_is_told_to() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&["template", "a.rhai"]);
    ran.ended(0);
    assert!(is_pdf(&bench, "a.pdf"));
    assert!(
        ran.out.contains("a.pdf: 1 page at true scale\n"),
        "{}",
        ran.out
    );
    assert!(
        ran.out.contains("Print at 100 % (actual size)"),
        "{}",
        ran.out
    );
    let ran = bench.run(&[
        "template",
        "a.rhai",
        "--paper",
        "letter",
        "--set",
        "courses=12",
        "--margin",
        "1/2 in",
        "--out",
        "b.pdf",
    ]);
    ran.ended(0);
    assert!(is_pdf(&bench, "b.pdf"));
    assert!(
        ran.out
            .contains("2 pages at true scale, and one that shows how they lie")
    );
    for bad in ["b.svg", "a.rhai"] {
        bench.run(&["template", "a.rhai", "--out", bad]).ended(2);
    }
    for margin in ["1", "2 in", "-5", "wide"] {
        bench
            .run(&["template", "a.rhai", "--margin", margin])
            .ended(2);
    }
}

#[test]
fn a_pinned_choice_is_taken_like_a_recipe() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    bench
        .run(&["vary", "a.rhai", "--set", "courses=30..31", "--out", "many"])
        .ended(0);
    bench.run(&["pick", "many", "1", "--out", "tray"]).ended(0);
    let ran = bench.run(&["template", "tray.pick", "--out", "p.pdf"]);
    ran.ended(0);
    // 30 courses are far more than a page.
    assert!(ran.out.contains("pages at true scale"), "{}", ran.out);
}

#[test]
fn several_panels_get_a_file_each() {
    let two = format!("{BLOCKS}panel(\"Small one\", hexagons(block)).size(2, 2).fill(block);\n");
    let bench = Bench::new().file("a.rhai", two);
    bench
        .run(&["template", "a.rhai", "--out", "t.pdf"])
        .ended(0);
    assert!(is_pdf(&bench, "t-blocks.pdf") && is_pdf(&bench, "t-small-one.pdf"));
    bench
        .run(&["template", "a.rhai", "--out", "-"])
        .ended(2)
        .err_has("--panel NAME");
    bench
        .run(&[
            "template",
            "a.rhai",
            "--panel",
            "Small one",
            "--out",
            "s.pdf",
        ])
        .ended(0);
    assert!(is_pdf(&bench, "s.pdf"));
    bench
        .run(&["template", "a.rhai", "--panel", "moon"])
        .ended(2)
        .err_has("\"Small one\"");
}

#[test]
fn the_paper_that_is_saved_by_turning_it_is_told() {
    let wide = BLOCKS.replace("size(3, courses)", "size(6, 4)");
    let bench = Bench::new().file("a.rhai", wide);
    let ran = bench.run(&["template", "a.rhai"]);
    ran.ended(0);
    assert!(
        ran.out.contains("with --landscape: 1 in place of 2 pages"),
        "{}",
        ran.out
    );
}

#[test]
fn too_many_pages_are_told_with_what_to_try() {
    let large = BLOCKS.replace("size(3, courses)", "size(300, 200)");
    let bench = Bench::new().file("a.rhai", large);
    bench
        .run(&["template", "a.rhai"])
        .ended(1)
        .err_has("--paper a3");
}

#[test]
fn letters_that_stay_empty_boxes_are_told() {
    let named = |name: &str| BLOCKS.replace("\"Blocks\"", &format!("{name:?}"));
    let bench = Bench::new()
        .file("plain.rhai", named("Bl\u{f6}cke \u{3a9}"))
        .file("wood.rhai", named("\u{6728}\u{306e} wood \u{6728}"));
    let ran = bench.run(&["template", "plain.rhai"]);
    ran.ended(0);
    assert_eq!(ran.err, "");
    let ran = bench.run(&["template", "wood.rhai"]);
    ran.ended(0);
    assert_eq!(
        ran.err,
        "empty boxes stand for letters that the template's typeface lacks: \u{306e} \u{6728}\n"
    );
    assert!(is_pdf(&bench, "wood.pdf"));
}
