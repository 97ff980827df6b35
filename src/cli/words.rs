//! `plyloom words`: the words that recipes are written with.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;

use super::terminal::{Look, print};
use super::trouble::Trouble;
use super::visible::on_one_line;
use crate::files::write_whole;
use crate::recipe::definitions::definitions;
use crate::recipe::library;
use crate::recipe::vocabulary::groups;
use crate::recipe::words::{Word, words};

/// Print the words that recipes are written with, or one of them in full
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  plyloom words\n  plyloom words hexagon\n  plyloom words --json\n  plyloom words --definitions definitions"
)]
pub(super) struct WordsArgs {
    /// The word to describe: its forms, what it does, an example
    #[arg(value_name = "WORD")]
    word: Option<String>,

    /// Print JSON instead of text
    #[arg(long)]
    json: bool,

    /// Write definition files for editors that know the language Rhai to this folder
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath,
          conflicts_with_all = ["word", "json"])]
    definitions: Option<PathBuf>,
}

pub(super) fn run(args: &WordsArgs) -> Result<(), Trouble> {
    if let Some(folder) = &args.definitions {
        return write_definitions(folder);
    }
    let all = words();
    let found = match &args.word {
        None => all,
        Some(name) => {
            let (found, rest): (Vec<Word>, Vec<Word>) =
                all.into_iter().partition(|word| word.name == *name);
            if found.is_empty() {
                return Err(unknown(name, &rest));
            }
            found
        }
    };
    if args.json {
        let mut text = serde_json::to_string_pretty(&found)
            .expect("invariant: every field has a form in JSON");
        text.push('\n');
        print(&text)
    } else if args.word.is_some() {
        let full: Vec<String> = found.iter().map(in_full).collect();
        print(&full.join("\n"))
    } else {
        print(&list(&found, Look::of_output()))
    }
}

fn write_definitions(folder: &Path) -> Result<(), Trouble> {
    let mut written = String::new();
    for (name, text) in definitions() {
        let path = folder.join(name);
        write_whole(&path, text.as_bytes())?;
        let _ = writeln!(
            written,
            "{} is written",
            on_one_line(&path.display().to_string())
        );
    }
    print(&written)
}

fn unknown(name: &str, known: &[Word]) -> Trouble {
    let wanted = name.to_lowercase();
    let allowed = (wanted.chars().count() / 3).max(1);
    let near = known
        .iter()
        .map(|word| {
            (
                strsim::osa_distance(&wanted, &word.name.to_lowercase()),
                &word.name,
            )
        })
        .filter(|(distance, _)| *distance <= allowed)
        .min();
    Trouble::Usage {
        message: format!("there is no word `{}`", on_one_line(name)),
        help: match near {
            Some((_, near)) => format!("did you mean `{near}`?"),
            None => "`plyloom words` lists them all".to_owned(),
        },
    }
}

/// Every group with its words, one a line.
fn list(words: &[Word], look: Look) -> String {
    let longest = words.iter().map(|w| w.name.chars().count()).max();
    let longest = longest.unwrap_or(0);
    let mut text = String::new();
    for group in groups() {
        let _ = writeln!(text, "{}: {}", group.name, group.about);
        for word in words.iter().filter(|word| word.group == group.name) {
            let room = look.width.saturating_sub(longest + 4);
            let about = first_sentence(&word.doc);
            let about = if look.terminal {
                shortened(&about, room)
            } else {
                about
            };
            let line = format!("  {:<longest$}  {about}", word.name);
            let _ = writeln!(text, "{}", line.trim_end());
        }
        text.push('\n');
    }
    text.push_str("rule modules: to import by name\n");
    for name in library::names() {
        let _ = writeln!(text, "  import \"{name}\" as {name};");
    }
    text.push_str("\n`plyloom words WORD` tells all about one of them.\n");
    text
}

/// One word: its forms, its description, its example.
fn in_full(word: &Word) -> String {
    let mut text = format!("{} ({})\n\n", word.name, word.group);
    for form in &word.forms {
        let gives = match form.gives.as_str() {
            "" | "nothing" => String::new(),
            gives => format!(" -> {gives}"),
        };
        let _ = writeln!(text, "  {}{gives}", form.named(&word.name));
    }
    if !word.doc.is_empty() {
        let _ = write!(text, "\n{}\n", word.doc);
    }
    if !word.example.is_empty() {
        text.push_str("\nExample\n");
        for line in word.example.lines() {
            let _ = writeln!(text, "{}", format!("    {line}").trim_end());
        }
    }
    text
}

/// Up to the first full stop that ends a sentence, on one line.
fn first_sentence(doc: &str) -> String {
    let paragraph = doc.split("\n\n").next().unwrap_or("");
    let line = paragraph.split_whitespace().collect::<Vec<_>>().join(" ");
    match line.find(". ") {
        Some(end) => line[..end].to_owned(),
        None => line.trim_end_matches('.').to_owned(),
    }
}

/// At most `room` letters, with a sign where some are left out.
fn shortened(text: &str, room: usize) -> String {
    if text.chars().count() <= room {
        return text.to_owned();
    }
    let mut short: String = text.chars().take(room.saturating_sub(1)).collect();
    short.truncate(short.trim_end().len());
    short.push('…');
    short
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_description_is_cut_to_its_first_sentence() {
        assert_eq!(
            first_sentence("One thing, 3.5 mm\nwide. More."),
            "One thing, 3.5 mm wide"
        );
        assert_eq!(first_sentence("Alone."), "Alone");
        assert_eq!(first_sentence(""), "");
    }

    #[test]
    fn a_line_fits() {
        assert_eq!(shortened("abcdef", 6), "abcdef");
        assert_eq!(shortened("abc def", 5), "abc…");
    }
}
