//! `plyloom vary`: sweeps, sheets, what is alike, parts, interruptions, slips, cost.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::common::{Bench, names};
use serde_json::Value;

/// Two tiles side by side, each light or dark by chance: four layouts, two of them the same turned.
const PAIR: &str = "let size = param(\"size\", 18, #{ unit: \"mm\", from: 10, to: 40 });
let many = param(\"many\", 2, #{ from: 1, to: 3 });
let light = bar(plywood(3, size).rip(size)).slice(\"light\");
let dark = bar(plywood(3, size, \"walnut\").rip(size)).slice(\"dark\");
panel(\"Pair\", squares(light)).size(many, 1).fill(random(\"pair\", [light, dark]));
";

pub(super) fn bench() -> Bench {
    Bench::new().file("pair.rhai", PAIR)
}

pub(super) fn index(bench: &Bench, folder: &str) -> Value {
    serde_json::from_str(&bench.read(&format!("{folder}/index.json"))).expect("JSON")
}

/// Every file of a folder with its bytes, but for the lock.
fn bytes(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    for name in names(folder) {
        let path = folder.join(&name);
        if path.is_dir() {
            let inner = bytes(&path).into_iter();
            all.extend(inner.map(|(inner, b)| (format!("{name}/{inner}"), b)));
        } else if name != ".plyloom-lock" {
            all.insert(name, fs::read(path).expect("a file"));
        }
    }
    all
}

/// Two folders hold the same files.
#[track_caller]
pub(super) fn same(bench: &Bench, one: &str, other: &str) {
    let (one, other) = (bytes(&bench.path(one)), bytes(&bench.path(other)));
    assert_eq!(
        one.keys().collect::<Vec<_>>(),
        other.keys().collect::<Vec<_>>()
    );
    for (name, bytes) in &one {
        assert!(other[name] == *bytes, "{name} differs");
    }
}

#[test]
fn every_combination_is_drawn_counted_and_shown() {
    let bench = bench();
    bench
        .run(&[
            "vary",
            "pair.rhai",
            "--seeds",
            "1..6",
            "--set",
            "size=18,20..30..10",
        ])
        .ended(0)
        .out_has("18 variations")
        .out_has("plyloom pick pair-variations 1");
    assert_eq!(
        bench.names("pair-variations"),
        [
            ".plyloom-lock",
            "index.json",
            "panels",
            "sheet.html",
            "sheet.png",
            "sheet.svg",
            "thumbnails"
        ]
    );
    let drawings = bench.names("pair-variations/panels");
    assert_eq!(drawings.len(), 18);
    assert_eq!(drawings[0], "01.svg");
    let index = index(&bench, "pair-variations");
    assert_eq!(index["schema"], "plyloom-variations");
    assert_eq!(index["recipe"]["path"], "../pair.rhai");
    let eighth = &index["variations"][7];
    assert_eq!(eighth["number"], 8);
    assert_eq!(eighth["seed"], 2);
    assert_eq!(eighth["set"][0]["value"], "20");
    let made = &eighth["result"]["made"];
    assert_eq!(made["panels"][0]["width_mm"], 40.0);
    assert_eq!(made["parameters"][0]["name"], "size");
    assert!(made["measures"]["longest"].is_number());
    let tiles: u64 = made["panels"][0]["tally"]
        .as_array()
        .expect("rows")
        .iter()
        .map(|row| row["whole"].as_u64().expect("a count"))
        .sum();
    assert_eq!(tiles, 2);
}

#[test]
fn the_same_turned_is_shown_once_and_counted() {
    let bench = bench();
    let shown = |alike: &str| {
        bench
            .run(&["vary", "pair.rhai", "--seeds", "1..40", "--alike", alike])
            .ended(0);
        index(&bench, "pair-variations")
    };
    // Light and light, light and dark, dark and dark; with 40 seeds all of them come (common
    // sense: each is missed with a chance of 0.75^40, about 1 in 100,000).
    assert_eq!(
        shown("lying")["shown"]["numbers"].as_array().map(Vec::len),
        Some(4)
    );
    let turned = shown("turned");
    assert_eq!(turned["shown"]["numbers"].as_array().map(Vec::len), Some(3));
    let times: u64 = turned["variations"]
        .as_array()
        .expect("variations")
        .iter()
        .map(|v| v["result"]["made"]["times"].as_u64().expect("a count"))
        .sum();
    assert_eq!(times, 40);
    assert!(bench.read("pair-variations/sheet.html").contains("times"));
}

#[test]
fn parts_joined_are_the_same_as_the_whole() {
    let bench = bench();
    // One value fails, so that failures are joined too.
    let sweep = [
        "vary",
        "pair.rhai",
        "--seeds",
        "1..7",
        "--set",
        "size=18,99,20",
    ];
    let with = |more: &[&str]| {
        let all: Vec<&str> = sweep.iter().chain(more).copied().collect();
        bench.run(&all)
    };
    with(&["--out", "whole", "--sort", "variety"])
        .ended(0)
        .out_has("7 failed");
    for part in ["1", "2", "3"] {
        let shard = format!("{part}/3");
        with(&["--shard", &shard, "--out", part]).ended(0);
    }
    bench
        .run(&["vary", "--join", "3", "1", "--out", "some"])
        .ended(1)
        .err_has("1 of 3 parts are missing: 2/3");
    bench
        .run(&[
            "vary", "--join", "3", "1", "2", "--out", "joined", "--sort", "variety",
        ])
        .ended(0);
    same(&bench, "whole", "joined");
    bench
        .run(&["vary", "--join", "1", "2", "2", "--out", "x"])
        .ended(1)
        .err_has("there twice");
    bench
        .run(&["vary", "--join", "1", "whole", "--out", "x"])
        .ended(1)
        .err_has("a whole sweep");
    with(&["--shard", "2/3", "--sample", "9", "--out", "other"]).ended(0);
    bench
        .run(&["vary", "--join", "1", "other", "3", "--out", "x"])
        .ended(1)
        .err_has("different sweeps");
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let bench = bench();
    for jobs in ["1", "7"] {
        let out = format!("jobs-{jobs}");
        bench
            .run(&[
                "vary",
                "pair.rhai",
                "--seeds",
                "1..12",
                "--jobs",
                jobs,
                "--out",
                &out,
            ])
            .ended(0);
    }
    same(&bench, "jobs-1", "jobs-7");
}

#[test]
fn a_run_goes_on_where_it_stopped() {
    let bench = bench();
    let run = |out: &str| bench.run(&["vary", "pair.rhai", "--seeds", "1..9", "--out", out]);
    run("whole").ended(0);
    // A folder where a drawing should go stops the run, as a full disk would.
    bench.write("half/panels/6.svg/in-the-way", "");
    run("half").ended(1).err_has("is a folder");
    assert!(bench.names("half").contains(&"unfinished.jsonl".to_owned()));
    assert!(!bench.names("half").contains(&"index.json".to_owned()));
    bench
        .run(&["pick", "half", "1"])
        .ended(1)
        .err_has("is not finished");
    fs::remove_dir_all(bench.path("half/panels/6.svg")).expect("removed");
    // A line torn by a power cut is done again; what an interrupted write left is cleared away.
    let journal = bench.read("half/unfinished.jsonl");
    let torn: String = journal.chars().take(journal.chars().count() - 20).collect();
    bench.write("half/unfinished.jsonl", torn);
    bench.write("half/panels/.plyloom-x.part", "torn");
    run("half").ended(0);
    same(&bench, "whole", "half");
    // What is done is not done again, a drawing that is gone is.
    fs::remove_file(bench.path("half/panels/3.svg")).expect("removed");
    run("half").ended(0);
    same(&bench, "whole", "half");
}

#[cfg(unix)]
#[test]
fn an_interrupted_run_goes_on() {
    let slow = format!("for i in 0..150_000 {{ let x = i * 2; }}\n{PAIR}");
    let bench = Bench::new().file("slow.rhai", slow);
    let line = [
        "vary",
        "slow.rhai",
        "--seeds",
        "1..60",
        "--jobs",
        "1",
        "--out",
    ];
    let with = |out| line.iter().copied().chain([out]).collect::<Vec<_>>();
    let running = bench.start(&with("cut"));
    running.until("of 60 made");
    assert_eq!(
        bench
            .run(&with("cut"))
            .ended(1)
            .err
            .matches("another run")
            .count(),
        1
    );
    assert_eq!(running.interrupt(), 1);
    let journal = bench.read("cut/unfinished.jsonl");
    let done = journal.lines().count() - 1;
    assert!((1..60).contains(&done), "{done}");
    bench.run(&with("cut")).ended(0).out_has("60 variations");
    bench
        .run(&["vary", "slow.rhai", "--seeds", "1..60", "--out", "whole"])
        .ended(0);
    same(&bench, "cut", "whole");
}

#[test]
fn failures_are_told_and_stop_nothing() {
    let bench = bench();
    bench
        .run(&["vary", "pair.rhai", "--set", "many=1..5"])
        .ended(0)
        .out_has("2 failed")
        .out_has("4 failed: `many`, set to \"4\"");
    let index = index(&bench, "pair-variations");
    assert_eq!(
        index["variations"][3]["result"]["failed"]["code"],
        "recipe::parameter_value"
    );
    assert!(bench.read("pair-variations/sheet.html").contains("Failed"));
    bench
        .run(&["vary", "pair.rhai", "--set", "many=7,8", "--out", "none"])
        .ended(1)
        .err_has("no variation could be made");
}

#[test]
fn slips_are_told_before_anything_is_made() {
    let bench = bench();
    for (words, why) in [
        (vec!["--set", "mani=1,2"], "no parameter `mani`"),
        (vec!["--seeds", "9..1"], "empty"),
        (vec!["--set", "size="], "`size` has no value"),
        (vec!["--set", "size=1..2..0"], "step is 0"),
        (vec!["--set", "many=1", "--set", "many=2"], "values twice"),
        (vec!["--seeds", "1..10000000"], "10 000 000 variations"),
        (vec!["--seeds", "1..10000000"], "--sample 1000"),
        (vec!["--seeds", "1..3", "--shard", "4/3"], "not a part"),
        (vec!["--sort", "shine"], "no measure `shine`"),
        (vec!["--only", "matched"], "write MEASURE>=NUMBER"),
        (vec!["--sample", "0"], "1 or more"),
    ] {
        let line: Vec<&str> = ["vary", "pair.rhai"].into_iter().chain(words).collect();
        bench.run(&line).ended(2).err_has(why);
    }
    bench.run(&["vary"]).ended(2);
    bench.run(&["vary", "--join", "a"]).ended(2);
    assert_eq!(bench.names(""), ["pair.rhai"], "nothing was made");
}

#[test]
fn another_sweep_is_not_overwritten() {
    let bench = bench();
    let run = |words: &[&str]| {
        let line = ["vary", "pair.rhai", "--set", "many=1,2", "--out", "out"];
        bench.run(&line.iter().chain(words).copied().collect::<Vec<_>>())
    };
    run(&["--seeds", "1..3"]).ended(0);
    run(&["--seeds", "1..4"])
        .ended(1)
        .err_has("with other values");
    // Showing others of the same sweep makes nothing anew.
    run(&["--seeds", "1..3", "--keep", "1"])
        .ended(0)
        .out_has("1 shown");
    bench.write("pair.rhai", PAIR.replace("walnut", "cherry"));
    run(&["--seeds", "1..3"])
        .ended(1)
        .err_has("before it changed");
    run(&["--seeds", "1..3", "--afresh"]).ended(0);
    let later = bench
        .read("out/index.json")
        .replace("\"version\": 1", "\"version\": 2");
    bench.write("out/index.json", later);
    run(&["--seeds", "1..3"]).ended(1).err_has("newer Plyloom");
    bench
        .run(&["pick", "out", "1"])
        .ended(1)
        .err_has("reads up to format 1");
}

#[test]
fn several_panels_stay_together() {
    let two = format!("{PAIR}panel(\"Other <one>\", squares(light)).size(1, 1).fill(dark);\n");
    let bench = Bench::new().file("two.rhai", two);
    bench.run(&["vary", "two.rhai", "--seeds", "1..2"]).ended(0);
    assert_eq!(
        bench.names("two-variations/panels"),
        [
            "1-other-one.svg",
            "1-pair.svg",
            "2-other-one.svg",
            "2-pair.svg"
        ]
    );
    let sheet = bench.read("two-variations/sheet.svg");
    let tree = roxmltree::Document::parse(&sheet).expect("XML");
    let ids: Vec<&str> = tree
        .descendants()
        .filter_map(|n| n.attribute("id"))
        .collect();
    let unique: std::collections::BTreeSet<&&str> = ids.iter().collect();
    assert_eq!(ids.len(), unique.len(), "ids differ");
}

#[test]
fn strangers_write_no_markup() {
    let evil = PAIR.replace("\"Pair\"", "\"<script>alert(1)</script>\"");
    let bench = Bench::new().file("<b>.rhai", evil);
    bench
        .run(&[
            "vary",
            "<b>.rhai",
            "--set",
            "many=1,\"<i>\"",
            "--out",
            "out",
        ])
        .ended(0);
    let html = bench.read("out/sheet.html");
    assert_eq!(html.matches("<script").count(), 1, "only its own");
    assert!(!html.contains("<b>.rhai") && !html.contains("<i>"));
    assert!(html.contains("&lt;i&gt;"));
    for request in ["http:", "https:", "url(", "@import"] {
        assert!(!html.contains(request), "{request}");
    }
}

/// What changes a picture is in the index, and in the choice that is pinned of it; a distance is a
/// way to look, and not pinned.
/// 600 x 1200 mm for 40 each hold every pair; the price is what tells them apart.
#[test]
fn a_shop_file_gives_variations_a_cost() {
    let shop = |price: u32| {
        format!(
            "[glue]\nprice = 0\n[[sheet]]\nname = \"s\"\nwidth = 600\nlength = 1200\nprice = {price}\n"
        )
    };
    let bench = bench()
        .file("shop.toml", shop(40))
        .file("dear.toml", shop(60));
    let run = |words: &[&str]| {
        let line = ["vary", "pair.rhai", "--seeds", "1..40", "--out", "out"];
        bench.run(&line.iter().chain(words).copied().collect::<Vec<_>>())
    };
    run(&["--sort", "cost"]).ended(0);
    assert!(bench.read("out/sheet.svg").contains("cost not defined"));
    let costs = |index: &Value| -> Vec<Value> {
        let all = index["variations"].as_array().expect("a list").iter();
        all.map(|v| v["result"]["made"]["measures"]["cost"].clone())
            .collect()
    };
    let without = index(&bench, "out");
    assert!(costs(&without).iter().all(Value::is_null));
    assert_eq!(without["shop_sha256"], Value::Null);
    run(&["--shop", "shop.toml"])
        .ended(1)
        .err_has("another shop file");
    run(&[
        "--shop",
        "shop.toml",
        "--sort",
        "cost:up",
        "--only",
        "cost<=60",
        "--afresh",
    ])
    .ended(0);
    let with = index(&bench, "out");
    // Pairs of one wood need one board, mixed pairs one of each.
    let found: std::collections::BTreeSet<String> =
        costs(&with).iter().map(ToString::to_string).collect();
    assert_eq!(found.into_iter().collect::<Vec<_>>(), ["40.0", "80.0"]);
    let first = with["shown"]["numbers"][0].as_u64().expect("a number");
    let first = usize::try_from(first).expect("small") - 1;
    assert_eq!(costs(&with)[first], 40.0);
    assert_eq!(with["shown"]["numbers"].as_array().map(Vec::len), Some(2));
    run(&["--shop", "dear.toml"])
        .ended(1)
        .err_has("another shop file");
    run(&["--shop", "none.toml"])
        .ended(1)
        .err_has("no shop file");
}
