//! Who may know whom, and what must not stand in the tree.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Each folder of `src/` with those that it may use. Arrows point down.
const MAY_USE: &[(&str, &[&str])] = &[
    ("watch", &[]),
    ("geom", &["watch"]),
    ("stock", &["geom", "watch"]),
    ("layout", &["stock", "geom", "watch"]),
    ("plan", &["layout", "stock", "geom", "watch"]),
    ("recipe", &["layout", "stock", "geom", "watch"]),
    ("appearance", &["layout", "stock", "geom", "watch"]),
    (
        "draw",
        &["plan", "appearance", "layout", "stock", "geom", "watch"],
    ),
    (
        "explore",
        &[
            "bundle",
            "recipe",
            "draw",
            "appearance",
            "layout",
            "plan",
            "stock",
            "geom",
            "watch",
        ],
    ),
    ("files", &["recipe"]),
    ("check", &["recipe", "plan", "layout", "stock", "geom"]),
    ("bundle", &["recipe", "layout", "stock", "geom"]),
    (
        "session",
        &[
            "edge",
            "bundle",
            "explore",
            "draw",
            "appearance",
            "recipe",
            "plan",
            "layout",
            "stock",
            "geom",
            "watch",
        ],
    ),
    (
        "live",
        &[
            "session",
            "files",
            "bundle",
            "explore",
            "draw",
            "appearance",
            "recipe",
            "layout",
            "stock",
            "geom",
            "watch",
        ],
    ),
    ("edge", &["stock", "watch"]),
    (
        "rack",
        &["recipe", "plan", "layout", "stock", "geom", "watch"],
    ),
    (
        "cli",
        &[
            "edge",
            "rack",
            "live",
            "session",
            "files",
            "bundle",
            "check",
            "explore",
            "draw",
            "appearance",
            "recipe",
            "plan",
            "layout",
            "stock",
            "geom",
            "watch",
        ],
    ),
];

/// What reaches outside, with those that may: the world is met at the border only.
const BORDER: &[(&str, &[&str])] = &[
    ("std::fs", &["files"]),
    ("std::net", &["live"]),
    ("axum::", &["live"]),
    ("tokio::", &["live"]),
    ("getrandom::", &["live"]),
    ("open::", &["cli"]),
    ("std::env", &["cli"]),
    ("std::process", &["cli"]),
    ("std::time::SystemTime", &["files"]),
    ("rhai::", &["recipe"]),
    ("clap::", &["cli"]),
    ("miette::", &["cli"]),
    ("comfy_table::", &["cli"]),
    ("indicatif::", &["cli"]),
    ("rayon::", &["cli", "draw", "layout"]),
    ("notify::", &["live"]),
    ("tempfile::", &["files"]),
];

/// Marks of unfinished work.
const UNFINISHED: &[&str] = &["dbg!", "todo!", "unimplemented!"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder of the tree") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// The code without comments that run to the end of a line, and without the unit tests, which end
/// a file by custom.
fn code(text: &str) -> String {
    let body = text.split("\n#[cfg(test)]\nmod tests").next().unwrap_or("");
    let lines = body.lines().map(|l| l.split("//").next().unwrap_or(""));
    lines.collect::<Vec<_>>().join("\n")
}

/// The paths after each `crate::`, two names deep: `recipe::host`. Groups in braces are opened.
fn uses(code: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for (index, _) in code.match_indices("crate::") {
        if code[..index].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == '$') {
            continue;
        }
        for path in expand(&code[index + "crate::".len()..]) {
            let two: Vec<&str> = path.split("::").take(2).collect();
            found.insert(two.join("::"));
        }
    }
    found
}

/// The paths that the start of `text` names: one, or one for each branch of a group.
fn expand(text: &str) -> Vec<String> {
    let text = text.trim_start();
    if let Some(group) = text.strip_prefix('{') {
        let mut paths = Vec::new();
        let mut depth = 0;
        let mut start = 0;
        for (index, letter) in group.char_indices() {
            let ends = depth == 0 && (letter == ',' || letter == '}');
            if ends && !group[start..index].trim().is_empty() {
                paths.extend(expand(&group[start..index]));
            }
            match letter {
                ',' if depth == 0 => start = index + 1,
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                _ => {}
            }
        }
        return paths;
    }
    let end = text
        .find(|c: char| !c.is_alphanumeric() && c != '_')
        .unwrap_or(text.len());
    let name = &text[..end];
    match text[end..].strip_prefix("::") {
        Some(rest) => expand(rest)
            .into_iter()
            .map(|below| format!("{name}::{below}"))
            .collect(),
        None => vec![name.to_owned()],
    }
}

/// The folder of `src/` that a file belongs to; none for `lib.rs` and `main.rs`.
fn layer(path: &Path) -> Option<String> {
    let inside = path
        .strip_prefix(root().join("src"))
        .expect("a file of src");
    let first = inside.components().next()?.as_os_str().to_str()?;
    (inside.components().count() > 1 || !["lib.rs", "main.rs"].contains(&first))
        .then(|| first.trim_end_matches(".rs").to_owned())
}

#[test]
fn arrows_point_down() {
    let mut wrong = Vec::new();
    for path in rust_files(&root().join("src")) {
        let Some(layer) = layer(&path) else { continue };
        let Some((_, allowed)) = MAY_USE.iter().find(|(name, _)| *name == layer) else {
            wrong.push(format!("{}: `{layer}` is not in the table", path.display()));
            continue;
        };
        for used in uses(&code(&fs::read_to_string(&path).expect("source"))) {
            let first = used.split("::").next().unwrap_or("");
            if first != layer && !allowed.contains(&first) {
                wrong.push(format!("{} uses crate::{used}", path.display()));
            }
            let door = ["recipe::host", "recipe::source", "recipe::store"];
            if layer == "files" && first == "recipe" && !door.contains(&used.as_str()) {
                wrong.push(format!(
                    "{} uses crate::{used}, not only the door",
                    path.display()
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Every module of `src/` by its path, `recipe::host`, with the modules that its code names.
fn modules() -> BTreeMap<String, BTreeSet<String>> {
    let src = root().join("src");
    let files: BTreeMap<String, PathBuf> = rust_files(&src)
        .into_iter()
        .filter_map(|path| {
            let inside = path.strip_prefix(&src).expect("a file of src");
            let name = inside.with_extension("").to_str()?.replace('/', "::");
            let name = name.strip_suffix("::mod").unwrap_or(&name).to_owned();
            (!["lib", "main"].contains(&name.as_str())).then_some((name, path))
        })
        .collect();
    let known = |path: &str| {
        let mut path = path;
        while !files.contains_key(path) {
            path = path.rsplit_once("::")?.0;
        }
        Some(path.to_owned())
    };
    let named = |name: &String, path: &PathBuf| {
        let code = code(&fs::read_to_string(path).expect("source"));
        let mut found: BTreeSet<String> = named_paths(name, &code)
            .iter()
            .filter_map(|path| known(path))
            .collect();
        found.remove(name);
        found
    };
    let all = files.iter();
    all.map(|(name, path)| (name.clone(), named(name, path)))
        .collect()
}

/// The whole paths that the code of a module names, by `crate::`, `self::` and `super::`.
fn named_paths(module: &str, code: &str) -> Vec<String> {
    let mut found = Vec::new();
    for root in ["crate::", "self::", "super::"] {
        for (index, _) in code.match_indices(root) {
            let before = &code[..index];
            if before.ends_with(|c: char| c.is_alphanumeric() || "_$:".contains(c)) {
                continue;
            }
            let mut rest = &code[index + root.len()..];
            let mut home = match root {
                "crate::" => "",
                "self::" => module,
                _ => parent(module),
            };
            while let Some(more) = rest.strip_prefix("super::") {
                (rest, home) = (more, parent(home));
            }
            let paths = expand(rest).into_iter();
            found.extend(paths.map(|path| match home {
                "" => path,
                home => format!("{home}::{path}"),
            }));
        }
    }
    found
}

fn parent(module: &str) -> &str {
    module.rsplit_once("::").map_or("", |(parent, _)| parent)
}

/// Everything that a module leads to.
fn reached<'a>(from: &str, modules: &'a BTreeMap<String, BTreeSet<String>>) -> BTreeSet<&'a str> {
    let mut found = BTreeSet::new();
    let mut open: Vec<&str> = modules[from].iter().map(String::as_str).collect();
    while let Some(next) = open.pop() {
        if found.insert(next) {
            open.extend(modules[next].iter().map(String::as_str));
        }
    }
    found
}

#[test]
fn no_file_leads_back_to_itself() {
    let modules = modules();
    assert!(modules.len() > 200, "{} modules", modules.len());
    let all: BTreeMap<&str, BTreeSet<&str>> = modules
        .keys()
        .map(|name| (name.as_str(), reached(name, &modules)))
        .collect();
    let mut circles: BTreeSet<Vec<&str>> = BTreeSet::new();
    for (name, leads_to) in all.iter().filter(|(name, to)| to.contains(*name)) {
        let back = leads_to.iter().filter(|other| all[*other].contains(name));
        circles.insert(back.copied().collect());
    }
    assert!(
        circles.is_empty(),
        "a file is read with those below it, and none of them leads back: {circles:#?}"
    );
}

#[test]
fn paths_are_found_from_where_they_are_written() {
    let code = "use super::{host::Host, run};\nuse crate::geom::Point;\nsuper::super::draw::x();\n";
    let mut found = named_paths("recipe::words::list", code);
    found.sort();
    assert_eq!(
        found,
        [
            "geom::Point",
            "recipe::draw::x",
            "recipe::words::host::Host",
            "recipe::words::run"
        ]
    );
}

/// Each step of the walk names a file of `src/` and functions that it has.
#[test]
fn the_walk_of_a_preview_leads_through_functions_that_there_are() {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).expect("the document");
    let (_, walk) = text
        .split_once("## How a `preview` is made")
        .expect("the walk");
    let walk = walk.split("\n## ").next().unwrap_or("");
    let mut source = String::new();
    let mut functions = 0;
    for name in walk.split('`').skip(1).step_by(2) {
        if Path::new(name).extension().is_some() {
            source = fs::read_to_string(root().join("src").join(name)).expect(name);
        } else if name.ends_with('/') {
            assert!(root().join("src").join(name).is_dir(), "{name}");
        } else {
            let there = [format!("fn {name}("), format!("fn {name}<")];
            assert!(there.iter().any(|f| source.contains(f)), "{name}");
            functions += 1;
        }
    }
    assert!(functions >= 10, "{functions} functions");
}

#[test]
fn the_program_is_only_the_command_line() {
    let text = code(&fs::read_to_string(root().join("src/main.rs")).expect("source"));
    for (index, _) in text.match_indices("plyloom::") {
        assert!(text[index..].starts_with("plyloom::cli::"), "{text}");
    }
}

#[test]
fn the_world_is_met_at_the_border() {
    let mut wrong = Vec::new();
    for path in rust_files(&root().join("src")) {
        let Some(layer) = layer(&path) else { continue };
        let code = code(&fs::read_to_string(&path).expect("source"));
        for (name, allowed) in BORDER {
            let met = code.match_indices(name).any(|(index, _)| {
                !code[..index].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':')
            });
            if met && !allowed.contains(&layer.as_str()) {
                wrong.push(format!("{} reaches for {name}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn nothing_is_left_unfinished() {
    let mut wrong = Vec::new();
    for folder in ["src", "tests", "benches", "examples"] {
        let folder = root().join(folder);
        if !folder.is_dir() {
            continue;
        }
        for path in rust_files(&folder) {
            if path.ends_with("tests/architecture.rs") {
                continue;
            }
            let text = fs::read_to_string(&path).expect("source");
            for mark in UNFINISHED.iter().filter(|mark| text.contains(**mark)) {
                wrong.push(format!("{} holds {mark}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn uses_are_found_in_every_form() {
    let text = "use crate::geom::{Point, Rect};\n\
                use crate::{\n    layout::panel::{Cell, Panel},\n    stock,\n};\n\
                // use crate::cli;\n\
                fn f() { crate::recipe::host::g(); other_crate::x(); }\n";
    let found: Vec<String> = uses(&code(text)).into_iter().collect();
    assert_eq!(
        found,
        [
            "geom::Point",
            "geom::Rect",
            "layout::panel",
            "recipe::host",
            "stock"
        ]
    );
}
