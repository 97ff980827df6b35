//! `plyloom new`: a first recipe, and nothing overwritten.

use crate::common::Bench;

#[test]
fn a_recipe_is_written_and_the_next_commands_are_named() {
    let bench = Bench::new();
    let ran = bench.run(&["new", "first"]);
    ran.ended(0)
        .out_has("plyloom preview first.rhai")
        .out_has("plyloom watch first.rhai --page")
        .out_has("plyloom new --like herringbone|chevron|checker|triangles|by-hand");
    assert!(bench.read("first.rhai").starts_with("// A first panel"));
    assert_eq!(bench.names("."), ["first.rhai"]);
}

#[test]
fn the_recipe_draws_at_once() {
    let bench = Bench::new();
    bench.run(&["new", "first"]).ended(0);
    let ran = bench.run(&["preview", "first.rhai"]);
    ran.ended(0).out_has("420.0 x 300.0 mm");
    assert_eq!(ran.err, "");
    assert!(bench.read("first.svg").starts_with("<svg "));
}

#[test]
fn what_is_there_stays() {
    let bench = Bench::new().file("mine.rhai", "precious");
    bench
        .run(&["new", "mine"])
        .ended(1)
        .err_has("`mine.rhai` already exists and was not changed")
        .err_has("help:");
    assert_eq!(bench.read("mine.rhai"), "precious");
}

#[cfg(unix)]
#[test]
fn a_link_to_nowhere_is_not_written_through() {
    let bench = Bench::new();
    std::os::unix::fs::symlink("elsewhere", bench.path("mine.rhai")).unwrap();
    bench
        .run(&["new", "mine"])
        .ended(1)
        .err_has("already exists");
    assert_eq!(bench.names("."), ["mine.rhai"]);
}

#[test]
fn a_missing_folder_is_named() {
    Bench::new()
        .run(&["new", "not/there/first"])
        .ended(1)
        .err_has("there is no folder `not/there`")
        .err_has("mkdir -p not/there");
}

#[test]
fn a_folder_alone_is_no_name() {
    Bench::new()
        .run(&["new", "in/"])
        .ended(2)
        .err_has("needs a name");
}

#[test]
fn without_a_name_the_first_free_one_is_taken() {
    let bench = Bench::new();
    bench.run(&["new"]).ended(0).out_has("wrote my-panel.rhai");
    bench
        .run(&["new", "--like", "herringbone"])
        .ended(0)
        .out_has("plyloom watch my-panel-2.rhai --page");
    assert_eq!(bench.names("."), ["my-panel-2.rhai", "my-panel.rhai"]);
}

#[test]
fn each_of_the_five_kinds_draws_at_once_and_is_another_panel() {
    let mut pictures = std::collections::BTreeSet::new();
    for kind in ["blocks", "herringbone", "chevron", "checker", "triangles"] {
        let bench = Bench::new();
        bench.run(&["new", "mine", "--like", kind]).ended(0);
        let text = bench.read("mine.rhai");
        assert!(text.contains("plyloom watch THIS-FILE"), "{kind}");
        let ran = bench.run(&["preview", "mine.rhai", "--bare", "--no-recipe"]);
        ran.ended(0).out_has("try next");
        assert_eq!(ran.err, "", "{kind}");
        assert!(pictures.insert(bench.read("mine.svg")), "{kind}");
    }
    Bench::new()
        .run(&["new", "mine", "--like", "quilt"])
        .ended(2)
        .err_has("blocks, herringbone, chevron, checker, triangles");
}

#[test]
fn the_program_alone_says_what_to_do_next() {
    let bench = Bench::new();
    bench
        .run(&[])
        .ended(0)
        .out_has("plyloom new  ")
        .out_has("plyloom watch my-panel.rhai --page")
        .out_has("plyloom --help");
    let bench = bench.file("b tray.rhai", "").file("lid.rhai", "");
    bench
        .run(&[])
        .ended(0)
        .out_has("Recipes in this folder: 'b tray.rhai', lid.rhai")
        .out_has("plyloom watch 'b tray.rhai' --page");
}
