//! Reading the text of a recipe without running it: which names it holds,
//! which parameters it declares and in what variable it keeps each.
//!
//! It looks at the tokens alone, which is exact enough for the advice that it is used for.

use std::ops::Range;

use super::diagnostics::tokens::{TokenKind, closing, tokens, word};

/// A parameter that a text declares.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeclaredParameter {
    /// Its name.
    pub name: String,
    /// The bytes of the word `param`.
    pub span: Range<usize>,
    /// The variable that its value goes to at once, where it does.
    pub variable: Option<String>,
    /// Whether the value goes nowhere: the declaration is a statement of its own.
    pub alone: bool,
}

/// All names in a text, as often as they stand there, those in texts with `${ }` as well.
pub fn names_in(text: &str) -> Vec<String> {
    let mut names = Vec::new();
    for token in tokens(text) {
        let word = &text[token.span.clone()];
        match token.kind {
            TokenKind::Name => names.push(word.to_owned()),
            // All words of such a text are taken for names, which does no harm to advice.
            TokenKind::Text if word.starts_with('`') => names.extend(
                word.split(|c: char| !c.is_alphanumeric() && c != '_')
                    .filter(|name| !name.is_empty())
                    .map(str::to_owned),
            ),
            _ => {}
        }
    }
    names
}

/// The parameters that a text declares with their names written out, in order.
pub fn bound_parameters(text: &str) -> Vec<DeclaredParameter> {
    let all = tokens(text);
    let word = |i: usize| word(text, &all, i);
    let mut found = Vec::new();
    for i in 0..all.len() {
        if word(i) != "param"
            || word(i + 1) != "("
            || all.get(i + 2).map(|t| t.kind) != Some(TokenKind::Text)
        {
            continue;
        }
        let before = |n: usize| i.checked_sub(n).map_or("", word);
        let variable = (before(1) == "=" && ["let", "const"].contains(&before(3)))
            .then(|| before(2).to_owned());
        found.push(DeclaredParameter {
            name: word(i + 2).trim_matches(['"', '`']).to_owned(),
            span: all[i].span.clone(),
            variable,
            alone: ["", ";", "}"].contains(&before(1))
                && closing(text, &all, i + 1).is_some_and(|end| word(end + 1) == ";"),
        });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parameters_are_found_with_where_their_value_goes() {
        let text = "let a = param(\"a\", 1); param(\"b\", 2, #{ help: \"x\" });\n\
                    f(param(\"c\", 3)); const D = param(\"d\", 4); // param(\"e\", 5)";
        let found: Vec<_> = bound_parameters(text)
            .into_iter()
            .map(|b| (b.name, b.variable, b.alone))
            .collect();
        let variable = |name: &str| Some(name.to_owned());
        assert_eq!(
            found,
            [
                ("a".to_owned(), variable("a"), false),
                ("b".to_owned(), None, true),
                ("c".to_owned(), None, false),
                ("d".to_owned(), variable("D"), false),
            ]
        );
    }

    #[test]
    fn names_in_texts_with_values_count() {
        let names = names_in("let a = 1; print(`a is ${b + c}`); \"d\"");
        for name in ["a", "b", "c"] {
            assert!(names.iter().any(|n| n == name), "{name}");
        }
        assert!(!names.iter().any(|n| n == "d"));
    }
}
