//! What is legal in a recipe and probably meant otherwise: `tests/suite/doubts/CASE.rhai` with what is said of
//! it in `CASE.txt`, one doubt a case.
//!
//! `PLYLOOM_BLESS=1 cargo test --test recipes doubts` writes the texts anew; look at the difference before it
//! is kept.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use plyloom::recipe::doubts::{Doubtful, doubts};
use plyloom::recipe::evaluate;
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

/// The recipes of a folder, sorted.
fn recipes(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).expect("a folder of the tree");
    let mut found: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "rhai"))
        .collect();
    found.sort();
    found
}

fn doubts_of(path: &Path) -> Vec<Doubtful> {
    let text = fs::read_to_string(path)
        .expect("a recipe")
        .replace('\r', "");
    let name = path.file_name().expect("a name").to_string_lossy();
    let source = Arc::new(Source::new(name, text));
    let made = evaluate(&source, &Settings::default(), Arc::new(MemoryHost::new()));
    doubts(&made.unwrap_or_else(|failure| panic!("{}: {failure}", path.display())))
}

#[test]
fn every_doubt_has_its_words() {
    let cases = recipes(&root().join("tests/suite/doubts"));
    assert!(cases.len() >= 18);
    for path in cases {
        let mut told = String::new();
        for Doubtful { doubt, place } in doubts_of(&path) {
            let _ = writeln!(
                told,
                "{}: {doubt}\n  at {place}\n  help: {}",
                doubt.code(),
                doubt.help()
            );
        }
        assert!(!told.is_empty(), "nothing is said of {}", path.display());
        let file = path.with_extension("txt");
        if std::env::var_os("PLYLOOM_BLESS").is_some() {
            fs::write(&file, &told).expect("the text is written");
        }
        let expected = fs::read_to_string(&file)
            .unwrap_or_default()
            .replace('\r', "");
        assert_eq!(told, expected, "{}", path.display());
    }
}

/// What works and is meant as it stands is not doubted: the demos are read with care.
#[test]
fn no_demo_is_doubted() {
    for path in recipes(&root().join("demo-patterns")) {
        let found: Vec<String> = doubts_of(&path)
            .iter()
            .map(|doubtful| format!("{} at {}", doubtful.doubt, doubtful.place))
            .collect();
        assert!(found.is_empty(), "{found:#?}");
    }
}

/// Of each kind of doubt there is a case.
#[test]
fn every_kind_of_doubt_has_a_case() {
    let told: String = recipes(&root().join("tests/suite/doubts"))
        .iter()
        .map(|path| fs::read_to_string(path.with_extension("txt")).unwrap_or_default())
        .collect();
    for code in [
        "thrown_away",
        "compared_for_nothing",
        "gives_nothing",
        "no_else",
        "new_inside",
        "ignores_cell",
        "never_called",
        "unused_parameter",
        "joins_number",
        "length_with_count",
        "exact_length",
        "colour_as_text",
        "below_zero",
        "holds_nowhere",
    ] {
        assert!(told.contains(&format!("check::{code}:")), "{code}");
    }
}
