//! Which loop it was that did not end: bounds strike anywhere inside it, so the message points at
//! its head, and is the same whenever the bound strikes.

use super::tokens::{self, Token};
use crate::recipe::source::Place;

/// The head of the innermost loop around `place`, if there is one.
pub(super) fn around(place: &Place) -> Option<Place> {
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
    innermost.map(|token| Place {
        source: place.source.clone(),
        span: token.span,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::source::Source;
    use std::sync::Arc;

    fn head_at(text: &str, needle: &str) -> Option<String> {
        let start = text.find(needle).unwrap();
        let place = Place {
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
