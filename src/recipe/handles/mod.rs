//! Handles on a panel's outline: places that can be dragged, each tied to plain lengths in the recipe's text.
//!
//! Handles are found for what is written out in the text: `finished(300, 200)`, shapes such as `l_shape(...)`
//! with their holes, lists of corners, paths, and the pieces that a panel is cut into; through a variable
//! too, where it is given once, and through a parameter, whose default is written. A length that is worked
//! out has no handle. Places are in mm on the panel; an [`Outcome`] says what the text gave, and whoever
//! takes a new text runs it.

mod error;
mod handle;
mod lengths;
mod path;
mod reader;
mod shape;

use std::collections::BTreeMap;

pub use self::error::HandleError;
pub use self::handle::Handle;

use self::handle::Drawn;
use self::lengths::Length;
use self::reader::Reader;
use super::diagnostics::tokens::tokens;
use super::outcome::Outcome;
use crate::geom::Point;

/// The most handles of a panel: more would hide it.
const MOST: usize = 200;
/// By how much, in mm, an outline may differ from what its text says.
const SAME: f64 = 0.02;

/// The handles of a panel, by number. `outcome` is what this text gave.
///
/// # Errors
/// When there are none, and why.
pub fn handles(text: &str, outcome: &Outcome, panel: usize) -> Result<Vec<Handle>, HandleError> {
    let all = tokens(text);
    let reader = Reader::new(text, &all);
    let begun = Some(&outcome.hands[panel].place).filter(|place| place.source.text == text);
    let begun = begun.ok_or(HandleError::Elsewhere)?;
    let calls = reader.calls_on(begun.span.start)?;
    let shown = &outcome.panels[panel];
    let outline = calls.iter().rfind(|call| call.word.starts_with("finished"));
    let outline = outline.map(|call| {
        let drawn = shape::finished(&reader, call)?;
        let size = (shown.bounds.width(), shown.bounds.height());
        held(drawn, size, reader.line(call.at))
    });
    let pieces = calls.iter().rfind(|call| call.word == "pieces");
    let pieces = pieces.map(|call| {
        let mut found = Vec::new();
        let all = shape::pieces(&reader, call)?;
        if all.len() != shown.pieces.list.len() {
            return Err(HandleError::Differs {
                line: reader.line(call.at),
            });
        }
        for (piece, (drawn, place)) in shown.pieces.list.iter().zip(all) {
            let bounds = piece.outline.bounds();
            let size = (bounds.width(), bounds.height());
            let drawn = held(drawn, size, reader.line(call.at))?;
            found.extend(drawn.within(&piece.name, bounds.min, place));
        }
        Ok(found)
    });
    let found = match (outline, pieces) {
        (None, None) => return Err(HandleError::Whole),
        (Some(Err(error)), None | Some(Err(_))) | (None, Some(Err(error))) => return Err(error),
        (outline, pieces) => {
            let outline = outline.and_then(Result::ok).map(|drawn| drawn.handles);
            let pieces = pieces.and_then(Result::ok);
            [outline, pieces].into_iter().flatten().flatten().collect()
        }
    };
    let found: Vec<Handle> = found;
    if found.len() > MOST {
        return Err(HandleError::Many { count: found.len() });
    }
    Ok(found)
}

/// The outline as drawn, where it has the size of the panel.
fn held(drawn: Drawn, (width, height): (f64, f64), line: usize) -> Result<Drawn, HandleError> {
    let same = (drawn.size.x - width).abs() < SAME && (drawn.size.y - height).abs() < SAME;
    same.then_some(drawn).ok_or(HandleError::Differs { line })
}

/// The text after a handle was dragged by so many mm to the right and down; lengths become multiples of `step` mm,
/// those in inches of a sixteenth, or a sixty-fourth where the step is below 1.
///
/// # Errors
/// When there is no such handle, and as [`handles`].
pub fn dragged(
    text: &str,
    outcome: &Outcome,
    panel: usize,
    (handle, by, step): (usize, Point, f64),
) -> Result<String, HandleError> {
    let all = handles(text, outcome, panel)?;
    let handle = all.get(handle).ok_or(HandleError::Gone)?;
    // One length may be the width and the height.
    let mut changes: BTreeMap<usize, (&Length, f64)> = BTreeMap::new();
    for turn in &handle.turns {
        let change = changes.entry(turn.length.span.start);
        let (_, more) = change.or_insert((&turn.length, 0.0));
        *more += by.x * turn.per.x + by.y * turn.per.y;
    }
    let mut out = text.to_owned();
    for (length, more) in changes.into_values().rev().filter(|(_, more)| *more != 0.0) {
        out.replace_range(length.span.clone(), &length.written(text, more, step)?);
    }
    Ok(out)
}

#[cfg(test)]
mod tests;
