//! Two hashes of a bundle: one of its exact bytes, and one that ignores the changes that sending
//! text by mail or chat makes.
//!
//! Both are SHA-256 over the parts in their order: the recipe, the modules, the seed where one is
//! set, the parameters that are set. Of each part: the length of its label in bytes (8 bytes, little
//! endian) and the label, then the same of its text. Labels are `recipe`, `module NAME`,
//! `library NAME`, `seed` and `value NAME`; the text of a value is its JSON.
//!
//! The first takes the texts as they are. The second takes them without blanks at the ends of lines,
//! each line ended by one LF, and without empty lines at the end: so it is the same when a message
//! changed line ends or trimmed lines.

use sha2::{Digest as _, Sha256};

use super::Bundle;

/// How a bundle agrees with the hashes that came with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// It is what was packed, byte for byte.
    Exact,
    /// Line ends or blanks at the ends of lines were changed on the way, nothing else.
    Respaced,
    /// It is not what was packed.
    Changed,
}

/// The hash that notices everything, in hex.
pub(super) fn exact(bundle: &Bundle) -> String {
    over(bundle, str::to_owned)
}

/// The hash that ignores line ends and blanks at the ends of lines, in hex.
pub(super) fn plain(bundle: &Bundle) -> String {
    over(bundle, respaced)
}

/// A value as it stands in a pack.
pub(super) fn value(value: &crate::recipe::parameter::Value) -> String {
    serde_json::to_string(value).expect("invariant: a value has a form in JSON")
}

fn over(bundle: &Bundle, form: impl Fn(&str) -> String) -> String {
    let mut hash = Sha256::new();
    let mut part = |label: &str, text: &str| {
        for piece in [label, text] {
            hash.update((piece.len() as u64).to_le_bytes());
            hash.update(piece);
        }
    };
    part("recipe", &form(&bundle.recipe));
    for module in &bundle.modules {
        let kind = if module.library { "library" } else { "module" };
        part(&format!("{kind} {}", module.name), &form(&module.text));
    }
    if let Some(seed) = bundle.seed {
        part("seed", &seed.to_string());
    }
    for (name, set) in &bundle.values {
        part(&format!("value {name}"), &value(set));
    }
    let mut text = String::new();
    for byte in hash.finalize() {
        use std::fmt::Write as _;
        let _ = write!(text, "{byte:02x}");
    }
    text
}

fn respaced(text: &str) -> String {
    let lines: Vec<&str> = text
        .split('\n')
        .map(|line| line.trim_end_matches([' ', '\t', '\r']))
        .collect();
    lines.join("\n").trim_end_matches('\n').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bundle(recipe: &str) -> Bundle {
        Bundle {
            name: "x".to_owned(),
            recipe: recipe.to_owned(),
            modules: Vec::new(),
            seed: None,
            values: Vec::new(),
            program: String::new(),
        }
    }

    /// The digest by the SHA-256 of another implementation over bytes put together by hand:
    /// `printf '\6\0\0\0\0\0\0\0recipe\3\0\0\0\0\0\0\0abc' | sha256sum` (GNU coreutils 9).
    #[test]
    fn the_hash_is_that_of_labels_and_texts() {
        assert_eq!(
            exact(&bundle("abc")),
            "65f6f48047f8792688c853494c4eb15507099d5d03c11bf00bf176dc21acba82"
        );
    }

    #[test]
    fn only_the_plain_hash_overlooks_line_ends_and_trimmed_lines() {
        let (one, other) = (bundle("a \nb\t\n\n"), bundle("a\r\nb"));
        assert_eq!(plain(&one), plain(&other));
        assert_ne!(exact(&one), exact(&other));
        assert_ne!(plain(&one), plain(&bundle("a\n b")));
    }
}
