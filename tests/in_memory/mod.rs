//! What the tests of recipes share.
#![allow(dead_code, reason = "each test file uses a part of it")]

use std::sync::Arc;

use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use plyloom::recipe::{Failure, Outcome, evaluate};

/// A run of a recipe, built up by what differs from the usual.
#[derive(Default)]
pub(crate) struct Recipe {
    text: String,
    host: MemoryHost,
    settings: Settings,
}

/// A recipe of this text.
pub(crate) fn recipe(text: &str) -> Recipe {
    Recipe {
        text: text.to_owned(),
        ..Recipe::default()
    }
}

impl Recipe {
    /// With a rule module in its folder.
    pub(crate) fn module(mut self, name: &str, text: &str) -> Self {
        self.host = self.host.with(name, text);
        self
    }

    /// With a parameter set by the maker.
    pub(crate) fn set(mut self, name: &str, value: &str) -> Self {
        self.settings.set.push((name.to_owned(), value.to_owned()));
        self
    }

    /// With other settings.
    pub(crate) fn settings(mut self, change: impl FnOnce(&mut Settings)) -> Self {
        change(&mut self.settings);
        self
    }

    /// The result and the lines that were printed.
    pub(crate) fn run(self) -> (Result<Outcome, Failure>, Vec<String>) {
        let host = Arc::new(self.host);
        let source = Arc::new(Source::new("test.rhai", self.text));
        let result = evaluate(&source, &self.settings, host.clone());
        (result, host.lines())
    }

    /// The lines that were printed by a recipe that works.
    pub(crate) fn prints(self) -> Vec<String> {
        let (result, lines) = self.run();
        if let Err(failure) = result {
            panic!("the recipe fails: {failure}");
        }
        lines
    }

    /// The outcome of a recipe that works.
    pub(crate) fn works(self) -> Outcome {
        match self.run().0 {
            Ok(outcome) => outcome,
            Err(failure) => panic!("the recipe fails: {failure}"),
        }
    }

    /// The failure of a recipe that does not work.
    pub(crate) fn fails(self) -> Failure {
        match self.run().0 {
            Ok(_) => panic!("the recipe works"),
            Err(failure) => failure,
        }
    }
}

/// Every place that a failure names lies within its text. `what` says which failure.
#[track_caller]
pub(crate) fn places_lie_in_the_text(failure: &Failure, what: &str) {
    let trace = failure.trace.iter().map(|(place, _)| place);
    for place in failure.place.iter().chain(&failure.inside).chain(trace) {
        let there = place.source.text.get(place.span.clone()).is_some();
        assert!(there, "{what}: {place:?}");
    }
}

/// The place of a failure as `line:column text`.
pub(crate) fn place(failure: &Failure) -> String {
    let place = failure.place.as_ref().expect("a place");
    let (line, column) = place.line_column();
    format!("{line}:{column} {}", &place.source.text[place.span.clone()])
}
