//! `plyloom gallery`: a folder of recipes on one page.

use crate::common::Bench;

const PANEL: &str = "let b = bar(plywood(13, 36).square()).slice(\"b\");\n\
                     panel(\"p\", squares(b)).size(3, 2).fill(b);";

#[test]
fn recipes_are_shown_and_modules_left_out() {
    let two = format!("{PANEL}\npanel(\"q: 2\", squares(b)).size(1, 1).fill(b);");
    let told = format!(
        "about(#{{ title: \"A <b>\", purpose: \"to `try`\", try_next: \"--seed 2\", licence: \"MIT\" }});\n{PANEL}"
    );
    let bench = Bench::new()
        .file("folder/one.rhai", told)
        .file("folder/two.rhai", two)
        .file("folder/rule.rhai", "fn one() { 1 }");
    bench
        .run(&["gallery", "folder", "--title", "Mine & yours"])
        .ended(0)
        .out_has("shows 2 of 3 recipes in 3 pictures");
    assert_eq!(
        bench.names("folder/pictures"),
        ["one.svg", "two-p.svg", "two-q-2.svg"]
    );
    let page = bench.read("folder/index.html");
    for there in [
        "<h1>Mine &amp; yours</h1>",
        "A &lt;b&gt;",
        "to <code>try</code>",
        "108 x 72 mm, 6 tiles",
        "--seed 2",
        "MIT",
        "href=\"./one.rhai\"",
        "src=\"./pictures/two-q-2.svg\"",
    ] {
        assert!(page.contains(there), "no {there} in {page}");
    }
    assert!(!page.contains("rule.rhai"));
}

#[test]
fn the_same_recipes_give_the_same_page_in_another_folder() {
    let bench = Bench::new().file("a/x.rhai", PANEL);
    bench.run(&["gallery", "a", "--out", "b"]).ended(0);
    bench.run(&["gallery", "a"]).ended(0);
    assert_eq!(bench.read("a/index.html"), bench.read("b/index.html"));
    assert_eq!(bench.names("b"), ["index.html", "pictures"]);
}

#[test]
fn pictures_open_live_where_that_is_wanted() {
    let bench = Bench::new().file("a/x.rhai", PANEL);
    let link = |arguments: &[&str]| {
        bench.run(&[&["gallery", "a"], arguments].concat()).ended(0);
        let page = bench.read("a/index.html");
        let (_, rest) = page
            .split_once("class=\"picture\" href=\"")
            .expect("a picture");
        rest.split_once('"').expect("an address").0.to_owned()
    };
    assert_eq!(link(&[]), "./pictures/x.svg");
    assert!(
        link(&["--live", "https://example.org/p.html#old"])
            .starts_with("https://example.org/p.html#p1.")
    );
    let link = link(&["--live"]);
    assert!(link.starts_with("plyloom.html#p1."), "{link}");
    bench.run(&["unpack", &link, "--out", "theirs"]).ended(0);
    assert_eq!(bench.read("theirs/x.rhai"), PANEL);
}

#[test]
fn a_recipe_that_fails_is_named_and_nothing_is_written() {
    let bench = Bench::new()
        .file("good.rhai", PANEL)
        .file("wrong.rhai", "let x = ;");
    bench
        .run(&["gallery", "."])
        .ended(1)
        .err_has("wrong.rhai:1:9")
        .err_has("1 of 2 recipes cannot be drawn")
        .err_has("nothing was written");
    assert_eq!(bench.names("."), ["good.rhai", "wrong.rhai"]);
}

#[test]
fn a_folder_without_patterns_is_told() {
    Bench::new()
        .file("rule.rhai", "fn one() { 1 }")
        .run(&["gallery", "."])
        .ended(1)
        .err_has("no recipe in `.` that makes a panel");
    Bench::new()
        .run(&["gallery", "nowhere"])
        .ended(1)
        .err_has("nowhere");
}
