//! The word list of the library's rule modules, made from the comments in their own text.

use rhai::FnAccess;

use super::engine;
use super::library;
use super::limits;
use super::words::{Form, Param, Word, documentation};

/// A rule module of the library.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleModule {
    /// The name to import it by.
    pub name: &'static str,
    /// What stands at its top, in Markdown.
    pub doc: String,
    /// Its functions, named `module::function`, in the order of their names.
    pub words: Vec<Word>,
}

/// All rule modules of the library, in the order of their names.
pub fn modules() -> Vec<RuleModule> {
    let mut engine = engine::with_language_only();
    // The bounds of a recipe, not those of a debug build, which are too tight for the library.
    limits::set(&mut engine);
    library::names()
        .filter_map(|name| {
            let text = library::text(name)?;
            let ast = engine.compile(text).ok()?;
            let mut words: Vec<Word> = ast
                .iter_functions()
                .filter(|function| {
                    function.access == FnAccess::Public
                        && function.name.starts_with(char::is_alphabetic)
                })
                .map(|function| {
                    let params = function.params.iter().map(|param| Param {
                        name: (*param).to_owned(),
                        kind: (*param).to_owned(),
                    });
                    let (doc, example) = documentation(&function.comments.join("\n"));
                    Word {
                        name: format!("{name}::{}", function.name),
                        group: name.to_owned(),
                        forms: vec![Form {
                            params: params.collect(),
                            gives: String::new(),
                            property: false,
                            method: false,
                        }],
                        doc,
                        example,
                    }
                })
                .collect();
            words.sort_by(|a, b| a.name.cmp(&b.name));
            Some(RuleModule {
                name,
                doc: head(text),
                words,
            })
        })
        .collect()
}

/// The comment at the top of a text.
fn head(text: &str) -> String {
    let lines = text.lines().take_while(|line| line.starts_with("//"));
    let lines = lines.map(|line| {
        let line = line.trim_start_matches('/');
        line.strip_prefix(' ').unwrap_or(line)
    });
    lines.collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::recipe::evaluate;
    use crate::recipe::memory_host::MemoryHost;
    use crate::recipe::settings::Settings;
    use crate::recipe::source::Source;

    #[test]
    fn every_function_of_the_library_is_described_and_its_example_runs() {
        let modules = modules();
        assert_eq!(modules.len(), library::names().count());
        for module in modules {
            assert!(
                !module.doc.is_empty() && !module.words.is_empty(),
                "{}",
                module.name
            );
            for word in module.words {
                let name = &word.name;
                assert!(!word.doc.is_empty(), "`{name}` has no description");
                assert!(
                    word.example.contains(name.as_str()),
                    "the example of `{name}` does not use it"
                );
                let source = Arc::new(Source::new(name.as_str(), word.example.as_str()));
                if let Err(failure) =
                    evaluate(&source, &Settings::default(), Arc::new(MemoryHost::new()))
                {
                    panic!("the example of `{name}` fails: {failure}");
                }
            }
        }
    }
}
