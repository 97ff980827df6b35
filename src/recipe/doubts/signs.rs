//! Doubts about the comparisons of a text: lengths beside counts, colours as texts, remainders below
//! 0.

use std::sync::Arc;

use super::{Doubt, Doubtful};
use crate::recipe::comparing::is_sign;
use crate::recipe::comparing::{COUNTS, LENGTHS};
use crate::recipe::diagnostics::tokens::{Token, TokenKind, tokens, word};
use crate::recipe::outcome::Outcome;
use crate::recipe::parameter::Domain;
use crate::recipe::reading::bound_parameters;
use crate::recipe::source::{Location, Source};

/// Properties that are measured on the panel.
const MEASURED: [&str; 5] = ["x", "y", "distance", "from_outline", "direction"];

pub(super) fn doubts(source: &Arc<Source>, outcome: &Outcome) -> Vec<Doubtful> {
    let text = source.text.as_str();
    let list = tokens(text);
    let colours = colours(text, outcome);
    let below = below_zero(outcome);
    let mut found = Vec::new();
    for (i, sign) in list.iter().enumerate() {
        if i == 0 || !is_sign(text, sign) {
            continue;
        }
        let (left, right) = (ending(text, &list, i - 1), beginning(text, &list, i + 1));
        let equal = matches!(&text[sign.span.clone()], "==" | "!=");
        let sides = [&left, &right];
        let of = |kind: &[&str]| sides.iter().position(|side| kind.contains(&side.as_str()));
        let doubt = if let (Some(a), Some(b)) = (of(&LENGTHS), of(&COUNTS)) {
            Doubt::LengthWithCount {
                length: sides[a].clone(),
                count: sides[b].clone(),
            }
        } else if equal && let Some(a) = of(&MEASURED) {
            Doubt::ExactLength {
                length: sides[a].clone(),
            }
        } else if equal && let Some(name) = colour_and_text(text, &list, i, &colours) {
            Doubt::ColourAsText { name }
        } else if equal && let Some(property) = remainder(text, &list, i, &below) {
            Doubt::BelowZero { property }
        } else {
            continue;
        };
        let place = Location {
            source: Arc::clone(source),
            span: sign.span.clone(),
        };
        found.push(Doubtful { doubt, place });
    }
    found
}

/// The property that ends at `i`; empty where there is none, or where it is part of a calculation.
fn ending(text: &str, list: &[Token], i: usize) -> String {
    let is_property = i > 1 && word(text, list, i - 1) == ".";
    let before = i.checked_sub(3).map_or("", |i| word(text, list, i));
    let reckoned = matches!(before, "+" | "-" | "*" | "/" | "%");
    if is_property && !reckoned {
        word(text, list, i).to_owned()
    } else {
        String::new()
    }
}

/// The property that begins at `i`, likewise.
fn beginning(text: &str, list: &[Token], i: usize) -> String {
    let mut last = i;
    while word(text, list, last + 1) == "." {
        last += 2;
    }
    let next = word(text, list, last + 1);
    if last > i && !matches!(next, "(" | "[" | "+" | "-" | "*" | "/" | "%") {
        word(text, list, last).to_owned()
    } else {
        String::new()
    }
}

/// The variables that hold a colour.
fn colours(text: &str, outcome: &Outcome) -> Vec<String> {
    let is_colour = |name: &str| {
        let mut all = outcome.parameters.iter();
        all.any(|p| p.name == name && matches!(p.domain, Domain::Colour))
    };
    bound_parameters(text)
        .into_iter()
        .filter(|bound| is_colour(&bound.name))
        .filter_map(|bound| bound.variable)
        .collect()
}

fn colour_and_text(text: &str, list: &[Token], i: usize, colours: &[String]) -> Option<String> {
    let sides = [i - 1, i + 1];
    let is_text = |at: usize| {
        list.get(at)
            .is_some_and(|token| token.kind == TokenKind::Text)
    };
    let colour = |at: usize| colours.iter().find(|name| *name == word(text, list, at));
    let (a, b) = (sides[0], sides[1]);
    let found = if is_text(b) {
        colour(a)
    } else if is_text(a) {
        colour(b)
    } else {
        None
    };
    found.cloned()
}

/// Of `column` and `course` those that are below 0 somewhere.
fn below_zero(outcome: &Outcome) -> Vec<&'static str> {
    let cells = || {
        let panels = outcome.panels.iter();
        panels.flat_map(|panel| panel.tiles.iter().map(|tile| tile.cell))
    };
    let mut below = Vec::new();
    if cells().any(|cell| cell.column < 0) {
        below.push("column");
    }
    if cells().any(|cell| cell.course < 0) {
        below.push("course");
    }
    below
}

/// `cell.column % 3 == 1`: at the column -2 the remainder is -2.
fn remainder(text: &str, list: &[Token], i: usize, below: &[&str]) -> Option<String> {
    let property = i.checked_sub(3).map(|i| word(text, list, i))?;
    let wanted = word(text, list, i + 1);
    let is_remainder = word(text, list, i - 2) == "%"
        && i > 3
        && word(text, list, i - 4) == "."
        && wanted.parse::<i64>().is_ok_and(|wanted| wanted != 0);
    (is_remainder && below.contains(&property)).then(|| property.to_owned())
}
