//! Definition files (`.d.rhai`) for editors that know Rhai, made from the engine's registrations.

use rhai::Engine;

use super::engine;
use super::script_types;
use super::vocabulary::hidden;

/// File names and texts: the vocabulary, and what recipes have of Rhai's own library.
pub fn definitions() -> Vec<(String, String)> {
    vec![
        (
            "plyloom.d.rhai".to_owned(),
            of(&engine::with_vocabulary_only()),
        ),
        (
            "language.d.rhai".to_owned(),
            of(&engine::with_language_only()),
        ),
    ]
}

/// The definitions of everything that a recipe can reach in an engine.
fn of(engine: &Engine) -> String {
    let all = engine
        .definitions()
        .iter_files()
        .filter(|(name, _)| name.contains("static"))
        .map(|(_, text)| text)
        .collect::<String>();
    let kept: Vec<String> = all
        .split("\n\n")
        .filter(|entry| is_reachable(entry))
        .map(plain)
        .collect();
    let mut text = kept.join("\n\n");
    text.truncate(text.trim_end().len());
    text.push('\n');
    text
}

/// Whether recipes can use an entry: it has no number type that recipes lack, and is not hidden
/// from them.
fn is_reachable(entry: &str) -> bool {
    let declaration = entry.lines().last().unwrap_or_default();
    !declaration
        .split(|c: char| !c.is_alphanumeric() && c != '_')
        .any(|word| {
            let bits = word.strip_prefix(['i', 'u', 'f']);
            bits.is_some_and(|bits| matches!(bits, "8" | "16" | "32" | "64" | "128"))
        })
        && !declaration.contains(": fault")
        && !declaration
            .split_once("fn ")
            .and_then(|(_, after)| after.split_once('('))
            .is_some_and(|(name, _)| hidden::is_hidden(name))
}

/// An entry without the names of the program's own language.
fn plain(entry: &str) -> String {
    let Some((before, after)) = entry.rsplit_once(" -> Result<") else {
        return entry.to_owned();
    };
    let inner = after.split(", Box<").next().unwrap_or(after);
    match inner {
        "()" => format!("{before};"),
        "Dynamic" => format!("{before} -> ?;"),
        "f64" => format!("{before} -> float;"),
        "i64" => format!("{before} -> int;"),
        "bool" => format!("{before} -> bool;"),
        "Array" => format!("{before} -> array;"),
        "Map" => format!("{before} -> map;"),
        "String" | "ImmutableString" => format!("{before} -> string;"),
        "int" | "float" | "string" | "array" | "map" | "char" | "Fn" | "range" => {
            format!("{before} -> {inner};")
        }
        other => {
            let word = script_types::types()
                .into_iter()
                .find(|(rust, _)| rust.rsplit("::").next() == Some(other));
            format!("{before} -> {};", word.map_or("?", |(_, word)| word))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::words::words;

    #[test]
    fn definitions_hold_every_word_and_nothing_that_recipes_lack() {
        let all: String = definitions().into_iter().map(|(_, text)| text).collect();
        for word in words() {
            let (method, property) = (format!("fn {}(", word.name), format!("get {}", word.name));
            assert!(
                all.contains(&method) || all.contains(&property),
                "{} is missing",
                word.name
            );
        }
        for hidden in [
            "anon$",
            "get_fn_metadata",
            "fn sleep",
            "fn exit",
            "fn timestamp",
            "EvalAltResult",
            "i128",
            "Result<",
        ] {
            assert!(!all.contains(hidden), "{hidden} is there");
        }
    }

    #[test]
    fn what_a_word_gives_is_told_in_the_words_of_the_language() {
        let files = definitions();
        assert!(files[0].1.contains("fn seed() -> int;"), "{}", files[0].1);
        assert!(files[0].1.contains("fn seed(number: int);"));
        assert!(files[1].1.contains("fn push("));
    }

    #[test]
    fn every_definition_file_is_well_formed() {
        for (name, text) in definitions() {
            assert!(text.starts_with("module static;"), "{name}");
            assert!(text.ends_with(";\n"), "{name}");
        }
    }
}
