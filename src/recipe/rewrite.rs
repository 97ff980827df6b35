//! A recipe's text with other defaults: only the defaults change, comments and all else stay.
//!
//! The default is the second argument of `param("NAME", ...)`. It is rewritten where it is written
//! out (a number, a text, `true` or `false`); one that is computed is refused.

use std::ops::Range;

use super::diagnostics::tokens::{Token, TokenKind, closing, tokens, word};
use super::parameter::{Domain, Parameter, Value};
use crate::geom::{length, number::fraction};

/// Why a text cannot be rewritten.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RewriteError {
    /// No `param("NAME", ...)` in this text.
    #[error(
        "the recipe's own text does not say `param(\"{name}\", ...)`: a module may declare it; keep \
         a choice instead"
    )]
    NotThere {
        /// The parameter.
        name: String,
    },
    /// More than one.
    #[error("`{name}` is declared in more than one place: change its default by hand")]
    Twice {
        /// The parameter.
        name: String,
    },
    /// The default is no plain value.
    #[error("the default of `{name}` is computed: change it by hand, or keep a choice instead")]
    Computed {
        /// The parameter.
        name: String,
    },
    /// The seed is no plain number.
    #[error("the recipe computes its seed: change it by hand, or keep a choice instead")]
    ComputedSeed,
    /// The seed does not fit a recipe.
    #[error("a recipe can say seeds up to 9223372036854775807 only: keep a choice instead")]
    LargeSeed,
}

/// The text with the values of `parameters` as their defaults, where they differ from them, and with
/// `seed` as its own seed, where one is given.
///
/// # Errors
/// When a default or the seed is not written out in this text.
pub fn rewritten(
    text: &str,
    parameters: &[Parameter],
    seed: Option<u64>,
) -> Result<String, RewriteError> {
    let all = tokens(text);
    let mut changes: Vec<(Range<usize>, String)> = Vec::new();
    for parameter in parameters.iter().filter(|p| p.value != p.default) {
        let span = default_of(text, &all, &parameter.name)?;
        let new = literal(parameter, &text[span.clone()]);
        changes.push((span, new));
    }
    if let Some(seed) = seed {
        let seed = i64::try_from(seed).map_err(|_| RewriteError::LargeSeed)?;
        changes.push(own_seed(text, &all, seed)?);
    }
    // From the end, so that the positions before stay valid.
    changes.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    let mut out = text.to_owned();
    for (span, new) in changes {
        out.replace_range(span, &new);
    }
    Ok(out)
}

/// Where the default of a parameter is written.
fn default_of(text: &str, all: &[Token], name: &str) -> Result<Range<usize>, RewriteError> {
    let is = |i: usize, what: &str| word(text, all, i) == what;
    let quoted = [format!("\"{name}\""), format!("`{name}`")];
    let mut found = (0..all.len()).filter(|&i| {
        is(i, "param") && is(i + 1, "(") && quoted.iter().any(|q| is(i + 2, q)) && is(i + 3, ",")
    });
    let name = || name.to_owned();
    let Some(at) = found.next() else {
        return Err(RewriteError::NotThere { name: name() });
    };
    if found.next().is_some() {
        return Err(RewriteError::Twice { name: name() });
    }
    let first = at + 4;
    let negative = is(first, "-");
    let value = first + usize::from(negative);
    let token = all.get(value).filter(|token| {
        let word = &text[token.span.clone()];
        match token.kind {
            TokenKind::Number => true,
            TokenKind::Text => !negative && !word.contains("${"),
            TokenKind::Name => !negative && matches!(word, "true" | "false"),
            TokenKind::Sign => false,
        }
    });
    let ends = is(value + 1, ",") || is(value + 1, ")");
    match token {
        Some(token) if ends => Ok(all[first].span.start..token.span.end),
        _ => Err(RewriteError::Computed { name: name() }),
    }
}

/// What to change so that the recipe's own seed is this one.
fn own_seed(text: &str, all: &[Token], seed: i64) -> Result<(Range<usize>, String), RewriteError> {
    let word = |i: usize| word(text, all, i);
    let before = |i: usize| i.checked_sub(1).map_or("", word);
    let mut calls = (0..all.len()).filter(|&i| {
        word(i) == "seed" && word(i + 1) == "(" && word(i + 2) != ")" && before(i) != "fn"
    });
    let Some(at) = calls.next() else {
        // After what the recipe says about itself, else after the comments that head the text.
        if let Some(end) = end_of_about(text, all) {
            return Ok((end..end, format!("\nseed({seed});")));
        }
        let start = all.first().map_or(text.len(), |t| t.span.start);
        return Ok((start..start, format!("seed({seed});\n")));
    };
    let plain = all.get(at + 2).is_some_and(|t| t.kind == TokenKind::Number) && word(at + 3) == ")";
    if plain && calls.next().is_none() {
        Ok((all[at + 2].span.clone(), seed.to_string()))
    } else {
        Err(RewriteError::ComputedSeed)
    }
}

/// Where the `about(...);` that a text begins with ends.
fn end_of_about(text: &str, all: &[Token]) -> Option<usize> {
    let word = |i: usize| word(text, all, i);
    if word(0) != "about" || word(1) != "(" {
        return None;
    }
    let end = closing(text, all, 1)?;
    (word(end + 1) == ";").then(|| all[end + 1].span.end)
}

/// The value as it is written in a recipe, in the form of `old`.
fn literal(parameter: &Parameter, old: &str) -> String {
    let was_text = old.starts_with(['"', '`', '\'']);
    let unit = match &parameter.domain {
        Domain::Number { unit, .. } => unit.as_deref(),
        _ => None,
    };
    match &parameter.value {
        Value::YesNo(value) => value.to_string(),
        Value::Whole(value) => value.to_string(),
        Value::Text(value) => quoted(value),
        Value::Number(value) if unit == Some("in") => {
            let inches = inches(*value);
            if was_text {
                quoted(&format!("{inches} in"))
            } else {
                point(length::to_inches(*value), old)
            }
        }
        Value::Number(value) if was_text => match unit {
            Some("mm") => quoted(&format!("{value} mm")),
            _ => quoted(&value.to_string()),
        },
        Value::Number(value) => point(*value, old),
    }
}

/// A number; a whole one gets a point where the old one had one, so that it stays a number of the
/// same type.
fn point(value: f64, old: &str) -> String {
    let shown = value.to_string();
    if old.contains('.') && !shown.contains('.') {
        format!("{shown}.0")
    } else {
        shown
    }
}

/// Inches as a maker writes them: by sixty-fourths where that is exact, else as a decimal.
pub(super) fn inches(mm: f64) -> String {
    let inches = length::to_inches(mm);
    let parts = inches * 64.0;
    let whole = parts.round();
    if (parts - whole).abs() > 1e-9 || !(0.0..1e9).contains(&whole) {
        return inches.to_string();
    }
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number from 0 to 1e9"
    )]
    let parts = whole as u64;
    fraction(parts, 64)
}

/// A text in the quotes of a recipe.
pub(super) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            other => out.push(other),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::recipe::evaluate;
    use crate::recipe::memory_host::MemoryHost;
    use crate::recipe::settings::Settings;
    use crate::recipe::source::Source;

    /// The text after keeping what is set, checked: the new text alone gives the same values.
    fn kept(text: &str, set: &[(&str, &str)], seed: Option<u64>) -> Result<String, RewriteError> {
        let run = |text: &str, settings: &Settings| {
            let source = Arc::new(Source::new("t.rhai", text));
            evaluate(&source, settings, Arc::new(MemoryHost::default())).unwrap()
        };
        let settings = Settings {
            seed,
            set: set
                .iter()
                .map(|(n, v)| ((*n).to_owned(), (*v).to_owned()))
                .collect(),
            ..Settings::default()
        };
        let shown = run(text, &settings);
        let new = rewritten(text, &shown.parameters, seed)?;
        let again = run(&new, &Settings::default());
        let values = |p: &[Parameter]| p.iter().map(|p| p.value.clone()).collect::<Vec<_>>();
        assert_eq!(
            values(&again.parameters),
            values(&shown.parameters),
            "{new}"
        );
        if let Some(seed) = seed {
            assert_eq!(again.seed, seed, "{new}");
        }
        Ok(new)
    }

    #[test]
    fn only_the_defaults_change() {
        let text = "// head, param(\"rows\", 1)\nseed(3); // mine\n\
                    let r = param(\"rows\", /* was 7 */ 8, #{ from: 2, to: 40 }); // rows\n\
                    let s = param(\"scale\", 2.0);\nlet o = param(\"on\", true);\n\
                    let c = param(\"dye\", \"navy\", #{ kind: \"colour\" });\n";
        let new = kept(
            text,
            &[
                ("rows", "12"),
                ("scale", "3"),
                ("on", "no"),
                ("dye", "poppy"),
            ],
            Some(9),
        );
        let expected = text
            .replace("*/ 8,", "*/ 12,")
            .replace("2.0", "3.0")
            .replace("true", "false")
            .replace("navy", "poppy")
            .replace("seed(3)", "seed(9)");
        assert_eq!(new, Ok(expected));
    }

    #[test]
    fn lengths_stay_in_their_manner() {
        let inch = "let t = param(\"thick\", \"3/4 in\", #{ unit: \"in\" });";
        assert_eq!(
            kept(inch, &[("thick", "1 1/8 in")], None),
            Ok(inch.replace("3/4", "1 1/8"))
        );
        assert_eq!(
            kept(inch, &[("thick", "10 mm")], None).map(|t| t.contains("\"0.39370")),
            Ok(true)
        );
        let mm = "let w = param(\"wide\", 420, #{ unit: \"mm\" });";
        assert_eq!(
            kept(mm, &[("wide", "12.5")], None),
            Ok(mm.replace("420", "12.5"))
        );
        let bare = "let w = param(\"wide\", 2, #{ unit: \"in\" });";
        assert_eq!(
            kept(bare, &[("wide", "3 in")], None),
            Ok(bare.replace("2,", "3,"))
        );
        let below = "let w = param(\"shift\", -4, #{ from: -9, to: 9 });";
        assert_eq!(
            kept(below, &[("shift", "5")], None),
            Ok(below.replace("-4", "5"))
        );
    }

    #[test]
    fn texts_with_quotes_come_through() {
        let text = "let t = param(\"title\", \"a\");";
        let new = kept(text, &[("title", "say \"no\" \\ \n<b>")], None).unwrap();
        assert!(new.contains(r#""say \"no\" \\ \n<b>""#), "{new}");
    }

    #[test]
    fn a_seed_is_added_after_the_head() {
        let text = "// Drift.\n\nlet a = param(\"a\", 1);\n";
        assert_eq!(
            kept(text, &[], Some(4)),
            Ok("// Drift.\n\nseed(4);\nlet a = param(\"a\", 1);\n".to_owned())
        );
        let about = "// Head.\nabout(#{ title: \"x (y)\" });\nlet a = param(\"a\", 1);\n";
        assert_eq!(
            kept(about, &[], Some(4)),
            Ok(about.replace("});\n", "});\nseed(4);\n"))
        );
        assert_eq!(
            kept(text, &[], Some(u64::MAX)),
            Err(RewriteError::LargeSeed)
        );
        assert_eq!(
            kept("seed(1 + 2);\n", &[], Some(4)),
            Err(RewriteError::ComputedSeed)
        );
    }

    #[test]
    fn what_is_computed_or_elsewhere_is_left_alone() {
        let name = || "a".to_owned();
        let set = [("a", "5")];
        for text in [
            "let a = param(\"a\", 1 + 2);",
            "let b = 3; param(\"a\", b);",
        ] {
            assert_eq!(
                kept(text, &set, None),
                Err(RewriteError::Computed { name: name() })
            );
        }
        assert_eq!(
            kept("let n = \"a\"; param(n, 1);", &set, None),
            Err(RewriteError::NotThere { name: name() })
        );
        assert_eq!(
            kept(
                "if true { param(\"a\", 1) } else { param(\"a\", 2) };",
                &set,
                None
            ),
            Err(RewriteError::Twice { name: name() })
        );
    }
}
