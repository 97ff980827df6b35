//! The parts of the language that recipes need, told one by one: the headings of `docs/language.md`.

/// A part of the language.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Topic {
    /// Its name: `if`, `lists`.
    pub name: &'static str,
    /// What it is, in Markdown, with examples.
    pub text: &'static str,
}

const PAGE: &str = include_str!("../../docs/language.md");

/// Other names by which a part is found.
const ALSO: [(&str, &[&str]); 10] = [
    ("let", &["const", "names", "variables"]),
    ("numbers", &["number", "division", "remainder"]),
    ("if", &["else", "conditions"]),
    ("for", &["in", "loops"]),
    ("while", &["loop", "break", "continue"]),
    ("fn", &["functions", "function", "return"]),
    (
        "lists",
        &[
            "list", "array", "push", "filter", "contains", "index_of", "len", "pop", "remove",
            "insert", "reverse",
        ],
    ),
    ("maps", &["map", "keys"]),
    ("texts", &["text", "string", "strings"]),
    ("import", &["modules"]),
];

/// All parts, in the order of the page.
pub fn topics() -> impl Iterator<Item = Topic> {
    PAGE.split("\n## ").skip(1).map(|part| {
        let (name, text) = part.split_once('\n').unwrap_or((part, ""));
        Topic {
            name,
            text: text.trim(),
        }
    })
}

/// The part that a word asks for.
pub fn topic(word: &str) -> Option<Topic> {
    let also = ALSO.iter().find(|(_, others)| others.contains(&word));
    let name = also.map_or(word, |(name, _)| name);
    topics().find(|topic| topic.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::words::words;

    #[test]
    fn every_other_name_leads_to_a_part() {
        for (name, others) in ALSO {
            assert!(topics().any(|topic| topic.name == name), "{name}");
            for other in others {
                assert_eq!(topic(other).map(|topic| topic.name), Some(name));
                assert!(topics().all(|topic| topic.name != *other), "{other}");
            }
        }
        assert_eq!(topics().count(), ALSO.len());
    }

    #[test]
    fn no_word_hides_a_part() {
        let words = words();
        for topic in topics() {
            assert!(
                words.iter().all(|word| word.name != topic.name),
                "{}",
                topic.name
            );
        }
    }
}
