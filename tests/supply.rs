//! What the program is built from: licences, where it comes from, what comes in two versions.
//!
//! It reads `cargo metadata` of the locked dependencies. Security notices are not
//! looked up: there is no database of them to be had without a network.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;
use std::sync::OnceLock;

use serde_json::Value;

/// Licences that let everybody use the program under its own two.
const LICENCES: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Crates whose licence has a further part, with what it is for.
const FURTHER: &[(&str, &str)] = &[
    // Fonts that go into pictures.
    ("epaint_default_fonts", "OFL-1.1"),
    ("epaint_default_fonts", "Ubuntu-font-1.0"),
    // Binds who changes its own files; it is used as it is.
    ("smartstring", "MPL-2.0"),
];

/// Crates that come in two versions, as two of our own dependencies want different ones.
const TWICE: &[&str] = &[
    "base64",
    "font-types",
    "getrandom",
    "miniz_oxide",
    "read-fonts",
    "skrifa",
    "syn",
    "unicode-width",
    "windows-sys",
];

/// Crates that are of no use here.
const BANNED: &[(&str, &str)] = &[
    (
        "openssl-sys",
        "the live page stays on this machine and needs no certificates",
    ),
    ("reqwest", "nothing is fetched from a network"),
    ("ureq", "nothing is fetched from a network"),
    ("libloading", "nothing is loaded at run time"),
];

/// The packages that the program itself is built from, on any system: tests' own left out.
fn packages() -> &'static [Value] {
    static PACKAGES: OnceLock<Vec<Value>> = OnceLock::new();
    PACKAGES.get_or_init(read_packages)
}

fn read_packages() -> Vec<Value> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let nodes: BTreeMap<&str, &Value> = metadata["resolve"]["nodes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|node| (node["id"].as_str().unwrap(), node))
        .collect();
    let root = metadata["resolve"]["root"].as_str().unwrap();
    let mut reached = BTreeSet::new();
    let mut next = vec![root];
    while let Some(id) = next.pop() {
        if !reached.insert(id) {
            continue;
        }
        for dependency in nodes[id]["deps"].as_array().unwrap() {
            let kinds = dependency["dep_kinds"].as_array().unwrap();
            if kinds.iter().any(|kind| kind["kind"] != "dev") {
                next.push(dependency["pkg"].as_str().unwrap());
            }
        }
    }
    let all = metadata["packages"].as_array().unwrap();
    all.iter()
        .filter(|p| reached.contains(p["id"].as_str().unwrap()))
        .cloned()
        .collect()
}

fn name(package: &Value) -> &str {
    package["name"].as_str().unwrap()
}

#[test]
fn every_licence_is_one_that_goes_with_ours() {
    let mut wrong = Vec::new();
    for package in packages() {
        let written = package["license"]
            .as_str()
            .unwrap_or("")
            .replace('/', " OR ");
        let mode = spdx::ParseMode::LAX;
        let Ok(expression) = spdx::Expression::parse_mode(&written, mode) else {
            wrong.push(format!("{}: {written:?}", name(package)));
            continue;
        };
        let good = expression.evaluate(|licence| {
            licence.license.id().is_some_and(|id| {
                LICENCES.contains(&id.name) || FURTHER.contains(&(name(package), id.name))
            })
        });
        if !good {
            wrong.push(format!("{}: {written}", name(package)));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// No folder, no repository: one registry, whose name `Cargo.lock` holds with a checksum of each crate.
#[test]
fn everything_comes_from_one_registry() {
    let mut sources = BTreeSet::new();
    for package in packages() {
        if name(package) == "plyloom" {
            continue;
        }
        let source = package["source"].as_str().unwrap_or("a folder");
        assert!(
            source.starts_with("registry+"),
            "{}: {source}",
            name(package)
        );
        sources.insert(source.to_owned());
    }
    assert_eq!(sources.len(), 1, "{sources:?}");
}

#[test]
fn no_crate_comes_in_two_versions_but_those_known() {
    let mut versions: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for package in packages() {
        let version = package["version"].as_str().unwrap().to_owned();
        versions
            .entry(name(package).to_owned())
            .or_default()
            .insert(version);
    }
    let twice: Vec<String> = versions
        .iter()
        .filter(|(_, versions)| versions.len() > 1)
        .map(|(name, versions)| format!("{name} {versions:?}"))
        .collect();
    let unknown: Vec<&String> = twice
        .iter()
        .filter(|one| {
            !TWICE
                .iter()
                .any(|known| one.starts_with(&format!("{known} ")))
        })
        .collect();
    assert!(unknown.is_empty(), "{unknown:#?}");
    for known in TWICE {
        assert!(
            versions.get(*known).is_some_and(|v| v.len() > 1),
            "{known} no longer comes twice"
        );
    }
}

#[test]
fn what_is_of_no_use_here_is_not_here() {
    for package in packages() {
        let banned = BANNED.iter().find(|(banned, _)| *banned == name(package));
        assert_eq!(banned, None);
    }
}

#[test]
fn unsafe_code_is_forbidden_in_library_and_program() {
    for file in ["src/lib.rs", "src/main.rs"] {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(file);
        let text = std::fs::read_to_string(path).unwrap();
        assert!(text.contains("#![forbid(unsafe_code)]"), "{file}");
    }
}
