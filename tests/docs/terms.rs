//! Phrases that makers stumbled over do not come back: the list of them is in `DEVELOPERS.md`.

use std::fs;
use std::path::{Path, PathBuf};

use crate::book::document;

/// The phrases of the table `| not | but |`.
fn phrases() -> Vec<String> {
    let text = fs::read_to_string(document("../DEVELOPERS.md")).expect("DEVELOPERS.md");
    let table = text.split("| not | but |\n| --- | --- |\n").nth(1);
    let rows = table
        .expect("the table")
        .lines()
        .take_while(|l| l.starts_with("| "));
    rows.map(|row| row.split(" | ").next().expect("a cell")[2..].to_owned())
        .collect()
}

/// All texts of a folder with one of these endings.
fn texts(folder: &Path, endings: &[&str], into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            if path.file_name().is_none_or(|name| name != "node_modules") {
                texts(&path, endings, into);
            }
        } else if path
            .extension()
            .is_some_and(|e| endings.iter().any(|one| e == *one))
        {
            into.push(path);
        }
    }
}

#[test]
fn phrases_that_puzzled_do_not_come_back() {
    let phrases = phrases();
    assert!(phrases.len() >= 15, "{phrases:?}");
    let mut files = vec![document("../README.md"), document("../CHANGELOG.md")];
    for (folder, endings) in [
        ("src", ["rs", "js", "html", "rhai"].as_slice()),
        ("scripts", &["rhai"]),
        ("docs", &["md"]),
        ("demo-patterns", &["rhai"]),
    ] {
        texts(&document("..").join(folder), endings, &mut files);
    }
    // The editor is made of packages of others.
    files.retain(|path| !path.ends_with("web/editor.js"));
    assert!(files.len() > 400, "{} files", files.len());
    let mut found = Vec::new();
    for path in files {
        let text = fs::read_to_string(&path).expect("a text");
        // A phrase may be broken over two lines, in a text or in a comment.
        let one_line = text
            .split('\n')
            .map(|line| {
                line.trim()
                    .trim_start_matches("//")
                    .trim_start_matches(['/', '!'])
                    .trim()
            })
            .map(|line| line.strip_suffix('\\').unwrap_or(line).trim_end())
            .collect::<Vec<_>>()
            .join(" ")
            .to_lowercase();
        for phrase in &phrases {
            if one_line.contains(phrase.as_str()) {
                found.push(format!("{}: {phrase}", path.display()));
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}
