//! Findings about the text of a recipe: what its author says of it.

use std::sync::Arc;

use super::{Finding, Level};
use crate::recipe::outcome::Outcome;
use crate::recipe::reading::bound_parameters;
use crate::recipe::source::Location;

/// What an author leaves unsaid that others need.
pub(super) fn findings(outcome: &Outcome) -> Vec<Finding> {
    let about = &outcome.about;
    if about.is_empty() {
        return vec![
            Finding::new("check::no_about", Level::Warning, "it has no `about`").help(
                "put `about(#{ title: ..., author: ..., licence: ..., language: 1 })` at its top",
            ),
        ];
    }
    let missing = [
        (
            about.licence.is_none(),
            "check::no_licence",
            Level::Warning,
            "it has no licence, so others may not use it",
            "add `licence: \"CC-BY-4.0\"`, or another that you choose, to `about`",
        ),
        (
            about.title.is_none(),
            "check::no_title",
            Level::Warning,
            "it has no title",
            "add `title: \"...\"` to `about`",
        ),
        (
            about.author.is_none(),
            "check::no_author",
            Level::Note,
            "it does not say who made it",
            "add `author: \"...\"` to `about`, if you want to be named",
        ),
        (
            about.language.is_none(),
            "check::no_language",
            Level::Warning,
            "it does not say which version of the language it uses",
            "add `language: 1` to `about`: later versions will then read it the same way",
        ),
    ];
    missing
        .into_iter()
        .filter(|(is, ..)| *is)
        .map(|(_, code, level, message, help)| Finding::new(code, level, message).help(help))
        .collect()
}

/// Where a parameter is declared.
pub(super) fn declaration(outcome: &Outcome, name: &str) -> Option<Location> {
    outcome.sources.iter().find_map(|source| {
        let bound = bound_parameters(&source.text)
            .into_iter()
            .find(|bound| bound.name == name)?;
        Some(Location {
            source: Arc::clone(source),
            span: bound.span,
        })
    })
}
