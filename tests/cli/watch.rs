//! `plyloom watch`: every way to save is seen, and nothing ends it but Ctrl-C.
//!
//! What a recipe prints tells which text a run saw. The tests wait for lines, never for a time.

#![cfg(unix)]

use crate::common::Bench;

fn says(word: &str) -> String {
    format!("print(\"saw {word}\");\n")
}

#[test]
fn saving_in_place_and_by_rename_draws_again() {
    let bench = Bench::new().file("a.rhai", says("one"));
    let watch = bench.start(&["watch", "a.rhai"]);
    watch.until("saw one");
    bench.write("a.rhai", says("two"));
    watch.until("saw two");
    for word in ["three", "four", "five"] {
        bench.save_by_rename("a.rhai", says(word));
        watch.until(&format!("saw {word}"));
        watch.until("a.rhai changed: ");
    }
    assert_eq!(watch.interrupt(), 0);
}

#[test]
fn deletion_and_return_are_survived() {
    let bench = Bench::new().file("a.rhai", says("one"));
    let watch = bench.start(&["watch", "a.rhai"]);
    watch.until("saw one");
    std::fs::remove_file(bench.path("a.rhai")).expect("a file to remove");
    watch.until("there is no file `a.rhai`");
    bench.write("a.rhai", says("two"));
    watch.until("saw two");
    assert_eq!(watch.interrupt(), 0);
}

#[test]
fn a_recipe_may_appear_after_the_start() {
    let bench = Bench::new();
    let watch = bench.start(&["watch", "a.rhai"]);
    watch.until("there is no file `a.rhai`");
    bench.write("a.rhai", says("one"));
    watch.until("saw one");
    assert_eq!(watch.interrupt(), 0);
}

#[test]
fn a_broken_recipe_is_told_and_mended() {
    let bench = Bench::new().file("a.rhai", "let x = ;\n");
    let watch = bench.start(&["watch", "a.rhai"]);
    watch.until("a.rhai:1:9");
    watch.until("not drawn");
    bench.save_by_rename("a.rhai", says("one"));
    watch.until("saw one");
    assert_eq!(watch.interrupt(), 0);
}

#[test]
fn the_last_good_drawing_stays_until_the_next() {
    let tiles = |count: u32| {
        format!(
            "let tile = bar(plywood(13, 18).square()).slice(\"square\");\n\
             panel(\"One\", squares(tile)).size({count}, 1).fill(tile);\n"
        )
    };
    let bench = Bench::new().file("a.rhai", tiles(3));
    let watch = bench.start(&["watch", "a.rhai"]);
    watch.until("drew a.svg, 3 tiles, in ");
    let good = bench.read("a.svg");
    bench.save_by_rename("a.rhai", "let x = ;\n");
    watch.until("the last good picture stays");
    assert_eq!(bench.read("a.svg"), good);
    bench.save_by_rename("a.rhai", tiles(5));
    watch.until("a.rhai changed: drew a.svg, 5 tiles, in ");
    assert_ne!(bench.read("a.svg"), good);
    assert_eq!(watch.interrupt(), 0);
}

#[test]
fn each_run_is_a_line_of_json_when_asked_for() {
    let recipe = "let tile = bar(plywood(13, 18).square()).slice(\"square\");\n\
                  panel(\"One\", squares(tile)).size(3, 1).fill(tile);\n";
    let bench = Bench::new().file("a.rhai", recipe);
    let watch = bench.start(&["watch", "a.rhai", "--json"]);
    let lines = watch.until("\"schema\"");
    let line = lines.last().expect("a line");
    let tally: serde_json::Value = serde_json::from_str(line).expect("JSON on one line");
    assert_eq!(tally["panels"][0]["tiles"]["all"], 3);
    assert_eq!(watch.interrupt(), 0);
}

#[test]
fn a_change_of_a_module_draws_again() {
    let bench = Bench::new()
        .file(
            "a.rhai",
            "import \"rules/m\" as m;\nprint(`saw ${m::word()}`);\n",
        )
        .file("rules/m.rhai", "fn word() { \"one\" }\n");
    let watch = bench.start(&["watch", "a.rhai"]);
    watch.until("saw one");
    bench.save_by_rename("rules/m.rhai", "fn word() { \"two\" }\n");
    watch.until("saw two");
    watch.until("m.rhai changed: ");
    assert_eq!(watch.interrupt(), 0);
}

#[test]
fn a_module_that_was_missing_may_appear() {
    let bench = Bench::new().file(
        "a.rhai",
        "import \"rules/m\" as m;\nprint(`saw ${m::word()}`);\n",
    );
    let watch = bench.start(&["watch", "a.rhai"]);
    watch.until("not drawn");
    bench.write("rules/m.rhai", "fn word() { \"one\" }\n");
    watch.until("saw one");
    assert_eq!(watch.interrupt(), 0);
}

#[test]
fn ctrl_c_ends_a_long_run_too() {
    let bench = Bench::new().file("a.rhai", "print(\"saw it\");\nloop { }\n");
    let watch = bench.start(&["watch", "a.rhai", "--max-operations", "1_000_000_000_000"]);
    watch.until("saw it");
    assert_eq!(watch.interrupt(), 0);
}

#[test]
fn a_picture_on_the_standard_output_is_wrong_usage() {
    Bench::new()
        .file("a.rhai", "")
        .run(&["watch", "a.rhai", "--out", "-"])
        .ended(2)
        .err_has("--out");
}

/// Light, finish and objects are looked at in `watch` as they are in `preview`.
#[test]
fn a_watched_picture_is_looked_at_like_a_preview() {
    let recipe = "let tile = bar(plywood(13, 18).square()).slice(\"square\");\n\
                  panel(\"One\", squares(tile)).size(4, 3).fill(tile);\n";
    let bench = Bench::new().file("a.rhai", recipe);
    let words = ["--light", "90", "--finish", "oil", "--object", "round 30"];
    let line = |command| -> Vec<&str> {
        [command, "a.rhai", "--out"]
            .into_iter()
            .chain([if command == "watch" { "w.svg" } else { "p.svg" }])
            .chain(words)
            .collect()
    };
    let watch = bench.start(&line("watch"));
    watch.until("drew w.svg");
    assert_eq!(watch.interrupt(), 0);
    bench.run(&line("preview")).ended(0);
    let watched = bench.read("w.svg");
    assert!(watched.contains("<circle"));
    assert_eq!(watched, bench.read("p.svg"));
}
