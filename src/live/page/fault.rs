//! What is wrong with a recipe, for the page: message, place, the lines around it, what to try.

use serde::Serialize;

use super::error::RunError;
use crate::recipe::source::Place;
use crate::recipe::store::ReadError;
use crate::session::OpenError;
use crate::session::visible::visible;

/// Lines shown before and after the one to blame.
const AROUND: usize = 2;
/// The longest line that is shown whole, and how much of a longer one stands before the place; in
/// characters.
const LONGEST_LINE: usize = 160;
const LEAD: usize = 40;
/// How many calls are listed.
const MOST_CALLS: usize = 8;

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Fault {
    code: &'static str,
    message: String,
    place: Option<Spot>,
    label: Option<String>,
    lines: Vec<Line>,
    help: Option<String>,
    calls: Vec<Call>,
    /// Whether the recipe is not there any more.
    gone: bool,
}

/// Line and column, both from 1.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Spot {
    name: String,
    line: usize,
    column: usize,
}

/// A line of the source: what stands before the place, at it, and after it.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Line {
    number: usize,
    before: String,
    at: String,
    after: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Call {
    called: String,
    place: Spot,
}

impl Fault {
    pub(super) fn of(error: &RunError) -> Self {
        let mut fault = Self {
            code: error.code(),
            message: visible(&error.to_string()),
            place: None,
            label: None,
            lines: Vec::new(),
            help: error.help().as_deref().map(visible),
            calls: Vec::new(),
            gone: matches!(
                error,
                RunError::Open(OpenError::Read(ReadError::Missing { .. }))
            ),
        };
        if let RunError::Recipe(failure) = error {
            fault.label = failure.label.as_deref().map(visible);
            if let Some(place) = &failure.place {
                fault.place = Some(Spot::of(place));
                fault.lines = lines(place);
            }
            let calls = failure.trace.iter().take(MOST_CALLS);
            fault.calls = calls
                .map(|(place, called)| Call {
                    called: visible(called),
                    place: Spot::of(place),
                })
                .collect();
        }
        fault
    }
}

impl Spot {
    fn of(place: &Place) -> Self {
        let (line, column) = place.line_column();
        Self {
            name: visible(&place.source.name),
            line,
            column,
        }
    }
}

fn lines(place: &Place) -> Vec<Line> {
    let (line, column) = place.line_column();
    let spanned = place.source.text.get(place.span.clone()).unwrap_or("");
    let width = spanned.split('\n').next().unwrap_or("").chars().count();
    let all = place.source.text.split('\n').enumerate();
    all.map(|(i, text)| (i + 1, text))
        .skip_while(|(n, _)| n + AROUND < line)
        .take_while(|(n, _)| *n <= line + AROUND)
        .map(|(number, text)| {
            let letters: Vec<char> = text.chars().collect();
            let at = if number == line {
                column - 1..column - 1 + width
            } else {
                letters.len()..letters.len()
            };
            let lead = if number == line { at.start } else { 0 };
            cut(number, &letters, lead, at)
        })
        .collect()
}

/// A line cut to a readable length so that the letter `lead` is in it.
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
        line.after.push('\u{2026}');
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
        lines(&Place {
            source: Arc::new(Source::new("r.rhai", text)),
            span: start..start + what.len(),
        })
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
            let end = Place {
                source: Arc::new(Source::new("r.rhai", text)),
                span: text.len()..text.len(),
            };
            assert!(!lines(&end).is_empty());
        }
    }
}
