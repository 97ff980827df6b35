//! From Rhai's positions (line and character) to places (bytes of a source).

use std::sync::Arc;

use rhai::Position;

use super::tokens;
use crate::recipe::source::{Place, Source};

/// The place of the token at `position`. A position beyond the text gives its end; none at all, the
/// first token.
pub(crate) fn place(source: Arc<Source>, position: Position) -> Place {
    let text = &source.text;
    let start = match position.line() {
        Some(line) => offset(text, line, position.position().unwrap_or(1)),
        None => tokens::next(text, 0).map_or(0, |token| token.span.start),
    };
    let end = tokens::end_of(text, start);
    Place {
        source,
        span: start..end,
    }
}

/// The byte of the `column`th character of the `line`th line, both from 1.
fn offset(text: &str, line: usize, column: usize) -> usize {
    let line_start = if line <= 1 {
        0
    } else {
        text.match_indices('\n')
            .nth(line - 2)
            .map_or(text.len(), |(i, _)| i + 1)
    };
    let line = text[line_start..].split('\n').next().unwrap_or_default();
    line.char_indices()
        .nth(column.saturating_sub(1))
        .map_or(line_start + line.len(), |(i, _)| line_start + i)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str, line: u16, column: u16) -> String {
        let place = place(
            Arc::new(Source::new("r", text)),
            Position::new(line, column),
        );
        text[place.span].to_owned()
    }

    #[test]
    fn columns_count_characters_not_bytes() {
        assert_eq!(at("let ä = 1;\nlet öö = häuser(2);", 2, 10), "häuser");
    }

    #[test]
    fn beyond_the_end_is_the_end() {
        assert_eq!(at("let x = ", 1, 9), "");
        assert_eq!(at("let x = ", 7, 3), "");
    }
}
