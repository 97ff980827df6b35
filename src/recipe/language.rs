//! Versions of the language of recipes, and what a recipe says of the version it needs.
//!
//! The number counts MEANINGS: it grows only when a text that worked gets another meaning, and then
//! the former meaning stays for texts of the former number. A new word changes no text that worked,
//! so it does not count; a recipe that uses it can say `needs`, the oldest program that has it.
//!
//! A text that says nothing has the meaning of version 1. A recipe and each of its rule modules go
//! by their own number (`Run::language_of`), so an old module keeps its meaning in a new recipe.
//!
//! What a text says is read before anything of it is carried out: a text for a later program may
//! hold signs and words that this one cannot read, and its reader is to be told so, not that there
//! is a mistake. So both must be written plainly, as a number and a text.
//!
//! To change a meaning: raise [`LATEST`], ask `Run::language_of` for the source that calls the word, keep
//! the former branch, and leave the golden files of recipes of the former number as they are.

use super::misuse::Misuse;
use std::ops::Range;
use std::sync::Arc;

use rhai::Dynamic;
use semver::Version;

use super::args;
use super::diagnostics::tokens::{Token, TokenKind, tokens};
use super::fault::Fault;
use super::source::{Location, Source};

/// The latest version that this program knows; it knows all before it.
pub const LATEST: u32 = 1;

/// What a text is where it is not known to be a rule module.
pub(super) const RECIPE: &str = "this recipe";

/// The version of a text that does not say.
pub(super) const FIRST: u32 = 1;

/// This program's own version.
const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// The version that a text says it is written for, where it does. Messages say that the text
/// `is` this: "this recipe".
///
/// # Errors
/// When it is written for a later language or program than this one.
pub(super) fn of_source(source: &Arc<Source>, is: &str) -> Result<Option<u32>, Fault> {
    let mut language = None;
    for (key, span) in stated(&source.text) {
        let written = &source.text[span.clone()];
        let here = |fault: Fault| {
            fault.label("stated here").at(Location {
                source: Arc::clone(source),
                span,
            })
        };
        match key {
            Key::Language => {
                // A number of another form is refused when the recipe runs.
                if let Ok(number) = written.replace('_', "").parse::<u64>() {
                    language = Some(known(number, is).map_err(here)?);
                }
            }
            Key::Needs => {
                let text = written.trim_matches(['"', '`']);
                if let Some(version) = version(text) {
                    new_enough(text, &version, is).map_err(here)?;
                }
            }
        }
    }
    Ok(language)
}

/// The value of `language` in `about`.
pub(super) fn number(value: &Dynamic, what: &str) -> Result<u32, Fault> {
    let number = args::whole(value, what, 1, i64::MAX)?;
    known(number.unsigned_abs(), RECIPE)
}

/// The value of `needs` in `about`.
pub(super) fn program(value: &Dynamic, what: &str) -> Result<String, Fault> {
    let help = "write the version of Plyloom, as a text: \"1.4\" or \"1.4.2\"";
    if !value.is_string() {
        return Err(args::unexpected(what, "a text", value).help(help));
    }
    let text = args::text(value, what)?;
    let version = version(&text).ok_or_else(|| {
        Fault::wrong_value(format!(
            "{what} must be the version of a program, not {text:?}"
        ))
        .help(help)
    })?;
    new_enough(&text, &version, RECIPE)?;
    Ok(text)
}

fn known(number: u64, is: &str) -> Result<u32, Fault> {
    match u32::try_from(number) {
        Ok(known) if known <= LATEST => Ok(known),
        _ => Err(Misuse::NewerLanguage {
            is: is.to_owned(),
            number,
            known: LATEST,
        }
        .into()),
    }
}

fn new_enough(text: &str, version: &Version, is: &str) -> Result<(), Fault> {
    let own = Version::parse(PROGRAM).expect("invariant: a package has a version");
    if *version <= own {
        return Ok(());
    }
    Err(Misuse::NewerProgram {
        is: is.to_owned(),
        needs: text.to_owned(),
    }
    .into())
}

/// A version of one to three numbers.
fn version(text: &str) -> Option<Version> {
    let points = text.matches('.').count();
    if !text.chars().all(|c| c.is_ascii_digit() || c == '.') || points > 2 {
        return None;
    }
    Version::parse(&format!("{text}{}", ".0".repeat(2 - points))).ok()
}

/// What can be stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Key {
    Language,
    Needs,
}

/// What a text states in its first `about(#{ ... })`: each key with the bytes of its value.
fn stated(text: &str) -> Vec<(Key, Range<usize>)> {
    let tokens = tokens(text);
    let word = |token: &Token| &text[token.span.clone()];
    let Some(start) = tokens.windows(3).position(|three| {
        word(&three[0]) == "about" && word(&three[1]) == "(" && word(&three[2]) == "#{"
    }) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    let mut depth = 0_usize;
    for three in tokens[start + 2..].windows(3) {
        match word(&three[0]) {
            "#{" | "{" | "(" | "[" => depth += 1,
            "}" | ")" | "]" => depth = depth.saturating_sub(1),
            key if depth == 1 && word(&three[1]) == ":" => {
                let key = match (key.trim_matches('"'), three[2].kind) {
                    ("language", TokenKind::Number) => Some(Key::Language),
                    ("needs", TokenKind::Text) => Some(Key::Needs),
                    _ => None,
                };
                found.extend(key.map(|key| (key, three[2].span.clone())));
            }
            _ => {}
        }
        if depth == 0 {
            break;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> Result<u32, String> {
        of_source(&Arc::new(Source::new("x", text)), RECIPE)
            .map(|said| said.unwrap_or(FIRST))
            .map_err(|fault| fault.kind.code().to_owned())
    }

    #[test]
    fn a_text_says_its_version_or_has_the_first() {
        assert_eq!(of("let a = 1;"), Ok(1));
        assert_eq!(of("about(#{ title: \"x\", language: 1 });"), Ok(1));
        assert_eq!(of("// about(#{ language: 9 })\n"), Ok(1));
        assert_eq!(of("let m = #{ language: 9 };"), Ok(1));
        assert_eq!(of("about(#{ more: #{ language: 9 } })"), Ok(1));
        assert_eq!(of("about(#{ notes: \"language: 9\" })"), Ok(1));
    }

    #[test]
    fn later_texts_are_known_for_what_they_are_even_if_they_cannot_be_read() {
        let later = Err("recipe::newer_language".to_owned());
        assert_eq!(of("about(#{ language: 2 }); glue ~> panel ;;"), later);
        assert_eq!(of("about(#{ title: \"a\", \"language\": 1_000 })"), later);
        let later = Err("recipe::newer_program".to_owned());
        assert_eq!(of("about(#{ needs: \"99\" }) @@"), later);
        assert_eq!(of("about(#{ needs: \"0.0.1\" })"), Ok(1));
    }

    #[test]
    fn versions_count_as_numbers() {
        assert!(version("1.10") > version("1.9.3"));
        for bad in ["", "1.", "v1", "1.2.3.4", "01", "1.2-beta", ">=1"] {
            assert_eq!(version(bad), None, "{bad}");
        }
    }
}
