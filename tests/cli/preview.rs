//! `plyloom preview`: panels are drawn and counted; what goes wrong is told with its place, and
//! nothing is half done.

use std::fs;

use crate::common::Bench;

/// Two panels of squares of 18 mm, and one parameter.
const TWO: &str = r#"
let columns = param("columns", 4, #{ from: 1, to: 50 });
let tile = bar(plywood(13, 18).square()).slice("square");
panel("Front (left)", squares(tile)).size(columns, 2).fill(tile);
panel("Back", squares(tile)).finished(45, 36).fill(sequence([tile, tile.rotate(90)], "reading"));
"#;

/// One panel of them.
const ONE: &str = r#"
let tile = bar(plywood(13, 18).square()).slice("square");
panel("One", squares(tile)).size(3, 2).fill(tile);
"#;

/// A recipe that never works.
const BROKEN: &str = "let x = ;\n";

#[test]
fn a_panel_is_drawn_beside_its_recipe_and_counted() {
    let bench = Bench::new().file("in/one.rhai", ONE);
    let ran = bench.run(&["preview", "in/one.rhai"]);
    ran.ended(0)
        .out_has("One\n")
        .out_has("54.0 x 36.0 mm (2.13 x 1.42 in)")
        .out_has("6, all whole")
        .out_has("picture   in/one.svg");
    assert_eq!(ran.err, "");
    assert_eq!(bench.names("in"), ["one.rhai", "one.svg"]);
    let svg = bench.read("in/one.svg");
    roxmltree::Document::parse(&svg).expect("an XML document");
    bench
        .run(&["preview", "in/one.rhai", "--out", "again.svg"])
        .ended(0);
    assert_eq!(
        svg,
        bench.read("again.svg"),
        "the same recipe gives the same bytes"
    );
}

#[test]
fn several_panels_get_a_file_each() {
    let bench = Bench::new().file("two.rhai", TWO).file("out/.keep", "");
    bench
        .run(&["preview", "two.rhai", "--out", "out/"])
        .ended(0);
    assert_eq!(
        bench.names("out"),
        [".keep", "two-back.svg", "two-front-left.svg"]
    );
    bench
        .run(&["preview", "two.rhai", "--out", "-"])
        .ended(2)
        .err_has("makes 2 panels");
}

#[test]
fn the_tally_is_json_too() {
    let bench = Bench::new().file("two.rhai", TWO);
    let ran = bench.run(&[
        "preview",
        "two.rhai",
        "--json",
        "--seed",
        "9",
        "--set",
        "columns=5",
    ]);
    ran.ended(0);
    let tally: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(tally["schema"], "plyloom-tally");
    assert_eq!(tally["version"], 1);
    assert_eq!(tally["recipe"], "two.rhai");
    assert_eq!(tally["seed"], 9);
    assert_eq!(tally["parameters"][0]["value"], 5);
    let front = &tally["panels"][0];
    assert_eq!(front["width_mm"], 90.0);
    assert_eq!(front["trim"], false);
    assert_eq!(front["tiles"]["all"], 10);
    // 5 columns and 2 courses: 4 joints in each course, 5 between them.
    assert_eq!(front["joints"]["all"], 13);
    let back = &tally["panels"][1];
    assert_eq!(back["picture"], "two-back.svg");
    assert_eq!(back["net_area_mm2"], 45.0 * 36.0);
    assert_eq!(back["kinds"][0]["name"], "square");
    assert_eq!(back["kinds"][0]["poses"][1]["turn"], 90.0);
}

#[test]
fn pictures_of_pixels_are_as_wide_as_asked() {
    let bench = Bench::new().file("one.rhai", ONE);
    bench
        .run(&["preview", "one.rhai", "--out", "x.png", "--width", "240"])
        .ended(0);
    let png = fs::read(bench.path("x.png")).expect("a picture");
    // Width in the header: bytes 16 to 19, most significant first (PNG, third edition, 11.2.1).
    assert_eq!(png[16..20], 240_u32.to_be_bytes());
}

#[test]
fn a_picture_of_many_tiles_takes_little_memory() {
    let recipe = "let light = bar(plywood(3, 18).rip(18)).slice(\"light\");
        panel(\"Big\", squares(light)).size(436, 436).fill(light);";
    let bench = Bench::new().file("big.rhai", recipe);
    bench
        .run(&[
            "preview",
            "big.rhai",
            "--out",
            "big.png",
            "--max-tiles",
            "200000",
        ])
        .ended(0)
        .out_has("190096");
    let png = fs::read(bench.path("big.png")).expect("a picture");
    assert_eq!(png[16..20], 1600_u32.to_be_bytes());
}

#[test]
fn the_standard_output_takes_one_drawing_and_nothing_else() {
    let bench = Bench::new().file("one.rhai", ONE);
    let ran = bench.run(&["preview", "one.rhai", "--out", "-"]);
    ran.ended(0).err_has("6, all whole");
    roxmltree::Document::parse(&ran.out).expect("nothing but an XML document");
    assert_eq!(bench.names("."), ["one.rhai"]);
}

#[test]
fn a_recipe_that_breaks_leaves_the_former_drawing() {
    let bench = Bench::new().file("one.rhai", ONE);
    bench.run(&["preview", "one.rhai"]).ended(0);
    let before = bench.read("one.svg");
    bench.write("one.rhai", BROKEN);
    bench.run(&["preview", "one.rhai"]).ended(1);
    assert_eq!(bench.read("one.svg"), before);
}

#[test]
fn a_place_that_cannot_be_written_to_is_named() {
    let bench = Bench::new().file("one.rhai", ONE).file("dir.svg/x", "");
    bench
        .run(&["preview", "one.rhai", "--out", "no/such/x.svg"])
        .ended(1)
        .err_has("there is no folder `no/such`")
        .err_has("mkdir -p no/such");
    bench
        .run(&["preview", "one.rhai", "--out", "one.rhai/x.svg"])
        .ended(1)
        .err_has("there is no folder `one.rhai`");
    bench
        .run(&[
            "preview", "one.rhai", "--out", "one.rhai", "--format", "svg",
        ])
        .ended(2)
        .err_has("is the recipe itself");
    assert_eq!(bench.read("one.rhai"), ONE);
}

#[cfg(target_os = "linux")]
#[test]
fn a_device_that_is_full_is_named() {
    let bench = Bench::new().file("one.rhai", ONE);
    bench
        .run(&[
            "preview",
            "one.rhai",
            "--out",
            "/dev/full",
            "--format",
            "svg",
        ])
        .ended(1)
        .err_has("no room left to write `/dev/full`");
}

#[test]
fn a_name_cannot_steer_the_terminal() {
    let recipe = ONE.replace("\"One\"", "\"One \\x1b[31m\\r\"");
    let bench = Bench::new().file("one.rhai", recipe);
    let ran = bench.run(&["preview", "one.rhai"]);
    ran.ended(0);
    let shown = format!("{}{}", ran.out, ran.err);
    assert!(
        !shown.contains(|c: char| c.is_control() && c != '\n'),
        "{ran:#?}"
    );
}

#[test]
fn a_mistake_is_told_with_file_line_column_and_source() {
    let bench = Bench::new().file(
        "in/a.rhai",
        "let a = 1;\nlet b = [\"é\", plywod(13, 18)];\n",
    );
    let ran = bench.run(&["preview", "in/a.rhai"]);
    ran.ended(1)
        .err_has("in/a.rhai:2:15")
        .err_has("2 | let b = [\"é\", plywod(13, 18)];")
        .err_has("plywood");
    assert_eq!(ran.out, "");
    assert_eq!(bench.names("in"), ["a.rhai"]);
}

#[test]
fn a_mistake_in_a_module_is_told_at_the_call_and_then_with_its_own_line() {
    Bench::new()
        .file("a.rhai", "import \"rules/m\" as m;\nm::f(0);\n")
        .file("rules/m.rhai", "fn f(n) {\n  sqrt(n - 1)\n}\n")
        .run(&["preview", "a.rhai"])
        .ended(1)
        .err_has("[a.rhai:2:4]")
        .err_has("2 | m::f(0);")
        .err_has("`f` fails, with what it gets here")
        .err_has("  inside it at rules/m.rhai:2:3\n    2 |   sqrt(n - 1)\n");
}

#[test]
fn a_value_that_the_recipe_does_not_take_is_wrong_usage() {
    let bench = Bench::new().file("a.rhai", "let n = param(\"courses\", 3);\n");
    bench
        .run(&["preview", "a.rhai", "--set", "course=4"])
        .ended(2)
        .err_has("did you mean `courses`?");
    bench
        .run(&["preview", "a.rhai", "--set", "courses=many"])
        .ended(2)
        .err_has("courses");
}

#[test]
fn bounds_hold_from_the_command_line() {
    let bench = Bench::new().file("a.rhai", "loop { }\n");
    bench
        .run(&["preview", "a.rhai", "--max-operations", "1000"])
        .ended(1)
        .err_has("--max-operations");
    bench
        .run(&[
            "preview",
            "a.rhai",
            "--max-operations",
            "1_000_000_000_000",
            "--max-seconds",
            "0.2",
        ])
        .ended(1)
        .err_has("--max-seconds");
}

#[test]
fn what_a_recipe_prints_is_no_part_of_the_result() {
    let ran = Bench::new()
        .file("a.rhai", "print(\"counting \\x1b[31m\");\n")
        .run(&["preview", "a.rhai", "--json"]);
    ran.err_has("counting");
    assert_eq!(ran.out, "");
    assert!(!ran.err.contains('\u{1b}'), "{ran:#?}");
}

#[cfg(unix)]
#[test]
fn a_recipe_reads_nothing_outside_its_folder() {
    let bench = Bench::new()
        .file("secret.rhai", "fn f() { 1 }\n")
        .file("in/a.rhai", "import \"../secret\" as s;\n")
        .file("in/b.rhai", "import \"leak\" as s;\n");
    std::os::unix::fs::symlink("../secret.rhai", bench.path("in/leak.rhai")).expect("a link");
    bench
        .run(&["preview", "in/a.rhai"])
        .ended(1)
        .err_has("in/a.rhai:1:8")
        .err_has("own folder");
    bench
        .run(&["preview", "in/b.rhai"])
        .ended(1)
        .err_has("a link leads out of the recipe's folder");
}

/// A preview says in a line what the saw cannot make safely; strips of 1 mm break up at the blade.
#[test]
fn parts_that_cannot_be_ripped_safely_are_told_in_a_line() {
    let thin = "let s = laminate([plywood(9, 12)]);\n\
        let a = stack([s.rip(1), s.rip(30)]).slice(\"a\");\npanel(\"T\").place(a, 0, 0);\n";
    let bench = Bench::new().file("thin.rhai", thin).file("one.rhai", ONE);
    let told = "there is no safe way to cut this: rectangle (bar \"a\" part 1): strips of 1 mm are too thin";
    bench.run(&["preview", "thin.rhai"]).ended(0).out_has(told);
    let ran = bench.run(&["preview", "one.rhai"]);
    ran.ended(0);
    assert!(!ran.out.contains("no safe way"), "{}", ran.out);
}
