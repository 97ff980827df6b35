//! What a maker reads when a recipe is wrong: `tests/suite/errors/CASE.rhai` with its message in
//! `CASE.err.txt`, one mistake a case. Rule modules of all cases are in `modules/`.
//!
//! `PLYLOOM_BLESS=1 cargo test --test recipes diagnostics` writes the messages anew; look at the
//! difference before it is kept.
#![allow(
    clippy::unwrap_used,
    clippy::format_collect,
    reason = "a test may stop at once, and need not be fast"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use plyloom::recipe::{Failure, evaluate};

use crate::in_memory::places_lie_in_the_text;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/suite/errors")
}

/// The recipes of a folder: name and text, sorted. Line ends as written on any system.
fn recipes(folder: &Path) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "rhai"))
        .map(|path| {
            let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
            (name, fs::read_to_string(&path).unwrap().replace('\r', ""))
        })
        .collect();
    found.sort();
    found
}

fn fail(name: &str, text: &str) -> Failure {
    let host = recipes(&folder().join("modules"))
        .iter()
        .fold(MemoryHost::new(), |host, (name, text)| {
            host.with(name, text)
        });
    let source = Arc::new(Source::new(format!("{name}.rhai"), text));
    match evaluate(&source, &Settings::default(), Arc::new(host)) {
        Ok(_) => panic!("{name}.rhai works"),
        Err(failure) => failure,
    }
}

#[test]
fn every_mistake_has_its_message() {
    let bless = std::env::var_os("PLYLOOM_BLESS").is_some();
    let mut wrong = Vec::new();
    let cases = recipes(&folder());
    assert!(cases.len() > 100);
    for (name, text) in cases {
        let told = fail(&name, &text).to_string();
        let file = folder().join(format!("{name}.err.txt"));
        if bless {
            fs::write(&file, &told).unwrap();
        } else {
            let expected = fs::read_to_string(&file)
                .unwrap_or_default()
                .replace('\r', "");
            if told != expected {
                wrong.push(format!("{name}\n--- expected\n{expected}--- told\n{told}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Words of the language that this program is written in, or of the engine, that no maker knows.
const FOREIGN: [&str; 16] = [
    "anon$",
    "i64",
    "f64",
    "&str",
    "ImmutableString",
    "Dynamic",
    "FnPtr",
    "array",
    "boolean",
    "integer",
    "iterable",
    "iterator",
    "getter",
    "setter",
    "rhai::",
    "Error",
];

#[test]
fn every_message_speaks_to_makers_and_points_into_the_text() {
    for (name, text) in recipes(&folder()) {
        let failure = fail(&name, &text);
        let told = failure.to_string();
        for foreign in FOREIGN {
            assert!(!told.contains(foreign), "{name} says {foreign}: {told}");
        }
        assert!(!failure.message.ends_with('.'), "{name}: {told}");
        assert!(
            failure.message.starts_with(|c: char| !c.is_uppercase()),
            "{name}: {told}"
        );
        places_lie_in_the_text(&failure, &name);
    }
}
