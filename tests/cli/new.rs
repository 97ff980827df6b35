//! `plyloom new`: a first recipe, and nothing overwritten.

use crate::common::Bench;

#[test]
fn a_recipe_is_written_and_the_next_commands_are_named() {
    let bench = Bench::new();
    let ran = bench.run(&["new", "first"]);
    ran.ended(0)
        .out_has("plyloom preview first.rhai")
        .out_has("plyloom watch first.rhai");
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
        .err_has("`mine.rhai` is there already and is left as it is")
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
        .err_has("is there already");
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
    Bench::new().run(&["new"]).ended(2);
}
