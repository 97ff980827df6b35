//! The lines around a place in a recipe: safe to show, and cut to a readable length.

use serde::Serialize;

use super::visible::visible;
use crate::recipe::source::Location;

/// The longest line that is shown whole, and how much of a longer one stands before the place; in
/// characters.
const LONGEST_LINE: usize = 160;
const LEAD: usize = 40;

/// A place by its numbers, line and column both from 1, columns in characters.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Spot {
    /// The text's name, safe to show.
    pub name: String,
    /// The line.
    pub line: usize,
    /// The column.
    pub column: usize,
}

/// A line of the text: what stands before the place, at it, and after it. The last two are empty but
/// on the line of the place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Line {
    /// From 1.
    pub number: usize,
    /// Before the place.
    pub before: String,
    /// At the place.
    pub at: String,
    /// After it.
    pub after: String,
}

impl Spot {
    /// Where a place is.
    pub fn of(place: &Location) -> Self {
        let (line, column) = place.line_column();
        Self {
            name: super::visible::on_one_line(&place.source.name),
            line,
            column,
        }
    }
}

/// The line of a place with so many lines before and after it, as far as there are some. A place of
/// several lines is marked on its first.
pub fn lines(place: &Location, around: usize) -> Vec<Line> {
    let (line, column) = place.line_column();
    let spanned = place.source.text.get(place.span.clone()).unwrap_or("");
    let width = spanned.split('\n').next().unwrap_or("").chars().count();
    let all = place.source.text.split('\n').enumerate();
    all.map(|(i, text)| (i + 1, text))
        .skip_while(|(n, _)| n + around < line)
        .take_while(|(n, _)| *n <= line + around)
        .map(|(number, text)| {
            let letters: Vec<char> = text.chars().collect();
            let (at, lead) = if number == line {
                (column - 1..column - 1 + width.max(1), column - 1)
            } else {
                (letters.len()..letters.len(), 0)
            };
            cut(number, &letters, lead, at)
        })
        .collect()
}

/// A line cut so that the letter `lead` is in it.
fn cut(number: usize, letters: &[char], lead: usize, at: std::ops::Range<usize>) -> Line {
    let start = if letters.len() > LONGEST_LINE {
        lead.saturating_sub(LEAD).min(letters.len())
    } else {
        0
    };
    let end = letters.len().min(start + LONGEST_LINE);
    let first = at.start.clamp(start, end);
    let last = at.end.clamp(first, end);
    let text = |range: &[char]| visible(&range.iter().collect::<String>());
    let mut line = Line {
        number,
        before: text(&letters[start..first]),
        at: text(&letters[first..last]),
        after: text(&letters[last..end]),
    };
    if start > 0 {
        line.before.insert(0, '\u{2026}');
    }
    if end < letters.len() {
        let last = if line.at.is_empty() && line.after.is_empty() {
            &mut line.before
        } else {
            &mut line.after
        };
        last.push('\u{2026}');
    }
    line
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::recipe::source::Source;

    fn at(text: &str, what: &str) -> Vec<Line> {
        let start = text.find(what).unwrap();
        let place = Location {
            source: Arc::new(Source::new("r.rhai", text)),
            span: start..start + what.len(),
        };
        lines(&place, 2)
    }

    #[test]
    fn the_line_falls_into_three_and_its_neighbours_are_there() {
        let found = at("a\nb\nlet é = shet(3);\nc\nd\ne\n", "shet");
        let numbers: Vec<usize> = found.iter().map(|l| l.number).collect();
        assert_eq!(numbers, [1, 2, 3, 4, 5]);
        let line = &found[2];
        assert_eq!(
            (line.before.as_str(), line.at.as_str(), line.after.as_str()),
            ("let é = ", "shet", "(3);")
        );
    }

    #[test]
    fn a_long_line_is_cut_around_the_place() {
        let text = format!("{}shet{}", "a".repeat(5000), "b".repeat(5000));
        let line = &at(&text, "shet")[0];
        assert!(line.before.starts_with('\u{2026}') && line.after.ends_with('\u{2026}'));
        assert_eq!(line.at, "shet");
        assert!(line.before.chars().count() < 50 && line.after.chars().count() < 160);
    }

    #[test]
    fn the_end_of_the_text_is_a_place_too() {
        for text in ["", "x", "x\n"] {
            let end = Location {
                source: Arc::new(Source::new("r.rhai", text)),
                span: text.len()..text.len(),
            };
            assert!(!lines(&end, 2).is_empty());
        }
    }
}
