//! Kills (SIGKILL) at any moment of every command that writes: no file is half a file, and what was left
//! unfinished is gone after the next command. Beside `lost.rs`, which kills what takes long.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]
#![allow(clippy::print_stdout, reason = "it is run to be read")]

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant, SystemTime};

use crate::common::Bench;
use crate::lost::{RECIPE, chance, start, whole_files};

/// Kills in a run of all tests, and when they are asked for.
const FEW: u64 = 36;
const MANY: u64 = 1000;

/// All that writes. Where it goes is `out`, or in `out`.
const COMMANDS: [&[&str]; 12] = [
    &["preview", "a.rhai", "--out", "out/x.svg"],
    &["preview", "a.rhai", "--out", "out/x.svg", "--flat"],
    &["preview", "a.rhai", "--out", "out/x.png"],
    &["compare", "a.rhai", "b.rhai", "--out", "out/x.svg"],
    &[
        "legible",
        "a.rhai",
        "--object",
        "handle",
        "--out",
        "out/x.svg",
    ],
    &["arrangements", "a.rhai", "--out", "out/x.svg"],
    &["plan", "a.rhai", "--out", "out/x.html", "--drawings", "out"],
    &["template", "a.rhai", "--out", "out/x.pdf"],
    &["pack", "a.rhai", "--out", "out/x.rhai", "--overwrite"],
    &["unpack", "packed.rhai", "--out", "out", "--overwrite"],
    &["vary", "a.rhai", "--seeds", "1..3", "--out", "out"],
    &["gallery", "shown", "--out", "out"],
];

fn bench() -> Bench {
    let bench = Bench::new()
        .file("a.rhai", RECIPE)
        .file("b.rhai", RECIPE)
        .file("shown/c.rhai", RECIPE)
        .file("shown/d.rhai", RECIPE)
        .file("out/.keep", "");
    bench
        .run(&["pack", "a.rhai", "--out", "packed.rhai"])
        .ended(0);
    bench
}

/// Whether a file is one that was being written. The lock of a folder of variations stays there.
fn unfinished(name: &str) -> bool {
    name.starts_with(".plyloom-") && name != ".plyloom-lock"
}

/// The names of all unfinished files below a folder; they are made so old that they count as left.
fn left_unfinished(folder: &Path) -> Vec<String> {
    let old = SystemTime::now() - Duration::from_mins(1);
    let mut left = Vec::new();
    for entry in fs::read_dir(folder).unwrap().flatten() {
        let path = entry.path();
        if path.is_dir() {
            left.extend(left_unfinished(&path));
        } else if unfinished(&entry.file_name().to_string_lossy()) {
            let file = File::options().write(true).open(&path).unwrap();
            file.set_modified(old).unwrap();
            left.push(path.display().to_string());
        }
    }
    left
}

/// Kills each command in turn at a moment by chance, and lets it come to its end now and then.
fn killed(kills: u64) {
    let each = kills / COMMANDS.len() as u64;
    let (mut alive, mut unfinished) = (0, 0);
    for (number, words) in (0_u64..).zip(COMMANDS) {
        let bench = bench();
        let began = Instant::now();
        bench.run(words).ended(0);
        let takes = u64::try_from(began.elapsed().as_micros()).unwrap();
        let expected: BTreeMap<String, Vec<u8>> = whole_files(&bench.path("out"));
        for kill in 0..each {
            let mut child = start(&bench, words);
            thread::sleep(Duration::from_micros(chance(1000 * number + kill, takes)));
            alive += u64::from(child.try_wait().unwrap().is_none());
            let _ = child.kill();
            child.wait().unwrap();
            for (name, bytes) in whole_files(&bench.path("out")) {
                if let Some(whole) = expected.get(&name) {
                    assert!(bytes == *whole, "{words:?}, kill {kill}: half of {name}");
                } else {
                    // A sweep that is under way has a journal.
                    assert_eq!(words[0], "vary", "{words:?}, kill {kill}: {name}");
                }
            }
            assert_eq!(bench.read("a.rhai"), RECIPE, "{words:?}");
            unfinished += left_unfinished(&bench.path("out")).len();
            if kill % 8 == 7 || kill + 1 == each {
                bench.run(words).ended(0);
                assert_eq!(
                    left_unfinished(&bench.path("out")),
                    Vec::<String>::new(),
                    "{words:?}"
                );
                assert!(whole_files(&bench.path("out")) == expected, "{words:?}");
                // The next ones begin with nothing.
                fs::remove_dir_all(bench.path("out")).unwrap();
                bench.write("out/.keep", "");
            }
        }
    }
    println!(
        "{} kills, {alive} of them at work; {unfinished} unfinished files were seen after a kill, none after the next command",
        each * COMMANDS.len() as u64
    );
}

/// A minute.
#[test]
#[ignore = "takes long"]
fn whatever_writes_can_be_killed() {
    killed(FEW);
}

/// Some ten minutes.
///
///     cargo test --test travel -- --ignored --nocapture a_thousand_kills
#[test]
#[ignore = "takes long"]
fn a_thousand_kills() {
    killed(MANY + COMMANDS.len() as u64);
}
