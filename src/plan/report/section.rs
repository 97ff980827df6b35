//! Statements under titles: what all of the plan in words is made of.

use crate::plan::{Figure, Units};

/// A part of the plan under a title.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// The title.
    pub title: String,
    /// What stands under it.
    pub entries: Vec<Entry>,
}

/// One statement, with what belongs to it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Entry {
    /// The statement.
    pub spans: Vec<Span>,
    /// What belongs to it.
    pub below: Vec<Entry>,
}

/// A piece of a statement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Span {
    /// What is said.
    Words(String),
    /// The sum that the figure before it came from, with the sign that leads to it.
    Sum(String),
}

impl Section {
    pub(super) fn new(title: impl Into<String>) -> Self {
        Self {
            title: title.into(),
            entries: Vec::new(),
        }
    }

    pub(super) fn add(&mut self, entry: impl Into<Entry>) {
        self.entries.push(entry.into());
    }
}

impl Entry {
    pub(super) fn words(mut self, text: impl Into<String>) -> Self {
        self.spans.push(Span::Words(text.into()));
        self
    }

    pub(super) fn sum(mut self, text: impl Into<String>) -> Self {
        self.spans.push(Span::Sum(text.into()));
        self
    }

    /// A figure and the sum it came from.
    pub(super) fn figure(self, figure: &Figure, units: Units) -> Self {
        self.valued(figure.shown(units), figure, units)
    }

    /// The figure of what is needed at least, and the sum it came from.
    pub(super) fn at_least(self, figure: &Figure, units: Units) -> Self {
        self.valued(figure.at_least(units), figure, units)
    }

    fn valued(self, value: String, figure: &Figure, units: Units) -> Self {
        let sum = why(figure, units);
        if sum.is_empty() || sum == value {
            self.words(value)
        } else {
            self.words(value).sum(format!(" = {sum}"))
        }
    }

    pub(super) fn add(&mut self, entry: impl Into<Entry>) {
        self.below.push(entry.into());
    }

    /// The statement on one line, sums included.
    pub fn line(&self) -> String {
        self.spans
            .iter()
            .map(|span| match span {
                Span::Words(text) | Span::Sum(text) => text.as_str(),
            })
            .collect()
    }
}

impl From<String> for Entry {
    fn from(text: String) -> Self {
        Self::default().words(text)
    }
}

impl From<&str> for Entry {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

/// The sum of a figure without the value that it ends in.
pub(super) fn why(figure: &Figure, units: Units) -> String {
    let sum = figure.why.shown(units);
    match sum.rsplit_once(" = ") {
        Some((sum, _)) => sum.to_owned(),
        None => sum,
    }
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn listed(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// `1 bar`, `2 bars`.
pub(super) fn counted(count: u64, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}
