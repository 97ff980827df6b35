//! The words as definition files of the language, for editors that read them.

use rhai::Scope;

use super::engine;

/// What stands around a result in the engine's own lists.
const WRAPPED: (&str, &str) = ("-> Result<", ", Box<EvalAltResult>>;");

/// Definition files: name and text, sorted by name. The same words give the same bytes.
#[must_use]
pub fn definitions() -> Vec<(String, String)> {
    let engine = engine::bare();
    let scope = Scope::new();
    let mut files: Vec<(String, String)> = engine
        .definitions_with_scope(&scope)
        .with_headers(true)
        .include_standard_packages(false)
        .iter_files()
        .map(|(name, text)| (name, text.lines().map(unwrapped).collect()))
        .collect();
    files.sort();
    files
}

/// A line, ended, in which a function gives its value instead of a value or an error: in a recipe
/// an error ends the run, it is no value.
fn unwrapped(line: &str) -> String {
    let plain = line.strip_suffix(WRAPPED.1).and_then(|start| {
        let (before, gives) = start.split_once(WRAPPED.0)?;
        Some(format!("{before}-> {gives};\n"))
    });
    plain.unwrap_or_else(|| format!("{line}\n"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stand_there_with_their_documentation() {
        let files = definitions();
        let all: String = files.iter().map(|(_, text)| text.as_str()).collect();
        assert!(all.contains("\nfn sqrt(number: ?) -> float;\n"), "{all}");
        assert!(all.contains("/// The square root.\n"), "{all}");
        assert!(!all.contains("EvalAltResult"), "{all}");
        assert_eq!(files, definitions());
    }
}
