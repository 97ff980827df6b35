//! Kinds of values in the words of a recipe: `whole number`, `list`, `sheet`; never a Rust name.

use rhai::Dynamic;

use crate::recipe::script_types;

/// The kind of a value.
pub(crate) fn of_value(value: &Dynamic) -> String {
    word(value.type_name())
}

/// The word for a type as Rhai or Rust writes it, references and paths included.
pub(crate) fn word(name: &str) -> String {
    let name = name.trim();
    let name = name.strip_prefix("&mut ").unwrap_or(name);
    if let Some((_, word)) = script_types::types()
        .into_iter()
        .find(|(rust, word)| *rust == name || *word == name || last_segment(rust) == name)
    {
        return word.to_owned();
    }
    // Rhai writes all its kinds of texts at once: `&str | ImmutableString | String`.
    if name.contains("ImmutableString") {
        return "text".to_owned();
    }
    if matches!(name.rsplit("::").next(), Some("Dynamic>")) {
        return "list".to_owned();
    }
    match last_segment(name) {
        "i64" | "INT" | "int" => "whole number",
        "f64" | "FLOAT" | "float" => "number",
        "bool" => "yes-or-no",
        "char" => "character",
        "string" | "String" | "&str" | "str" | "ImmutableString" => "text",
        "array" | "Array" | "Vec<Dynamic>" => "list",
        "map" | "Map" => "map",
        "blob" | "Blob" => "list of bytes",
        "FnPtr" | "Fn" => "function",
        "()" | "" => "nothing",
        "range"
        | "range="
        | "ExclusiveRange"
        | "InclusiveRange"
        | "Range<i64>"
        | "RangeInclusive<i64>" => "range",
        "Dynamic" | "?" | "_" => "value",
        other => return other.to_lowercase(),
    }
    .to_owned()
}

/// Whether a word names a kind of value: else it is the name of a value that may be of several kinds.
pub(super) fn is_kind(word: &str) -> bool {
    let ours = script_types::types()
        .into_iter()
        .any(|(_, known)| known == word);
    ours || of_the_language()
        .into_iter()
        .any(|(_, known)| known == word)
}

/// Rust names and words of the kinds that are Rhai's own.
pub(crate) fn of_the_language() -> Vec<(&'static str, &'static str)> {
    use std::any::type_name;
    vec![
        (type_name::<i64>(), "whole number"),
        (type_name::<f64>(), "number"),
        (type_name::<bool>(), "yes-or-no"),
        (type_name::<char>(), "character"),
        ("string", "text"),
        ("array", "list"),
        ("map", "map"),
        ("Fn", "function"),
        (type_name::<()>(), "nothing"),
        (type_name::<std::ops::Range<i64>>(), "range"),
        (type_name::<std::ops::RangeInclusive<i64>>(), "range"),
    ]
}

/// `a` or `an` before a kind; `nothing` stands alone.
pub(crate) fn with_article(kind: &str) -> String {
    match kind {
        "nothing" => kind.to_owned(),
        _ if kind.starts_with(['a', 'e', 'i', 'o', 'u']) => format!("an {kind}"),
        _ => format!("a {kind}"),
    }
}

/// So many values, in words.
pub(super) fn values(count: usize) -> String {
    match count {
        0 => "no values".to_owned(),
        1 => "1 value".to_owned(),
        n => format!("{n} values"),
    }
}

/// `a`, `a or b`, `a, b or c`.
pub(crate) fn listed(items: &[String], joint: &str) -> String {
    match items {
        [] => "nothing".to_owned(),
        [only] => only.clone(),
        [rest @ .., last] => format!("{} {joint} {last}", rest.join(", ")),
    }
}

fn last_segment(name: &str) -> &str {
    // `core::ops::Range<i64>`: what stands in angle brackets is no path of the type.
    let head = name.split('<').next().unwrap_or(name);
    let start = head.rfind("::").map_or(0, |i| i + 2);
    &name[start..]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rust_names_become_words() {
        for (rust, word_) in [
            ("i64", "whole number"),
            ("&mut Array", "list"),
            ("alloc::vec::Vec<rhai::types::dynamic::Dynamic>", "list"),
            ("string", "text"),
            ("()", "nothing"),
            ("core::ops::range::Range<i64>", "range"),
        ] {
            assert_eq!(word(rust), word_, "{rust}");
        }
    }

    #[test]
    fn lists_read_like_a_sentence() {
        let items = ["a".to_owned(), "b".to_owned(), "c".to_owned()];
        assert_eq!(listed(&items, "or"), "a, b or c");
        assert_eq!(listed(&items[..2], "and"), "a and b");
    }
}
