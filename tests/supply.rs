//! What the program is built from, as far as `deny.toml` does not hold it: every crate is locked to a
//! checksum of the registry, and none of our own code is unsafe.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::{fs, path::Path};

use toml::Table;

fn read(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

/// A crate from a folder has no source, one from a repository no checksum.
#[test]
fn every_crate_is_locked_to_a_checksum() {
    let lock: Table = read("Cargo.lock").parse().unwrap();
    let mut checked = 0;
    for package in lock["package"].as_array().unwrap() {
        let name = package["name"].as_str().unwrap();
        if name == "plyloom" {
            continue;
        }
        let source = package.get("source").and_then(|s| s.as_str());
        let source = source.unwrap_or("a folder");
        assert!(source.starts_with("registry+"), "{name}: {source}");
        let checksum = package.get("checksum").and_then(|c| c.as_str());
        assert_eq!(checksum.unwrap_or("none").len(), 64, "{name}: {checksum:?}");
        checked += 1;
    }
    assert!(checked > 100, "{checked} crates");
}

#[test]
fn unsafe_code_is_forbidden() {
    for file in ["src/lib.rs", "src/main.rs"] {
        assert!(read(file).contains("#![forbid(unsafe_code)]"), "{file}");
    }
    let manifest: Table = read("Cargo.toml").parse().unwrap();
    assert_eq!(
        manifest["lints"]["rust"]["unsafe_code"].as_str(),
        Some("forbid")
    );
}
