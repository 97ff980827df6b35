//! What ends a command before it is done (its own guard, a signal, a sudden death) leaves no half file,
//! and what a dead process left is cleared away.
#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::fs::{self, File};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, SystemTime};

use crate::common::Bench;

/// A panel whose drawing takes a while to write.
const LARGE: &str = "let t = bar(plywood(13, 18).square()).slice(\"t\");\n\
     panel(\"p\", squares(t)).size(300, 300).fill(t);\n";

/// A panel whose flat drawing takes minutes, and gigabytes.
const ENDLESS: &str = "let plies = [];\n\
     for i in 0..400 { plies.push(ply(0.1, [\"birch\", \"walnut\", \"maple\", \"teal\"][i % 4])); }\n\
     let laths = [];\n\
     laths.pad(20, laminate(plies).rip(1));\n\
     let t = stack(laths).slice(\"t\");\n\
     panel(\"p\", squares(t)).size(24, 24).fill(t);\n";

fn started(bench: &Bench, arguments: &[&str]) -> Child {
    bench
        .command(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

fn unfinished(bench: &Bench) -> Vec<String> {
    let names = bench.names(".").into_iter();
    names.filter(|name| name.contains(".plyloom-")).collect()
}

/// Waits until the program has begun a file, or has ended.
fn begun(bench: &Bench, child: &mut Child) {
    while unfinished(bench).is_empty() && child.try_wait().unwrap().is_none() {
        thread::sleep(Duration::from_millis(1));
    }
}

#[test]
fn a_signal_leaves_no_unfinished_file() {
    for signal in ["-INT", "-TERM", "-HUP"] {
        let bench = Bench::new().file("large.rhai", LARGE);
        let mut child = started(&bench, &["preview", "large.rhai", "--flat"]);
        begun(&bench, &mut child);
        let id = child.id().to_string();
        // Where it has ended already, there is nobody to tell.
        let _ = Command::new("kill")
            .args([signal, &id])
            .stderr(Stdio::null())
            .status();
        let code = child.wait().unwrap().code();
        assert!(
            unfinished(&bench).is_empty(),
            "{signal}: {:?}",
            bench.names(".")
        );
        match code {
            Some(0) => assert!(bench.read("large.svg").ends_with("</svg>\n"), "{signal}"),
            other => {
                assert_eq!(other, Some(130), "{signal}");
                assert_eq!(bench.names("."), ["large.rhai"], "{signal}");
            }
        }
    }
}

#[test]
fn what_a_dead_process_left_is_cleared_by_the_next() {
    let bench = Bench::new().file("large.rhai", LARGE);
    let mut child = started(&bench, &["preview", "large.rhai", "--flat"]);
    begun(&bench, &mut child);
    child.kill().unwrap();
    child.wait().unwrap();
    // Its own, where it was caught in the act, and one of some earlier day.
    bench.write(".plyloom-Xy12.part", "half");
    let old = SystemTime::now() - Duration::from_mins(1);
    for name in unfinished(&bench) {
        let file = File::options().write(true).open(bench.path(&name)).unwrap();
        file.set_modified(old).unwrap();
    }
    bench.run(&["new", "small"]).ended(0);
    bench.run(&["preview", "small.rhai"]).ended(0);
    assert!(unfinished(&bench).is_empty(), "{:?}", bench.names("."));
}

#[test]
fn work_that_does_not_end_in_time_is_ended() {
    let bench = Bench::new().file("endless.rhai", ENDLESS);
    // Pixels are painted in one go that asks nobody.
    for bound in [
        &["--max-seconds", "1", "--max-memory", "4000"][..],
        &["--max-memory", "20"],
    ] {
        let words = ["preview", "endless.rhai", "--out", "endless.png"];
        let ran = bench.run(&[&words[..], bound].concat());
        ran.ended(1).err_has(bound[0]);
        assert_eq!(bench.names("."), ["endless.rhai"]);
    }
    assert!(fs::exists(bench.path("endless.rhai")).unwrap());
}

/// Values that hold one another are never given back: a sweep of them is bounded as a whole. It ends where it has
/// lost four times its bound, and keeps what it has made.
#[test]
fn a_sweep_that_loses_memory_is_ended() {
    const KNOT: &str = "let a = #{};\n\
         let f = || a;\n\
         a.f = f;\n\
         for i in 0..5 { let list = []; list.pad(90000, seed()); a[\"n\" + i] = list; }\n\
         let t = bar(plywood(13, 18).square()).slice(\"t\");\n\
         panel(\"p\", squares(t)).size(2, 2).fill(t);\n";
    let bench = Bench::new().file("knot.rhai", KNOT);
    let words = ["vary", "knot.rhai", "--seeds", "1..90", "--jobs", "1"];
    let ran = bench.run(&[&words[..], &["--max-memory", "48", "--out", "v"]].concat());
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("command::too_much_memory"), "{}", ran.err);
    assert!(ran.err.contains(" of 90 are made and stay"), "{}", ran.err);
    let drawn = bench.names("v/panels").len();
    assert!((1..40).contains(&drawn), "{drawn}");
}
