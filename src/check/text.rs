//! What the text of a recipe tells: what its author says of it, old words, parameters
//! that it never takes up.

use std::sync::Arc;

use super::{Finding, Level, deprecated};
use crate::recipe::outcome::Outcome;
use crate::recipe::reading::{bound_parameters, names_in};
use crate::recipe::source::Place;

pub(super) fn findings(outcome: &Outcome) -> Vec<Finding> {
    let mut findings = said(outcome);
    findings.extend(unused_parameters(outcome));
    for source in &outcome.sources {
        for (entry, span) in deprecated::found(&source.text, deprecated::WORDS) {
            let place = Place {
                source: Arc::clone(source),
                span,
            };
            findings.push(
                Finding::new(
                    "check::deprecated_word",
                    Level::Warning,
                    format!("`{}` is an old word", entry.word),
                )
                .help(entry.instead)
                .at(Some(place)),
            );
        }
    }
    findings
}

/// What an author leaves unsaid that others need.
fn said(outcome: &Outcome) -> Vec<Finding> {
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

/// Parameters whose value the text of their source does not take up anywhere.
fn unused_parameters(outcome: &Outcome) -> Vec<Finding> {
    let mut findings = Vec::new();
    for source in &outcome.sources {
        let names = names_in(&source.text);
        for bound in bound_parameters(&source.text) {
            let unused = match &bound.variable {
                Some(variable) => names.iter().filter(|name| *name == variable).count() < 2,
                None => bound.alone,
            };
            if unused {
                let place = Place {
                    source: Arc::clone(source),
                    span: bound.span,
                };
                findings.push(
                    Finding::new(
                        "check::unused_parameter",
                        Level::Warning,
                        format!("the parameter `{}` is declared and never used", bound.name),
                    )
                    .help("use its value, or remove it: setting it changes nothing")
                    .at(Some(place)),
                );
            }
        }
    }
    findings
}

/// Where a parameter is declared.
pub(super) fn declaration(outcome: &Outcome, name: &str) -> Option<Place> {
    outcome.sources.iter().find_map(|source| {
        let bound = bound_parameters(&source.text)
            .into_iter()
            .find(|bound| bound.name == name)?;
        Some(Place {
            source: Arc::clone(source),
            span: bound.span,
        })
    })
}
