//! The word list: every word of the vocabulary with its forms, documentation and example, made from
//! the engine's own registrations.

use std::cmp::Ordering;

use rhai::{Engine, FuncMetadata};
use serde::Serialize;

use super::diagnostics::types;
use super::failure::Failure;
use super::kind::Kind;
use super::vocabulary;

/// One word.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Word {
    /// Its name.
    pub name: String,
    /// Its group.
    pub group: String,
    /// The ways to use it: `rhombus(sheet, angle)`, `sheet.width`.
    pub forms: Vec<Form>,
    /// What it is, in Markdown, without the example.
    pub doc: String,
    /// An example that runs on its own.
    pub example: String,
}

/// One way to use a word.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Form {
    /// Kind and name of what it takes.
    pub params: Vec<Param>,
    /// The kind of what it gives.
    pub gives: String,
    /// Whether it is a property: read without brackets.
    pub property: bool,
    /// Whether it stands after a point behind its first value: `sheet.rip(40)`.
    pub method: bool,
}

/// One value that a word takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Param {
    /// Its name.
    pub name: String,
    /// Its kind in words; for a value that may be of several kinds, its name.
    pub kind: String,
}

impl Form {
    /// The form as a recipe writes it, with kinds in the place of values.
    pub fn written(&self, word: &str) -> String {
        self.with(word, |param| &param.kind)
    }

    /// The form as a recipe writes it, with names in the place of values.
    pub fn named(&self, word: &str) -> String {
        self.with(word, |param| &param.name)
    }

    /// The shorter form first, then by what it takes.
    fn order(&self, other: &Self) -> Ordering {
        fn kinds(form: &Form) -> impl Iterator<Item = &str> {
            form.params.iter().map(|param| param.kind.as_str())
        }
        let lengths = self.params.len().cmp(&other.params.len());
        lengths
            .then_with(|| kinds(self).cmp(kinds(other)))
            .then_with(|| self.gives.cmp(&other.gives))
    }

    fn with<'a>(&'a self, word: &str, shown: impl Fn(&'a Param) -> &'a str) -> String {
        let list = |params: &'a [Param]| params.iter().map(&shown).collect::<Vec<_>>().join(", ");
        match self.params.as_slice() {
            [owner, ..] if self.property => format!("{}.{word}", owner.kind),
            [owner, rest @ ..] if self.method => format!("{}.{word}({})", owner.kind, list(rest)),
            all => format!("{word}({})", list(all)),
        }
    }
}

/// All words, by group in the groups' order, then by name.
pub fn words() -> Vec<Word> {
    vocabulary::groups()
        .into_iter()
        .flat_map(of_group)
        .collect()
}

fn of_group(group: vocabulary::Group) -> Vec<Word> {
    let mut engine = Engine::new_raw();
    engine.register_global_module(group.module.into());
    let mut functions =
        engine.collect_fn_metadata(None, |info| Some(function(info.metadata)), true);
    // The engine keeps them by hash, in another order in every build.
    functions.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.order(&b.1)));
    let mut words: Vec<Word> = Vec::new();
    for (name, form, comments) in functions {
        let (doc, example) = documentation(&comments);
        match words.last_mut().filter(|word| word.name == name) {
            Some(word) => {
                word.forms.push(form);
                word.forms.dedup();
                if !doc.is_empty() {
                    let gap = if word.doc.is_empty() { "" } else { "\n\n" };
                    word.doc = format!("{}{gap}{doc}", word.doc);
                }
                if word.example.is_empty() {
                    word.example = example;
                }
            }
            None => words.push(Word {
                name,
                group: group.name.to_owned(),
                forms: vec![form],
                doc,
                example,
            }),
        }
    }
    words
}

/// Name, form and documentation of one registration.
pub(super) fn function(metadata: &FuncMetadata) -> (String, Form, String) {
    let (name, property) = match metadata.name.strip_prefix("get$") {
        Some(name) => (name, true),
        None => (metadata.name.as_str(), false),
    };
    let method = metadata
        .params_info
        .first()
        .is_some_and(|first| first.contains(": &mut "));
    let params: Vec<Param> = metadata
        .params_info
        .iter()
        .map(|info| {
            let (name, kind) = info.split_once(':').unwrap_or((info, "Dynamic"));
            let name = name.trim().replace('_', " ");
            let kind = match types::word(kind) {
                kind if kind == "value" => name.clone(),
                kind => kind,
            };
            Param { name, kind }
        })
        .collect();
    let gives = types::word(result(&metadata.return_type));
    let comments: Vec<&str> = metadata.comments.iter().map(AsRef::as_ref).collect();
    (
        name.to_owned(),
        Form {
            params,
            gives,
            property,
            method: method && !property,
        },
        comments.join("\n"),
    )
}

/// The type inside a `Result`.
fn result(return_type: &str) -> &str {
    let trimmed = return_type.trim();
    trimmed
        .strip_prefix("Result<")
        .or_else(|| trimmed.strip_prefix("RhaiResultOf<"))
        .map_or(trimmed, |inner| {
            let end = inner.rfind(", Box<").or_else(|| inner.rfind(",Box<"));
            end.map_or(inner.trim_end_matches('>'), |end| &inner[..end])
        })
}

/// Splits a doc comment into the text and the example (the block fenced as `rhai`).
pub(super) fn documentation(comments: &str) -> (String, String) {
    let (mut doc, mut example) = (String::new(), String::new());
    let mut in_example = false;
    for line in comments.lines() {
        let line = line.trim_start().trim_start_matches("///");
        let line = line.strip_prefix(' ').unwrap_or(line);
        match line.trim_end() {
            "```rhai" => in_example = true,
            "```" if in_example => in_example = false,
            "# Example" | "# Examples" => {}
            _ => {
                let part = if in_example { &mut example } else { &mut doc };
                part.push_str(line.trim_end());
                part.push('\n');
            }
        }
    }
    (doc.trim().to_owned(), example.trim().to_owned())
}

/// The word of the vocabulary at the place of a failure, where the failure is about that word.
pub fn in_question(failure: &Failure) -> Option<&str> {
    if failure.kind == Kind::Syntax {
        return None;
    }
    let place = failure.place.as_ref()?;
    let word = place.source.text.get(place.span.clone())?;
    let known = words().iter().any(|known| known.name == word);
    known.then_some(word)
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::recipe::memory_host::MemoryHost;
    use crate::recipe::settings::Settings;
    use crate::recipe::source::Source;

    #[test]
    fn every_word_is_described_and_its_example_runs() {
        let words = words();
        assert!(words.len() > 20, "only {} words", words.len());
        for word in words {
            assert!(!word.doc.is_empty(), "`{}` has no description", word.name);
            assert!(!word.example.is_empty(), "`{}` has no example", word.name);
            assert!(
                word.example.contains(&word.name),
                "the example of `{}` does not use it",
                word.name
            );
            let source = Arc::new(Source::new(
                format!("{}.rhai", word.name),
                word.example.as_str(),
            ));
            let host = Arc::new(MemoryHost::new());
            if let Err(failure) = crate::recipe::evaluate(&source, &Settings::default(), host) {
                panic!("the example of `{}` fails: {failure}", word.name);
            }
        }
    }

    #[test]
    fn forms_read_in_the_words_of_a_maker() {
        let words = words();
        let written = |name: &str| -> Vec<String> {
            let word = words.iter().find(|word| word.name == name).unwrap();
            word.forms
                .iter()
                .map(|form| form.written(&word.name))
                .collect()
        };
        assert_eq!(
            written("param"),
            ["param(text, default)", "param(text, default, map)"]
        );
        assert_eq!(written("seed"), ["seed()", "seed(whole number)"]);
        assert_eq!(written("sin"), ["sin(angle)"]);
        assert_eq!(written("mitred_pair"), ["mitred_pair(strip)"]);
        assert_eq!(written("flip"), ["tile.flip()"]);
        assert_eq!(written("ring"), ["cell.ring"]);
    }

    #[test]
    fn forms_name_what_a_word_takes() {
        let words = words();
        let named = |name: &str| -> Vec<String> {
            let word = words.iter().find(|word| word.name == name).unwrap();
            word.forms
                .iter()
                .map(|form| form.named(&word.name))
                .collect()
        };
        assert_eq!(named("size"), ["panel.size(columns, courses)"]);
        assert_eq!(
            named("plywood"),
            [
                "plywood(plies, thickness)",
                "plywood(plies, thickness, colour)"
            ]
        );
        assert_eq!(named("sorted"), ["list.sorted()", "list.sorted(rule)"]);
    }

    #[test]
    fn no_name_of_the_language_of_the_program_shows() {
        for word in words() {
            for form in &word.forms {
                for kind in form.params.iter().map(|p| &p.kind).chain([&form.gives]) {
                    assert!(
                        kind.chars()
                            .all(|c| c.is_lowercase() || c == ' ' || c == '-'),
                        "`{}` shows {kind:?}",
                        word.name
                    );
                }
            }
        }
    }
}
