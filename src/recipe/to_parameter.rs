//! A plain value in a recipe's text made a parameter: `420` becomes `param("wide", 420)`.

use super::diagnostics::tokens::{Token, TokenKind, tokens, word};
use super::rewrite::quoted;
use crate::geom::length;
use crate::stock::Colour;

/// Why a value cannot become a parameter.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ToParameterError {
    /// No value there.
    #[error("put the cursor on a number, a text in quotes, `true` or `false`")]
    NoValue,
    /// The value is one already, or names one.
    #[error("this is part of `param(...)` already")]
    Already,
    /// It is not a name.
    #[error(
        "a parameter's name is made of small letters, digits and `_`, and begins with a letter"
    )]
    Name,
    /// The name is taken.
    #[error("there is a parameter `{0}` already: choose another name")]
    Taken(String),
}

/// A name for the value at byte `at`, where it is given to a variable: that of the variable.
pub fn name_for(text: &str, at: usize) -> Option<String> {
    let all = tokens(text);
    let (first, last) = value_at(text, &all, at)?;
    let word = |i: usize| word(text, &all, i);
    let before = |n: usize| first.checked_sub(n).map_or("", word);
    let whole = word(last + 1) == ";" && before(1) == "=" && matches!(before(3), "let" | "const");
    whole.then(|| before(2).to_owned())
}

/// The text with the value at byte `at` as a parameter of this name, which has the value as its default.
///
/// # Errors
/// When there is no plain value, or the name does not do.
pub fn to_parameter(text: &str, at: usize, name: &str) -> Result<String, ToParameterError> {
    let all = tokens(text);
    let (first, last) = value_at(text, &all, at).ok_or(ToParameterError::NoValue)?;
    let word = |i: usize| word(text, &all, i);
    let plain = name.starts_with(|c: char| c.is_ascii_lowercase())
        && name
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_');
    if !plain {
        return Err(ToParameterError::Name);
    }
    // Inside the brackets of a `param`, or of its options.
    let mut open: Vec<bool> = Vec::new();
    for i in 0..first {
        match word(i) {
            "(" => open.push(i > 0 && word(i - 1) == "param"),
            "[" | "{" | "#{" => open.push(false),
            ")" | "]" | "}" => {
                open.pop();
            }
            _ => {}
        }
    }
    if open.contains(&true) {
        return Err(ToParameterError::Already);
    }
    let names = [quoted(name), format!("`{name}`")];
    let taken = (2..all.len()).any(|i| {
        word(i - 2) == "param" && word(i - 1) == "(" && names.iter().any(|n| n == word(i))
    });
    if taken {
        return Err(ToParameterError::Taken(name.to_owned()));
    }
    let span = all[first].span.start..all[last].span.end;
    let value = &text[span.clone()];
    let options = options(value, all[last].kind);
    let mut out = text.to_owned();
    out.replace_range(span, &format!("param({}, {value}{options})", quoted(name)));
    Ok(out)
}

/// What is said of a parameter with this default.
fn options(value: &str, kind: TokenKind) -> &'static str {
    let inner = value.trim_matches('"');
    if kind != TokenKind::Text {
        return "";
    }
    if Colour::parse(inner).is_ok() {
        return ", #{ kind: \"colour\" }";
    }
    let inches = inner.ends_with("in") || inner.ends_with('"');
    match length::parse(inner) {
        Ok(_) if inches => ", #{ unit: \"in\" }",
        Ok(_) => ", #{ unit: \"mm\" }",
        Err(_) => "",
    }
}

/// The tokens of the plain value at byte `at`: a minus before a number belongs to it.
fn value_at(text: &str, all: &[Token], at: usize) -> Option<(usize, usize)> {
    let there = |t: &Token| t.span.start <= at && at <= t.span.end;
    let found = all.iter().enumerate().filter(|(_, t)| there(t));
    let (i, _) = found.into_iter().find(|(_, t)| {
        let word = &text[t.span.clone()];
        match t.kind {
            TokenKind::Number => true,
            TokenKind::Text => word.starts_with('"') && word.len() > 1 && word.ends_with('"'),
            TokenKind::Name => matches!(word, "true" | "false"),
            TokenKind::Sign => false,
        }
    })?;
    let word = |i: usize| word(text, all, i);
    let signed = i > 1
        && word(i - 1) == "-"
        && all[i].kind == TokenKind::Number
        && matches!(word(i - 2), "(" | "[" | "," | "=" | ":" | "return");
    Some((if signed { i - 1 } else { i }, i))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::recipe::evaluate;
    use crate::recipe::memory_host::MemoryHost;
    use crate::recipe::settings::Settings;
    use crate::recipe::source::Source;

    const TEXT: &str = "let wide = 420; // mm\nlet dye = \"navy\";\nlet thick = \"3/4 in\";\n\
        let b = bar(laminate([veneer(1, dye), plywood(9, thick)]).square()).slice(\"b\");\n\
        panel(\"p\", squares(b)).finished(wide, 200).shift(-4, 5).fill(b);\n";

    fn made(what: &str, name: &str) -> Result<String, ToParameterError> {
        to_parameter(TEXT, TEXT.find(what).expect("it is there") + 1, name)
    }

    /// The new text has the parameter, and makes the same panel.
    fn holds(what: &str, name: &str, new: &str) {
        let text = made(what, name).expect("a parameter");
        assert_eq!(text, TEXT.replace(what, new));
        let run = |text: &str| {
            let source = Arc::new(Source::new("t.rhai", text));
            evaluate(
                &source,
                &Settings::default(),
                Arc::new(MemoryHost::default()),
            )
            .unwrap_or_else(|failure| panic!("{text}\n{failure}"))
        };
        let outcome = run(&text);
        assert_eq!(outcome.parameters[0].name, name);
        assert_eq!(outcome.panels, run(TEXT).panels);
    }

    #[test]
    fn a_number_a_colour_and_a_length_become_parameters() {
        holds("420", "wide", "param(\"wide\", 420)");
        holds("-4", "shift", "param(\"shift\", -4)");
        holds(
            "\"navy\"",
            "dye",
            "param(\"dye\", \"navy\", #{ kind: \"colour\" })",
        );
        holds(
            "\"3/4 in\"",
            "thick",
            "param(\"thick\", \"3/4 in\", #{ unit: \"in\" })",
        );
    }

    #[test]
    fn a_variable_lends_its_name() {
        assert_eq!(
            name_for(TEXT, TEXT.find("420").expect("there")),
            Some("wide".to_owned())
        );
        assert_eq!(name_for(TEXT, TEXT.find("200").expect("there")), None);
    }

    #[test]
    fn what_is_no_value_or_a_parameter_already_is_left() {
        assert_eq!(made("finished", "a"), Err(ToParameterError::NoValue));
        assert_eq!(made("420", "A b"), Err(ToParameterError::Name));
        let once = made("420", "wide").expect("a parameter");
        let at = once.find("420").expect("there");
        assert_eq!(to_parameter(&once, at, "x"), Err(ToParameterError::Already));
        let at = once.find("200").expect("there");
        assert_eq!(
            to_parameter(&once, at, "wide"),
            Err(ToParameterError::Taken("wide".to_owned()))
        );
    }
}
