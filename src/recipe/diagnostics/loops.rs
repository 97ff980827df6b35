//! Which loop did not end. A bound can be passed anywhere inside it, so the message points at its
//! head, and is always the same.

use super::names;
use super::tokens::{self, Token};
use crate::recipe::source::Location;

/// The head of the innermost loop around `place`, if there is one.
pub(super) fn around(place: &Location) -> Option<Location> {
    let text = &place.source.text;
    let at = place.span.start;
    let mut open: Vec<Option<Token>> = Vec::new();
    let mut head: Option<Token> = None;
    let mut innermost = None;
    for token in tokens::tokens(text) {
        if token.span.start > at {
            break;
        }
        match &text[token.span.clone()] {
            "loop" | "while" | "for" | "do" => head = Some(token),
            "{" => open.push(head.take()),
            "#{" => open.push(None),
            "}" => {
                open.pop();
            }
            ";" => head = None,
            _ => {}
        }
        innermost = head
            .clone()
            .or_else(|| open.iter().rev().flatten().next().cloned());
    }
    innermost.map(|token| Location {
        source: place.source.clone(),
        span: token.span,
    })
}

/// Where a call that did not end was at work, as far as the text shows, as the engine no longer knows.
/// The only loop of the function that is called, or of the only function that that one calls in turn.
pub(super) fn inside(call: &Location) -> Option<(&'static str, Location)> {
    let text = &call.source.text;
    let list = tokens::tokens(text);
    let word = |token: &Token| &text[token.span.clone()];
    let functions = names::functions(text);
    let named = |name: &str| {
        let defined = |range: &&std::ops::Range<usize>| {
            tokens::next(text, range.start + 2).is_some_and(|token| word(&token) == name)
        };
        let mut found = functions.iter().filter(defined);
        found.next().filter(|_| found.next().is_none())
    };
    let at = |token: &Token| Location {
        source: call.source.clone(),
        span: token.span.clone(),
    };
    let mut name = text[call.span.clone()].to_owned();
    let mut seen = Vec::new();
    loop {
        let range = named(&name)?;
        let own = tokens::next(text, range.start + 2)?;
        if seen.contains(&range.start) {
            return Some(("this function calls itself on and on", at(&own)));
        }
        seen.push(range.start);
        let body: Vec<&Token> = list
            .iter()
            .filter(|token| token.span.start > own.span.end && token.span.end <= range.end)
            .collect();
        let loops: Vec<&&Token> = body
            .iter()
            .filter(|token| matches!(word(token), "loop" | "while" | "for"))
            .collect();
        let calls: Vec<&&Token> = body
            .windows(2)
            .filter(|pair| word(pair[1]) == "(" && named(word(pair[0])).is_some())
            .map(|pair| &pair[0])
            .collect();
        match (loops.as_slice(), calls.as_slice()) {
            ([only], []) => return Some(("this loop was still running", at(only))),
            ([], [only]) => name = word(only).to_owned(),
            _ if seen.len() == 1 && loops.is_empty() => return None,
            _ => return Some(("this function was still running", at(&own))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::source::Source;
    use std::sync::Arc;

    fn head_at(text: &str, needle: &str) -> Option<String> {
        let start = text.find(needle).unwrap();
        let place = Location {
            source: Arc::new(Source::new("r", text)),
            span: start..start + needle.len(),
        };
        around(&place).map(|head| format!("{head}"))
    }

    #[test]
    fn the_innermost_loop_is_found() {
        let text = "for i in 0..9 { f(#{ a: 1 }); while g() { h(); } k() } m()";
        assert_eq!(head_at(text, "h()").as_deref(), Some("r:1:31"));
        assert_eq!(head_at(text, "g()").as_deref(), Some("r:1:31"));
        assert_eq!(head_at(text, "k()").as_deref(), Some("r:1:1"));
        assert_eq!(head_at(text, "m()"), None);
    }
}
