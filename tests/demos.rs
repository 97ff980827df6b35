//! The demos draw what is committed beside them, byte for byte; `PLYLOOM_BLESS=1` writes them anew.

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
    process::Command,
};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-patterns")
}

fn files(folder: &Path, ending: &str) -> BTreeMap<String, Vec<u8>> {
    fs::read_dir(folder)
        .expect("the folder of demos")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == ending))
        .map(|path| {
            let name = path
                .file_name()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            (name, fs::read(&path).expect("a readable file"))
        })
        .collect()
}

#[test]
fn every_demo_draws_what_is_committed_beside_it() {
    let drawn = tempfile::tempdir().expect("a folder for the drawings");
    let recipes = files(&folder(), "rhai");
    assert!(recipes.len() >= 6, "at least six demos");
    for name in recipes.keys() {
        let svg = drawn.path().join(name).with_extension("svg");
        let run = Command::new(env!("CARGO_BIN_EXE_plyloom"))
            .current_dir(folder())
            .args(["preview", name, "--out"])
            .arg(&svg)
            .output()
            .expect("the program runs");
        assert!(
            run.status.success(),
            "{name}: {}",
            String::from_utf8_lossy(&run.stderr)
        );
    }
    let new = files(drawn.path(), "svg");
    if std::env::var_os("PLYLOOM_BLESS").is_some() {
        for name in files(&folder(), "svg").keys() {
            fs::remove_file(folder().join(name)).expect("an old drawing goes");
        }
        for (name, bytes) in &new {
            fs::write(folder().join(name), bytes).expect("a new drawing comes");
        }
    }
    let committed = files(&folder(), "svg");
    assert_eq!(
        new.keys().collect::<Vec<_>>(),
        committed.keys().collect::<Vec<_>>(),
        "the drawings by name"
    );
    for (name, bytes) in &new {
        assert!(
            *bytes == committed[name],
            "{name} has changed: look at it, then write it anew"
        );
    }
}

#[test]
fn every_demo_is_short_and_says_what_it_is() {
    for (name, bytes) in files(&folder(), "rhai") {
        let text = String::from_utf8(bytes).expect("a text");
        let code = text
            .lines()
            .filter(|line| !line.trim().is_empty() && !line.trim_start().starts_with("//"))
            .count();
        assert!(code <= 25, "{name} has {code} lines of code");
        assert!(text.starts_with("// "), "{name} begins with what it is");
    }
}
