//! `plyloom words`: the words that recipes are written with.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;

use super::cli_error::CliError;
use super::stream::Stream;
use super::terminal::{json_lines, print};
use super::words_pages;
use crate::files::write_whole;
use crate::recipe::definitions::definitions;
use crate::recipe::foreign::instead_of;
use crate::recipe::library_words::{RuleModule, modules};
use crate::recipe::topics::{Topic, topic, topics};
use crate::recipe::vocabulary::groups;
use crate::recipe::words::{Word, words};
use crate::session::visible::{on_one_line, shown_path};

/// Print the words that recipes are written with, or one of them in full
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  plyloom words\n  plyloom words hexagon\n  plyloom words if\n  plyloom words --json\n  plyloom words rings\n  plyloom words --definitions definitions\n  plyloom words --pages reference"
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

    /// Write the reference as pages of Markdown with pictures to this folder
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath,
          conflicts_with_all = ["word", "json", "definitions"])]
    pages: Option<PathBuf>,
}

pub(super) fn run(args: &WordsArgs) -> Result<(), CliError> {
    if let Some(folder) = &args.definitions {
        return write_definitions(folder);
    }
    let modules = modules();
    if let Some(folder) = &args.pages {
        let (pages, pictures) = words_pages::write(folder, &words(), &modules)?;
        let folder = shown_path(folder);
        return print(&format!(
            "{pages} pages and {pictures} pictures are in {folder}\n"
        ));
    }
    let all: Vec<Word> = words()
        .into_iter()
        .chain(modules.iter().flat_map(|module| module.words.clone()))
        .collect();
    let found = match &args.word {
        None => all,
        Some(name) => {
            if !args.json
                && let Some(module) = modules.iter().find(|module| module.name == name)
            {
                return print(&module_in_full(module));
            }
            let (found, rest): (Vec<Word>, Vec<Word>) =
                all.into_iter().partition(|word| is_called(word, name));
            if found.is_empty()
                && !args.json
                && let Some(topic) = topic(name)
            {
                return print(&topic_in_full(topic));
            }
            if found.is_empty() {
                return Err(unknown(name, &rest));
            }
            found
        }
    };
    if args.json {
        print(&json_lines(&found))
    } else if args.word.is_some() {
        let full: Vec<String> = found.iter().map(in_full).collect();
        print(&full.join("\n"))
    } else {
        print(&list(&found, &modules, Stream::of_output()))
    }
}

/// Whether a word has a name, with its module's name before it or without.
fn is_called(word: &Word, name: &str) -> bool {
    word.name == name || word.name.rsplit("::").next() == Some(name)
}

fn write_definitions(folder: &Path) -> Result<(), CliError> {
    let mut written = String::new();
    for (name, text) in definitions() {
        let path = folder.join(name);
        write_whole(&path, text.as_bytes())?;
        let _ = writeln!(written, "{} is written", shown_path(&path));
    }
    print(&written)
}

fn unknown(name: &str, known: &[Word]) -> CliError {
    if let Some(instead) = instead_of(name) {
        return CliError::Usage {
            message: format!("there is no word `{}`", on_one_line(name)),
            help: instead.to_owned(),
        };
    }
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
    CliError::Usage {
        message: format!("there is no word `{}`", on_one_line(name)),
        help: match near {
            Some((_, near)) => format!("did you mean `{near}`?"),
            None => "`plyloom words` lists them all".to_owned(),
        },
    }
}

/// Every group with its words, one a line.
fn list(words: &[Word], modules: &[RuleModule], look: Stream) -> String {
    let mut text = String::new();
    for group in groups() {
        let _ = writeln!(text, "{}: {}", group.name, group.about);
        let of_group = words.iter().filter(|word| word.group == group.name);
        push_lines(&mut text, &of_group.collect::<Vec<_>>(), look);
        text.push('\n');
    }
    for module in modules {
        let name = module.name;
        let about = first_sentence(&module.doc);
        let _ = writeln!(
            text,
            "rule module {name}: {about}; import \"{name}\" as {name};"
        );
        push_lines(&mut text, &module.words.iter().collect::<Vec<_>>(), look);
        text.push('\n');
    }
    let parts: Vec<&str> = topics().map(|topic| topic.name).collect();
    let _ = writeln!(text, "language: {}\n", parts.join(", "));
    text.push_str("`plyloom words WORD` tells all about one of them.\n");
    text
}

/// Words with their first sentences, one a line.
fn push_lines(text: &mut String, words: &[&Word], look: Stream) {
    let longest = words.iter().map(|w| w.name.chars().count()).max();
    let longest = longest.unwrap_or(0).max(15);
    for word in words {
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
}

/// A part of the language, its examples indented.
fn topic_in_full(topic: Topic) -> String {
    let mut text = format!("{} (language)\n\n", topic.name);
    let mut example = false;
    for line in topic.text.lines() {
        if line.starts_with("```") {
            example = !example;
        } else if example {
            let _ = writeln!(text, "{}", format!("    {line}").trim_end());
        } else if !line.starts_with("Makes: ") && !line.starts_with("| ---") {
            let _ = writeln!(text, "{}", line.replace("\\|", "|"));
        }
    }
    // Where a line is left out, the blank lines around it become one.
    while text.contains("\n\n\n") {
        text = text.replace("\n\n\n", "\n\n");
    }
    text.truncate(text.trim_end().len());
    text.push('\n');
    text
}

/// A rule module: the text at its top, and its functions.
fn module_in_full(module: &RuleModule) -> String {
    let mut text = format!("{} (rule module)\n\n{}\n\n", module.name, module.doc);
    for word in &module.words {
        for form in &word.forms {
            let _ = writeln!(text, "  {}", form.named(&word.name));
        }
    }
    let _ = writeln!(
        text,
        "\n`plyloom words {}` tells all about one of them.",
        module.words.first().map_or("WORD", |word| &word.name)
    );
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
