//! From Rhai's positions (line and character) to places (bytes of a source).

use std::sync::Arc;

use rhai::Position;

use super::tokens;
use crate::recipe::source::{Location, Source};

/// The place of the token at `position`. A position beyond the text gives its end; none at all, the
/// first token.
pub(crate) fn place(source: Arc<Source>, position: Position) -> Location {
    let text = &source.text;
    let start = match position.line() {
        Some(line) => offset(text, line, position.position().unwrap_or(1)),
        None => tokens::next(text, 0).map_or(0, |token| token.span.start),
    };
    let end = tokens::end_of(text, start);
    Location {
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

/// The places of the values in the brackets of the call whose word stands at `word`.
pub(super) fn arguments(word: &Location) -> Vec<Location> {
    let text = &word.source.text;
    let mut found: Vec<Location> = Vec::new();
    let Some(open) = tokens::next(text, word.span.end).filter(|t| &text[t.span.clone()] == "(")
    else {
        return found;
    };
    let (mut depth, mut at) = (0_usize, open.span.end);
    let mut begun: Option<std::ops::Range<usize>> = None;
    while let Some(token) = tokens::next(text, at) {
        at = token.span.end;
        let sign = &text[token.span.clone()];
        let ends = depth == 0 && matches!(sign, "," | ")");
        if ends {
            found.extend(begun.take().map(|span| Location {
                source: Arc::clone(&word.source),
                span,
            }));
            if sign == ")" {
                break;
            }
            continue;
        }
        match sign {
            "(" | "[" | "{" | "#{" | "?[" => depth += 1,
            ")" | "]" | "}" => depth = depth.saturating_sub(1),
            _ => {}
        }
        let start = begun.as_ref().map_or(token.span.start, |span| span.start);
        begun = Some(start..token.span.end);
    }
    found
}

/// The number that two tokens are meant for, where a comma stands in it: `17,7`.
pub(super) fn decimal_comma(text: &str, comma: usize) -> Option<String> {
    let digit = |c: char| c.is_ascii_digit();
    let before = text[..comma].rsplit(|c: char| !digit(c)).next()?;
    let after = text.get(comma + 1..)?.split(|c: char| !digit(c)).next()?;
    (!before.is_empty() && !after.is_empty()).then(|| format!("{before}.{after}"))
}

/// The first number with a comma in it among the values of a call.
pub(super) fn comma_in_call(word: &Location) -> Option<String> {
    let list = arguments(word);
    list.windows(2).find_map(|pair| {
        let (end, start) = (pair[0].span.end, pair[1].span.start);
        (end + 1 == start).then(|| decimal_comma(&word.source.text, end))?
    })
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
