//! Recipe text with the name it is shown under.

use std::ops::Range;
use std::sync::Arc;

/// One recipe or rule module: its text and the name that messages show for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// The name shown to the maker: a path as typed, or `scripts/rings` for a built-in module.
    pub name: String,
    /// The whole text.
    pub text: String,
}

impl Source {
    /// A source of this name and text.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            text: text.into(),
        }
    }
}

/// A place in a source: a range of bytes of its text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Location {
    /// The text that the range points into.
    pub source: Arc<Source>,
    /// Bytes of `source.text`; within bounds and on character borders.
    pub span: Range<usize>,
}

impl Location {
    /// Line and column of the first byte, both counted from 1, columns in characters.
    pub fn line_column(&self) -> (usize, usize) {
        let before = &self.source.text[..self.span.start.min(self.source.text.len())];
        let line = before.matches('\n').count() + 1;
        let column = before
            .rsplit('\n')
            .next()
            .unwrap_or_default()
            .chars()
            .count()
            + 1;
        (line, column)
    }
}

impl std::fmt::Display for Location {
    /// `name:line:column`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (line, column) = self.line_column();
        write!(f, "{}:{line}:{column}", self.source.name)
    }
}

/// A thing with the place in the recipe where it was made.
#[derive(Debug, Clone)]
pub struct Located<T> {
    /// The thing.
    pub thing: T,
    /// Where it was made.
    pub place: Location,
}
