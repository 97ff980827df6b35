//! What the demos come to: drawings, tallies and plans, the same bytes from every build and on any number
//! of threads. `PLYLOOM_BLESS=1` writes them anew. `.ci/same-bytes` tries other builds of the program.
//!
//! Plans stand as a maker reads them; their JSON, which is long and whose meaning `tests/shop` carries
//! out, by its digest alone. To see what has changed where only a digest differs, print it by the program
//! before the change and after it, and compare:
//!
//!     git worktree add ../before HEAD && (cd ../before && cargo build)
//!     ../before/target/debug/plyloom plan demo-patterns/NAME.rhai --json > before.json
//!     target/debug/plyloom plan demo-patterns/NAME.rhai --json | diff before.json -

mod common;

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
    process::Command,
};

use sha2::{Digest as _, Sha256};

use common::kept::{agree, files};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-patterns")
}

/// The program that is tried: this build's, or another one that is to give the same bytes (see
/// `.ci/same-bytes`): its path and what it is started by, parted by spaces.
fn program() -> Command {
    let words = std::env::var("PLYLOOM_PROGRAM").unwrap_or_default();
    let mut words = words.split_whitespace();
    let mut command = Command::new(words.next().unwrap_or(env!("CARGO_BIN_EXE_plyloom")));
    command.args(words);
    command
}

/// What a run in `folder` prints.
fn printed(folder: &Path, arguments: &[&str]) -> Vec<u8> {
    let run = program()
        .current_dir(folder)
        .args(arguments)
        .output()
        .expect("the program runs");
    assert!(
        run.status.success(),
        "{arguments:?}: {}",
        String::from_utf8_lossy(&run.stderr)
    );
    run.stdout
}

/// A folder of its own with all demos and their modules.
fn copied() -> tempfile::TempDir {
    let copy = tempfile::tempdir().expect("a folder for the drawings");
    for (name, bytes) in files(&folder(), "rhai") {
        fs::write(copy.path().join(name), bytes).expect("a copy");
    }
    copy
}

fn digest(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    let mut text = String::new();
    for byte in Sha256::digest(bytes) {
        let _ = write!(text, "{byte:02x}");
    }
    text
}

#[test]
fn every_demo_draws_counts_and_plans_what_is_committed() {
    let copy = copied();
    let recipes = files(&folder(), "rhai");
    assert!(recipes.len() >= 20, "{} demos", recipes.len());
    let mut counted = BTreeMap::new();
    let mut told = BTreeMap::new();
    let mut digests: Vec<String> = Vec::new();
    for name in recipes.keys() {
        let stem = name.trim_end_matches(".rhai");
        let tally = printed(copy.path(), &["preview", name, "--json"]);
        counted.insert(format!("{stem}.tally.json"), tally);
        let plan = printed(copy.path(), &["plan", name]);
        told.insert(format!("{stem}.plan.txt"), plan);
        let data = printed(copy.path(), &["plan", name, "--json"]);
        digests.push(format!("{} {stem}.plan.json\n", digest(&data)));
    }
    // Drawings are large and stand elsewhere: here it is by their digests that they are the same.
    let drawings: Vec<String> = files(copy.path(), "svg")
        .iter()
        .map(|(name, bytes)| format!("{} {name}\n", digest(bytes)))
        .collect();
    let golden = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/demos");
    let by_digest = BTreeMap::from([
        ("drawings.sha256".to_owned(), drawings.concat().into_bytes()),
        ("plans.sha256".to_owned(), digests.concat().into_bytes()),
    ]);
    agree(&told, &golden, "txt");
    agree(&by_digest, &golden, "sha256");
    agree(&counted, &golden, "json");
}

#[test]
fn one_thread_and_many_give_the_same_bytes() {
    let copy = copied();
    let sweep = |jobs: &str, out: &str| {
        let words = [
            "vary",
            "drift.rhai",
            "--seeds",
            "1..8",
            "--jobs",
            jobs,
            "--out",
            out,
        ];
        printed(copy.path(), &words);
        let folder = copy.path().join(out);
        let mut all = files(&folder, "json");
        all.extend(files(&folder, "svg"));
        all.extend(files(&folder, "html"));
        all.extend(files(&folder, "png"));
        all.extend(files(&folder.join("panels"), "svg"));
        all
    };
    let (one, many) = (sweep("1", "one"), sweep("8", "many"));
    assert_eq!(
        one.keys().collect::<Vec<_>>(),
        many.keys().collect::<Vec<_>>()
    );
    assert!(one.len() >= 12);
    for (name, bytes) in &one {
        assert!(*bytes == many[name], "{name}");
    }
}
