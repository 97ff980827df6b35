//! Every word that a message recommends is a word that there is.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use plyloom::recipe::words::words;

/// What is written with brackets and is no word of the vocabulary: of the language itself, of colours, or
/// a name that stands for any.
const OTHERS: [&str; 14] = [
    "abs", "if", "for", "while", "switch", "catch", "fn", "name", "word", "print", "call", "len",
    "rgb", "type_of",
];

/// What stands before a point in advice, where a word follows it.
const OWNERS: [&str; 6] = ["tile", "sheet", "strip", "bar", "panel", "cell"];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder of the tree") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// The texts in quotation marks of Rust code, comments and unit tests left out.
fn texts(code: &str) -> Vec<String> {
    let code = code.split("\n#[cfg(test)]").next().unwrap_or_default();
    // The quotation mark as a character begins no text.
    let code = code.replace("'\"'", "' '");
    let mut found = Vec::new();
    let mut letters = code.chars().peekable();
    while let Some(letter) = letters.next() {
        if letter == '/' && letters.peek() == Some(&'/') {
            letters.by_ref().find(|c| *c == '\n');
        }
        if letter != '"' {
            continue;
        }
        let mut text = String::new();
        while let Some(letter) = letters.next() {
            match letter {
                '"' => break,
                '\\' => match letters.next() {
                    Some(quoted @ ('"' | '\\')) => text.push(quoted),
                    _ => text.push(' '),
                },
                other => text.push(other),
            }
        }
        found.push(text);
    }
    found
}

/// The names in a text that are written with brackets, or behind a point after a thing of the
/// vocabulary.
fn recommended(text: &str) -> BTreeSet<String> {
    let is_part = |c: char| c.is_ascii_lowercase() || c == '_';
    let mut found = BTreeSet::new();
    for (at, _) in text.match_indices(['(', '.']) {
        let name: String = match &text[at..=at] {
            "(" => {
                let before: String = text[..at]
                    .chars()
                    .rev()
                    .take_while(|c| is_part(*c))
                    .collect();
                let name: String = before.chars().rev().collect();
                let lead = text[..at - name.len()].chars().next_back();
                // `{name}(...)` is filled in with what the recipe says.
                let whole = lead.is_none_or(|c| !c.is_alphanumeric() && !"{}$".contains(c));
                if whole { name } else { String::new() }
            }
            _ if OWNERS
                .iter()
                .any(|owner| ends_with_word(&text[..at], owner)) =>
            {
                text[at + 1..].chars().take_while(|c| is_part(*c)).collect()
            }
            _ => String::new(),
        };
        if !name.is_empty() {
            found.insert(name);
        }
    }
    found
}

fn ends_with_word(text: &str, word: &str) -> bool {
    text.strip_suffix(word)
        .is_some_and(|before| !before.ends_with(|c: char| c.is_alphanumeric() || c == '_'))
}

#[test]
fn every_word_that_is_recommended_exists() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/recipe");
    let mut files = Vec::new();
    sources(&root, &mut files);
    let words = words();
    let known: BTreeSet<&str> = words.iter().map(|word| word.name.as_str()).collect();
    let (mut seen, mut wrong) = (0, Vec::new());
    for path in &files {
        let code = fs::read_to_string(path).expect("source");
        for text in texts(&code) {
            for name in recommended(&text) {
                seen += 1;
                if !known.contains(name.as_str()) && !OTHERS.contains(&name.as_str()) {
                    let file = path.strip_prefix(&root).expect("inside").display();
                    wrong.push(format!("{file}: `{name}` in {text:?}"));
                }
            }
        }
    }
    assert!(seen > 60, "only {seen} words were found in messages");
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn recommended_words_are_found_in_texts() {
    let names = |text: &str| recommended(text).into_iter().collect::<Vec<_>>();
    assert_eq!(names("write `power(2, 3)`, not 2 (or 3)"), ["power"]);
    assert_eq!(
        names("`tile.rotated` tells, tile.rotate(90) turns"),
        ["rotate", "rotated"]
    );
    assert!(names("`{word}(...)` e.g. this. that").is_empty());
}

/// The rooms that know no door: options and commands are named by the terminal and the page.
const CORE: [&str; 11] = [
    "geom",
    "stock",
    "layout",
    "recipe",
    "plan",
    "appearance",
    "draw",
    "explore",
    "check",
    "bundle",
    "session",
];

#[test]
fn the_core_names_no_option_of_a_door() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let (mut seen, mut wrong) = (0, Vec::new());
    for room in CORE {
        let mut files = Vec::new();
        sources(&root.join(room), &mut files);
        for path in files {
            for text in texts(&fs::read_to_string(&path).expect("source")) {
                seen += 1;
                let option = [" --", "`--", "`plyloom "].iter().any(|sign| {
                    text.split(sign)
                        .skip(1)
                        .any(|rest| rest.starts_with(|c: char| c.is_ascii_lowercase()))
                });
                if option {
                    wrong.push(format!("{}: {text:?}", path.display()));
                }
            }
        }
    }
    assert!(seen > 1000, "only {seen} texts were found");
    assert!(wrong.is_empty(), "{wrong:#?}");
}
