//! What the program is built from, as far as `deny.toml` does not hold it: every crate is locked to a
//! checksum of the registry and builds with the stated Rust, the core needs no operating system, and none
//! of our own code is unsafe.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::{collections::BTreeSet, fs, path::Path, process::Command};

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

/// A version of Rust, `1.95` or `1.88.0`, to compare.
fn rust(version: &str) -> Vec<u32> {
    let mut parts: Vec<u32> = version
        .split('.')
        .map(|part| part.parse().expect("a number"))
        .collect();
    parts.resize(3, 0);
    parts
}

/// The stated minimum holds for what we build on. That our own code keeps to it is clippy's to tell
/// (`incompatible_msrv`).
#[test]
fn no_dependency_needs_a_newer_rust_than_is_stated() {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let metadata: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let packages = metadata["packages"].as_array().expect("packages");
    assert!(packages.len() > 100, "{} packages", packages.len());
    let stated = rust(env!("CARGO_PKG_RUST_VERSION"));
    for package in packages {
        if let Some(needed) = package["rust_version"].as_str() {
            assert!(rust(needed) <= stated, "{} needs {needed}", package["name"]);
        }
    }
}

/// What needs an operating system: crates of the feature `program` alone. Not among them is `tempfile`
/// (with `rustix`): rustsat wants it for solvers that are programs of their own, and nothing here starts
/// one.
const SYSTEM: &[&str] = &[
    "axum",
    "clap",
    "comfy-table",
    "ctrlc",
    "indicatif",
    "memory-stats",
    "miette",
    "notify",
    "open",
    "terminal_size",
    "tokio",
];

/// The names of the crates that the library is built from, with these further arguments to `cargo tree`.
fn crates(arguments: &[&str]) -> BTreeSet<String> {
    let output = Command::new(env!("CARGO"))
        .args(["tree", "--locked", "--edges", "normal", "--prefix", "none"])
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    let wrong = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{wrong}");
    let text = String::from_utf8(output.stdout).expect("names of crates");
    let names = text.lines().filter_map(|line| line.split(' ').next());
    names.map(str::to_owned).collect()
}

#[test]
fn without_the_program_nothing_needs_a_system() {
    let all = crates(&[]);
    for target in ["x86_64-unknown-linux-gnu", "wasm32-unknown-unknown"] {
        let core = crates(&["--no-default-features", "--target", target]);
        assert!(core.contains("rhai") && core.len() < all.len(), "{core:?}");
        for name in SYSTEM {
            assert!(all.contains(*name), "{name} is in no part of the program");
            assert!(!core.contains(*name), "{name} is in the core for {target}");
        }
    }
}
