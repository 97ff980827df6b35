//! Reads a document of Markdown and carries it out.
//!
//! - A fence `rhai NAME` is written to the file NAME; one without a name to `recipe.rhai`, and run.
//! - A fence `console` is a session: lines with `$ ` are commands, those below what they print. A line
//!   `...` stands for any number of lines.
//! - A line `Makes: ...` tells what the panels of the recipe before it are.
//!
//! `PLYLOOM_BLESS=1` writes what is printed and made into the document anew; `...` stays.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use plyloom::layout::tally::Tally;
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use plyloom::recipe::{Outcome, evaluate};

use crate::common::Bench;

/// What was carried out.
#[derive(Debug, Default)]
pub(crate) struct Done {
    pub(crate) commands: Vec<String>,
    pub(crate) recipes: usize,
    /// Recipes of which the document tells what they make.
    pub(crate) told: usize,
    /// Headings of the second level.
    pub(crate) headings: Vec<String>,
}

pub(crate) fn document(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("docs")
        .join(name)
}

/// Carries out a document, and holds that it tells the truth.
pub(crate) fn carry_out(name: &str) -> Done {
    let path = document(name);
    let text = fs::read_to_string(&path).expect("a document");
    let bench = Bench::new();
    let mut done = Done::default();
    let mut now = String::new();
    let mut made: Option<Outcome> = None;
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let _ = writeln!(now, "{line}");
        if let Some(heading) = line.strip_prefix("## ") {
            done.headings.push(heading.to_owned());
        } else if line.starts_with("Makes: ") {
            now.truncate(now.len() - line.len() - 1);
            let made = made.as_ref().expect("a recipe before `Makes:`");
            let _ = writeln!(now, "Makes: {}", facts(made));
            done.told += 1;
        } else if let Some(fence) = line.strip_prefix("```")
            && !fence.is_empty()
        {
            let block: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
            match fence.split_once(' ') {
                Some(("rhai", file)) => bench.write(file, joined(&block)),
                None if fence == "rhai" => {
                    let text = joined(&block);
                    bench.write("recipe.rhai", &text);
                    made = Some(run(name, &text));
                    done.recipes += 1;
                }
                _ => {}
            }
            let block = if fence == "console" {
                session(&bench, &block, &mut done.commands)
            } else {
                joined(&block)
            };
            now.push_str(&block);
            now.push_str("```\n");
        }
    }
    if std::env::var_os("PLYLOOM_BLESS").is_some() && now != text {
        fs::write(&path, &now).expect("the document is written");
    }
    let written = fs::read_to_string(&path).expect("a document");
    for (wanted, got) in written.lines().zip(now.lines()) {
        assert_eq!(wanted, got, "in docs/{name}");
    }
    assert_eq!(written.lines().count(), now.lines().count(), "docs/{name}");
    done
}

fn joined(lines: &[&str]) -> String {
    lines
        .iter()
        .fold(String::new(), |text, line| text + *line + "\n")
}

fn run(name: &str, text: &str) -> Outcome {
    let source = Arc::new(Source::new(name, text));
    evaluate(&source, &Settings::default(), Arc::new(MemoryHost::new()))
        .unwrap_or_else(|failure| panic!("{name}: {failure}in\n{text}"))
}

/// Size and tiles of every panel.
fn facts(outcome: &Outcome) -> String {
    let panels = outcome.panels.iter().map(|panel| {
        let tally = Tally::of(panel);
        let mut kinds: Vec<&str> = tally.rows.iter().map(|row| row.kind.as_str()).collect();
        kinds.dedup();
        let kinds = match kinds.len() {
            1 => String::new(),
            n => format!(" of {n} kinds"),
        };
        format!(
            "{}, {:.1} x {:.1} mm, {} tiles{kinds}",
            panel.name,
            tally.width,
            tally.height,
            tally.total()
        )
    });
    panels.collect::<Vec<_>>().join("; ")
}

/// Runs the commands of a session; the session as it went, with `...` where the document has it.
fn session(bench: &Bench, block: &[&str], commands: &mut Vec<String>) -> String {
    let mut now = String::new();
    let mut rest = block;
    while let Some((first, after)) = rest.split_first() {
        let command = first
            .strip_prefix("$ ")
            .expect("a session begins with a command");
        let count = after
            .iter()
            .take_while(|line| !line.starts_with("$ "))
            .count();
        let (told, after) = after.split_at(count);
        rest = after;
        let words = words(command);
        assert_eq!(
            words.first().map(String::as_str),
            Some("plyloom"),
            "{command}"
        );
        let arguments: Vec<&str> = words.iter().skip(1).map(String::as_str).collect();
        let ran = bench.run(&arguments);
        let printed = format!("{}{}", ran.err, ran.out);
        // How far a run of more than a second is: that depends on the machine.
        let progress = |line: &str| line.ends_with(" made") && line.contains(" of ");
        let printed: Vec<&str> = printed.lines().filter(|line| !progress(line)).collect();
        let printed = joined(&printed);
        let expected_failure = told.first().is_some_and(|line| line.contains("::"));
        assert_eq!(ran.code != 0, expected_failure, "{command}: {ran:#?}");
        let _ = writeln!(now, "{first}");
        now.push_str(&shortened(told, &printed));
        commands.push(command.to_owned());
    }
    now
}

/// What was printed, with `...` in the place of what the document leaves out.
fn shortened(told: &[&str], printed: &str) -> String {
    if told.is_empty() {
        return String::new();
    }
    let printed: Vec<&str> = printed.lines().map(str::trim_end).collect();
    let mut now = String::new();
    let mut at = 0;
    let mut pieces = told.split(|line| *line == "...").peekable();
    let mut first = true;
    while let Some(piece) = pieces.next() {
        let from = match piece {
            _ if first => 0,
            [] => printed.len(),
            // What comes after `...` begins where its first line stands; else the document is wrong.
            [head, ..] => printed[at..]
                .iter()
                .position(|line| line == head)
                .map_or(printed.len(), |i| at + i),
        };
        if !first {
            now.push_str("...\n");
        }
        let last = pieces.peek().is_none();
        let to = if first && last {
            printed.len()
        } else {
            (from + piece.len()).min(printed.len())
        };
        for line in &printed[from..to] {
            let _ = writeln!(now, "{line}");
        }
        at = to;
        first = false;
    }
    now
}

/// The words of a command as a shell parts them: by blanks outside of double quotes.
fn words(command: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for letter in command.chars() {
        match letter {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            _ => words.last_mut().expect("one word at least").push(letter),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

#[test]
fn a_session_may_leave_lines_out() {
    let printed = "a\nb\nc\nd\n";
    assert_eq!(shortened(&["a", "..."], printed), "a\n...\n");
    assert_eq!(
        shortened(&["a", "...", "c", "..."], printed),
        "a\n...\nc\n...\n"
    );
    assert_eq!(
        shortened(&["x"], printed),
        printed,
        "a whole session is compared whole"
    );
    assert_eq!(
        shortened(&["x", "..."], printed),
        "a\n...\n",
        "a wrong line shows"
    );
    assert_eq!(
        shortened(&["a", "...", "x"], printed),
        "a\n...\n",
        "a line that is not there shows"
    );
}

#[test]
fn words_are_parted_as_by_a_shell() {
    assert_eq!(
        words("plyloom x --set a=\"3/4 in\""),
        ["plyloom", "x", "--set", "a=3/4 in"]
    );
}
