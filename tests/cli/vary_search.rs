//! `plyloom vary`: the best of many by a formula, more like favourites, and the page that grows meanwhile.

use crate::common::Bench;
use crate::vary::{bench, index, same};

const SWEEP: [&str; 8] = [
    "vary",
    "pair.rhai",
    "--seeds",
    "1..20",
    "--set",
    "size=18,20",
    "--set",
    "many=1..3",
];
const BEST: [&str; 4] = ["--best", "3", "--by", "variety*2 - trimmed + wood/1000"];

fn run(bench: &Bench, parts: &[&[&str]]) {
    bench.run(&parts.concat()).ended(0);
}

fn drawn(bench: &Bench, folder: &str) -> usize {
    bench.names(&format!("{folder}/panels")).len()
}

#[test]
fn only_the_best_are_drawn_whole_or_in_parts() {
    let bench = bench();
    run(&bench, &[&SWEEP, &BEST, &["--out", "whole"]]);
    let whole = index(&bench, "whole");
    assert_eq!(whole["variations"].as_array().map(Vec::len), Some(120));
    assert_eq!(whole["shown"]["best"], 3);
    assert_eq!(whole["shown"]["numbers"].as_array().map(Vec::len), Some(3));
    assert_eq!(drawn(&bench, "whole"), 12, "four times as many as are kept");
    assert!(
        bench
            .read("whole/sheet.html")
            .contains("the best 3 that differ most")
    );

    for part in ["1", "2", "3"] {
        let shard = format!("{part}/3");
        run(
            &bench,
            &[&SWEEP, &BEST, &["--shard", &shard, "--out", part]],
        );
    }
    let joined = ["vary", "--join", "1", "2", "3", "--out", "joined"];
    bench
        .run(&joined)
        .ended(1)
        .err_has("was measured and not drawn")
        .err_has("--best");
    run(&bench, &[&joined, &BEST]);
    for folder in ["whole", "joined"] {
        // Of the parts more are drawn than of the whole; what is shown is the same.
        assert_eq!(index(&bench, folder)["shown"], whole["shown"], "{folder}");
    }
    assert_eq!(
        bench.read("joined/sheet.html"),
        bench.read("whole/sheet.html")
    );
    assert_eq!(
        bench.read("joined/sheet.svg"),
        bench.read("whole/sheet.svg")
    );
}

#[test]
fn what_was_only_measured_is_drawn_when_it_is_wanted() {
    let bench = bench();
    let seeds = ["vary", "pair.rhai", "--seeds", "1..9", "--out"];
    run(&bench, &[&seeds, &["plain"]]);
    run(
        &bench,
        &[&seeds, &["best"], &["--best", "1", "--by", "variety"]],
    );
    assert!(drawn(&bench, "best") < 9);
    run(&bench, &[&seeds, &["best"]]);
    same(&bench, "plain", "best");
}

#[test]
fn more_like_favourites() {
    let bench = bench();
    run(&bench, &[&SWEEP]);
    bench
        .run(&["vary", "pair.rhai", "--like", "1,999"])
        .ended(1)
        .err_has("no panel of a variation 999");
    bench
        .run(&["vary", "pair.rhai", "--like", "1", "--of", "elsewhere"])
        .ended(1)
        .err_has("`elsewhere` has no variations");
    run(
        &bench,
        &[&["vary", "pair.rhai", "--like", "1,120", "--sample", "20"]],
    );
    let more = index(&bench, "pair-like-1-120");
    assert_eq!(more["sweep"]["sample"]["size"], 20);
    let typed = |name: &str| {
        let all = more["sweep"]["parameters"].as_array().expect("a list");
        all.iter()
            .find(|p| p["name"] == name)
            .expect("it is varied")["value"]
            .clone()
    };
    assert_eq!(typed("size"), "18,18.25,18.5,18.75,19,19.25,19.5,19.75,20");
    assert_eq!(typed("many"), "1,2,3");
    assert_eq!(more["variations"].as_array().map(Vec::len), Some(20));
}

#[test]
fn a_budget_alone_is_one_of_seeds() {
    let bench = bench();
    run(
        &bench,
        &[&["vary", "pair.rhai", "--budget", "7", "--out", "a"]],
    );
    run(
        &bench,
        &[&["vary", "pair.rhai", "--seeds", "1..7", "--out", "b"]],
    );
    assert_eq!(bench.read("a/sheet.svg"), bench.read("b/sheet.svg"));
}

#[cfg(unix)]
#[test]
fn pictures_can_be_looked_at_while_a_sweep_runs() {
    let slow = format!(
        "for i in 0..150_000 {{ let x = i * 2; }}\n{}",
        bench().read("pair.rhai")
    );
    let bench = Bench::new().file("slow.rhai", slow);
    let line = [
        "vary",
        "slow.rhai",
        "--seeds",
        "1..90",
        "--jobs",
        "1",
        "--out",
        "cut",
    ];
    let running = bench.start(&line);
    running.until("of 90 made");
    assert_eq!(running.interrupt(), 1);
    let page = bench.read("cut/sheet.html");
    assert!(page.contains(" of 90 so far"), "{page}");
    for file in ["panels/01.svg", "thumbnails/01.png", "panels/08.svg"] {
        assert!(page.contains(file), "{file}: {page}");
        assert!(bench.path("cut").join(file).is_file(), "{file}");
    }
    run(&bench, &[&line]);
    assert!(!bench.read("cut/sheet.html").contains("so far"));
}
