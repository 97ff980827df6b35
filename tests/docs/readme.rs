//! The commands and the recipe of `README.md`, carried out as written, and its pictures.

use std::fs;

use crate::book::{carry_out, document};

#[test]
fn a_new_user_gets_from_nothing_to_a_plan() {
    let done = carry_out("../README.md");
    for step in ["new --like", "preview", "vary", "plan"] {
        let step = format!("plyloom {step} ");
        assert!(
            done.commands.iter().any(|line| line.starts_with(&step)),
            "no `{step}` among {:?}",
            done.commands
        );
    }
}

#[test]
fn every_command_is_in_the_table_and_every_link_and_picture_leads_somewhere() {
    let text = fs::read_to_string(document("../README.md")).expect("the README");
    let bench = crate::common::Bench::new();
    let help = bench.run(&["--help"]).out;
    let commands = help
        .split("Commands:\n")
        .nth(1)
        .and_then(|rest| rest.split("\n\n").next())
        .expect("the list of commands");
    for command in commands.lines().filter_map(|l| l.split_whitespace().next()) {
        assert!(text.contains(&format!("`plyloom {command}")), "{command}");
    }
    let targets = text
        .split("](")
        .skip(1)
        .filter_map(|rest| rest.split(')').next())
        .chain(
            text.split("src=\"")
                .skip(1)
                .filter_map(|rest| rest.split('"').next()),
        );
    for target in targets.filter(|target| !target.starts_with("http")) {
        let (file, anchor) = target.split_once('#').unwrap_or((target, ""));
        let file = if file.is_empty() { "README.md" } else { file };
        let path = document("..").join(file);
        assert!(path.exists(), "{target}");
        if !anchor.is_empty() {
            let text = fs::read_to_string(&path).expect("a document");
            let mut headings = text.lines().filter(|line| line.starts_with("## "));
            assert!(headings.any(|line| anchor_of(line) == anchor), "{target}");
        }
    }
    let first = text.find("<img").expect("pictures first");
    assert!(first < text.find("## ").expect("a heading"));
}

/// What leads to a heading: its words in small letters, with a hyphen for each space.
fn anchor_of(heading: &str) -> String {
    let words = heading.trim_start_matches('#').trim().to_lowercase();
    words
        .chars()
        .filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'))
        .map(|c| if c == ' ' { '-' } else { c })
        .collect()
}
