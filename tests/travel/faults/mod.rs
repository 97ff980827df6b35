//! Faults of the system, one at a time: each call of a kind that a command makes fails once (no room,
//! no permission, a disk that may only be read, writes that are interrupted or cut short, no threads, no
//! memory, a calendar that jumps). `fault.c` comes between the program and the system (`LD_PRELOAD`).
//!
//! Whatever fails: exit code 0 or 1, a message where it is 1, no panic, no half file.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]
#![allow(clippy::print_stdout, reason = "it is run to be read")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::common::{Bench, Ran};

const RECIPE: &str = r#"
let t = bar(laminate([veneer(0.6, "navy"), plywood(13, 17)]).square()).slice("t");
panel("p", squares(t)).size(4, 3).fill(random("mix", t.looks()));
"#;

/// What writes, and the file that is to be whole; none where it is a folder.
const COMMANDS: [(&[&str], Option<&str>); 7] = [
    (&["preview", "a.rhai", "--out", "x.svg"], Some("x.svg")),
    (&["preview", "a.rhai", "--out", "x.png"], Some("x.png")),
    (&["pack", "a.rhai", "--out", "x.rhai"], Some("x.rhai")),
    (&["plan", "a.rhai", "--out", "x.html"], Some("x.html")),
    (&["template", "a.rhai", "--out", "x.pdf"], Some("x.pdf")),
    (&["vary", "a.rhai", "--seeds", "1..2", "--out", "v"], None),
    (&["unpack", "packed.rhai", "--out", "u"], None),
];

/// Kinds of call, and how they fail: the numbers of errors as Linux has them (errno(3)).
const FAULTS: [(&str, i32); 10] = [
    ("write", 28), // ENOSPC
    ("write", 4),  // EINTR
    ("write", 0),  // a single byte
    ("open", 13),  // EACCES
    ("open", 30),  // EROFS
    ("sync", 5),   // EIO
    ("truncate", 28),
    ("thread", 11), // EAGAIN
    ("clock", 0),
    ("memory", 12), // ENOMEM
];

/// The library, built beside the test; none where there is no compiler for it.
fn library(folder: &Path) -> Option<PathBuf> {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/travel/faults/fault.c");
    let library = folder.join("fault.so");
    let built = Command::new("cc")
        .args(["-shared", "-fPIC", "-O1", "-o"])
        .args([&library, &source])
        .arg("-ldl")
        .status();
    built
        .is_ok_and(|status| status.success())
        .then_some(library)
}

fn bench(packed: &str) -> Bench {
    Bench::new()
        .file("a.rhai", RECIPE)
        .file("packed.rhai", packed)
}

/// Runs a command while the n-th call fails; none where it makes no such call.
fn ran(bench: &Bench, library: &Path, words: &[&str], fault: (&str, u64, i32)) -> Option<Ran> {
    let came = bench.path("came");
    let _ = fs::remove_file(&came);
    let (kind, number, how) = fault;
    let output = bench
        .command(words)
        .env("LD_PRELOAD", library)
        .env("PLYLOOM_FAULT", format!("{kind} {number} {how}"))
        .env("PLYLOOM_FAULT_CAME", &came)
        .env("RUST_BACKTRACE", "0")
        .output()
        .unwrap();
    came.exists().then(|| Ran::of(&output))
}

/// Before its 64th call for memory a program has barely begun: nothing of ours can answer yet.
const BEGUN: u64 = 64;

/// Every n at first, then ever fewer: a small run makes thousands of calls for memory.
fn numbers(kind: &str) -> impl Iterator<Item = u64> {
    let before = if kind == "memory" { BEGUN } else { 0 };
    std::iter::successors(Some(1_u64), |n| Some(n + 1 + n / 2)).map(move |n| before + n)
}

/// Some minutes.
///
///     cargo test --test travel -- --ignored --nocapture whatever_fails
#[test]
#[ignore = "takes long"]
fn whatever_fails_there_is_a_message_and_no_half_file() {
    let tools = tempfile::tempdir().unwrap();
    let Some(library) = library(tools.path()) else {
        println!("not tried: there is no compiler for C here");
        return;
    };
    let packing = bench("");
    packing
        .run(&["pack", "a.rhai", "--out", "packed.rhai", "--overwrite"])
        .ended(0);
    let packed = packing.read("packed.rhai");
    let mut tried = 0;
    for (words, file) in COMMANDS {
        let whole = file.map(|file| {
            let bench = bench(&packed);
            bench.run(words).ended(0);
            fs::read(bench.path(file)).unwrap()
        });
        for (kind, how) in FAULTS {
            for number in numbers(kind) {
                let bench = bench(&packed);
                let Some(ran) = ran(&bench, &library, words, (kind, number, how)) else {
                    break;
                };
                tried += 1;
                let said = format!("{words:?}, {kind} {number} ({how}): {ran:#?}");
                assert!([0, 1].contains(&ran.code), "{said}");
                assert!(!ran.err.contains("panicked"), "{said}");
                assert!(!ran.err.contains("::broken"), "{said}");
                assert!(ran.code == 0 || !ran.err.is_empty(), "no message: {said}");
                if let (Some(file), Some(whole)) = (file, &whole)
                    && let Ok(there) = fs::read(bench.path(file))
                {
                    assert!(there == *whole, "half a file: {said}");
                }
                assert_eq!(bench.read("a.rhai"), RECIPE, "{said}");
                // Without memory nobody tidies up; the next command does. The lock of a folder of variations stays.
                if kind != "memory" {
                    let folders = [".", "v", "u"]
                        .into_iter()
                        .filter(|f| bench.path(f).is_dir());
                    let left = folders.flat_map(|folder| bench.names(folder));
                    let left: Vec<_> = left
                        .filter(|name| name.contains(".plyloom-") && name != ".plyloom-lock")
                        .collect();
                    assert!(left.is_empty(), "{left:?}: {said}");
                }
            }
        }
    }
    println!("{tried} faults");
    assert!(tried > 200, "only {tried} faults came");
}
