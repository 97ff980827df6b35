//! The reference as pages: Markdown, one page a group of words and one a rule module, with a picture of
//! what a word's example makes.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;

use super::cli_error::CliError;
use crate::draw::{PanelOptions, panel_svg};
use crate::files::{make_folder, write_whole};
use crate::layout::panel::Panel;
use crate::recipe::evaluate;
use crate::recipe::library_words::RuleModule;
use crate::recipe::memory_host::MemoryHost;
use crate::recipe::settings::Settings;
use crate::recipe::source::Source;
use crate::recipe::vocabulary::groups;
use crate::recipe::words::Word;

/// The folder for the pictures, beside the pages.
const PICTURES: &str = "pictures";
/// The page that leads to the others.
const INDEX: &str = "README.md";
/// Width and height of pictures on a page, in CSS pixels.
const WIDEST: f64 = 480.0;
const HIGHEST: f64 = 240.0;
/// The width that small pictures are enlarged to, in CSS pixels.
const NARROWEST: f64 = 120.0;

/// A page: a group of words or a rule module.
struct Page<'a> {
    file: String,
    title: String,
    about: String,
    words: Vec<&'a Word>,
}

/// Writes the pages to a folder; how many pages and pictures there are.
///
/// # Errors
/// When they cannot be written.
pub(super) fn write(
    folder: &Path,
    words: &[Word],
    modules: &[RuleModule],
) -> Result<(usize, usize), CliError> {
    let mut pages = Vec::new();
    for group in groups() {
        pages.push(Page {
            file: format!("{}.md", slug(group.name)),
            title: capital(group.name),
            about: group.about.to_owned(),
            words: words
                .iter()
                .filter(|word| word.group == group.name)
                .collect(),
        });
    }
    for module in modules {
        pages.push(Page {
            file: format!("module-{}.md", module.name),
            title: format!("Rule module `{}`", module.name),
            about: module.doc.clone(),
            words: module.words.iter().collect(),
        });
    }
    make_folder(&folder.join(PICTURES))?;
    let mut pictures = 0;
    let mut files = BTreeMap::from([(INDEX.to_owned(), index(&pages))]);
    for page in &pages {
        let mut text = format!("# {}\n\n{}\n", page.title, page.about);
        for word in &page.words {
            let drawn = picture(word);
            if let Some((svg, ..)) = &drawn {
                let path = folder.join(PICTURES).join(picture_file(word));
                write_whole(&path, svg.as_bytes())?;
                pictures += 1;
            }
            push_word(
                &mut text,
                word,
                drawn.map(|(_, width, height)| (width, height)),
            );
        }
        files.insert(page.file.clone(), text);
    }
    for (name, text) in &files {
        write_whole(&folder.join(name), text.as_bytes())?;
    }
    Ok((files.len(), pictures))
}

fn index(pages: &[Page]) -> String {
    let mut text = "# The words of recipes\n\n\
                    Made by `plyloom words --pages`, from the same source as `plyloom words`.\n"
        .to_owned();
    for page in pages {
        let _ = write!(text, "\n- [{}]({}): ", page.title, page.file);
        let links: Vec<String> = page
            .words
            .iter()
            .map(|word| format!("[`{}`]({}#{})", short(word), page.file, anchor(word)))
            .collect();
        text.push_str(&links.join(", "));
    }
    text.push('\n');
    text
}

fn push_word(text: &mut String, word: &Word, picture: Option<(f64, f64)>) {
    let _ = write!(text, "\n## {}\n\n```text\n", word.name);
    for form in &word.forms {
        let gives = match form.gives.as_str() {
            "" | "nothing" => String::new(),
            gives => format!(" -> {gives}"),
        };
        let _ = writeln!(text, "{}{gives}", form.named(&word.name));
    }
    let _ = write!(text, "```\n\n{}\n", word.doc);
    if !word.example.is_empty() {
        let _ = write!(text, "\n```rust\n{}\n```\n", word.example);
    }
    if let Some((width, height)) = picture {
        let scale = (WIDEST / width).min(HIGHEST / height);
        let scale = scale.min((NARROWEST / width).max(96.0 / crate::geom::length::INCH));
        let _ = writeln!(
            text,
            "\n<img src=\"{PICTURES}/{}\" width=\"{:.0}\" alt=\"what the example of {} makes\">",
            picture_file(word),
            (width * scale).max(1.0),
            word.name
        );
    }
}

/// The drawing of what a word's example makes, with width and height in mm: its first panel, or the
/// tile, bar or strip to which it gives a name.
fn picture(word: &Word) -> Option<(String, f64, f64)> {
    let panel = run(&word.example).or_else(|| {
        let name = named(word)?;
        let shown = [
            name.clone(),
            format!("{name}.slice(\"shown\")"),
            format!("bar({name}).slice(\"shown\")"),
            format!("bar({name}[0]).slice(\"shown\")"),
            format!("{name}[0]"),
            format!("bar({name}.rip(3 * {name}.thickness)).slice(\"shown\")"),
            format!("bar(laminate([{name}]).rip(30)).slice(\"shown\")"),
        ];
        shown.iter().find_map(|shown| {
            run(&format!(
                "{}\npanel(\"shown\").place({shown}, 0, 0);",
                word.example
            ))
        })
    })?;
    let options = PanelOptions {
        title: Some(word.name.clone()),
        ..PanelOptions::default()
    };
    let (width, height) = (panel.bounds.width(), panel.bounds.height());
    Some((panel_svg(&panel, &options), width, height))
}

/// The name that an example gives to what its word makes: in the last line with the word that gives
/// one.
fn named(word: &Word) -> Option<String> {
    let line = word
        .example
        .lines()
        .rfind(|line| line.starts_with("let ") && line.contains(short(word)))?;
    let name = line.strip_prefix("let ")?.split(['=', ' ']).next()?;
    Some(name.to_owned())
}

fn run(text: &str) -> Option<Panel> {
    let source = Arc::new(Source::new("example", text));
    let outcome = evaluate(&source, &Settings::default(), Arc::new(MemoryHost::new())).ok()?;
    outcome.panels.into_iter().next()
}

/// A word without its module's name.
fn short(word: &Word) -> &str {
    word.name.rsplit("::").next().unwrap_or(&word.name)
}

fn picture_file(word: &Word) -> String {
    let of = match word.name.split_once("::") {
        Some(_) => word.name.replace("::", "-"),
        None => format!("{}-{}", slug(&word.group), word.name),
    };
    format!("{of}.svg")
}

/// The address of a heading as the common Markdown viewers make it.
fn anchor(word: &Word) -> String {
    word.name.to_lowercase().replace("::", "")
}

fn slug(name: &str) -> String {
    name.replace(' ', "-")
}

fn capital(name: &str) -> String {
    let mut letters = name.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string());
    first.unwrap_or_default() + letters.as_str()
}
