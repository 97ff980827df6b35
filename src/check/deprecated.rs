//! Words that recipes had better not use any more.
//!
//! A word is never taken away: recipes that have it keep working. It is listed here when another
//! word says the same better, and `check` tells of it from then on.

use crate::recipe::reading::used;

/// A word and what to write instead.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Deprecated {
    /// The word.
    pub word: &'static str,
    /// What to write instead, as advice.
    pub instead: &'static str,
}

/// The words by now.
pub const WORDS: &[Deprecated] = &[];

/// Each use of a listed word in a text: the word, and its bytes.
#[must_use]
pub fn found<'a>(
    text: &str,
    list: &'a [Deprecated],
) -> Vec<(&'a Deprecated, std::ops::Range<usize>)> {
    let listed = |span: &std::ops::Range<usize>| {
        let word = &text[span.clone()];
        list.iter().find(|entry| entry.word == word)
    };
    used(text)
        .into_iter()
        .filter_map(|span| Some((listed(&span)?, span)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_listed_word_is_found_where_it_is_called_and_nowhere_else() {
        let list = [Deprecated {
            word: "sliced",
            instead: "write `slice`",
        }];
        let text = "// sliced(1)\nlet t = b.sliced(\"sliced(2)\"); let sliced = 3; sliced (t);";
        let places: Vec<usize> = found(text, &list).iter().map(|(_, s)| s.start).collect();
        assert_eq!(places, [23, 60]);
    }

    #[test]
    fn every_listed_word_is_still_there() {
        let known = crate::recipe::words::words();
        for entry in WORDS {
            assert!(known.iter().any(|w| w.name == entry.word), "{}", entry.word);
        }
    }
}
