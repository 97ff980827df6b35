//! A repeat of what was laid by hand, written as a person would: its first block, and how it is
//! continued.

use std::collections::BTreeMap;

use super::block::Key;
use super::calls::Calls;
use super::edit::{At, Mirror};
use super::error::EditError;
use super::table::Table;
use super::write::{last_block, write};
use crate::layout::laying::Repeat;
use crate::recipe::diagnostics::tokens::tokens;
use crate::recipe::outcome::Outcome;

/// A repeat of this size.
///
/// # Errors
/// When there is no such block.
pub(super) fn of([columns, courses]: At, shift: i32, mirror: Mirror) -> Result<Repeat, EditError> {
    const MOST: i32 = 10_000;
    let sizes = 1..=MOST;
    if !sizes.contains(&columns) || !sizes.contains(&courses) || shift.abs() > MOST {
        return Err(EditError::NoRepeat);
    }
    Ok(Repeat {
        columns,
        courses,
        shift,
        mirror_across: matches!(mirror, Mirror::Across | Mirror::Both),
        mirror_down: matches!(mirror, Mirror::Down | Mirror::Both),
    })
}

/// The options of `lay` that say a repeat.
fn options(repeat: &Repeat) -> String {
    let shift = match repeat.shift {
        0 => String::new(),
        n => format!(", shift: {n}"),
    };
    let mirror = match (repeat.mirror_across, repeat.mirror_down) {
        (false, false) => "",
        (true, false) => ", mirror: \"across\"",
        (false, true) => ", mirror: \"down\"",
        (true, true) => ", mirror: \"both\"",
    };
    format!(
        ", #{{ repeat: [{}, {}]{shift}{mirror} }}",
        repeat.columns, repeat.courses
    )
}

/// The text with a repeat in the place of what was laid.
///
/// # Errors
/// When what was laid says something else than this repeat, or not all of it.
pub(super) fn repeated(
    text: &str,
    outcome: &Outcome,
    panel: usize,
    repeat: &Repeat,
) -> Result<String, EditError> {
    let table = Table::of(outcome, panel)?;
    let laid = table.laid();
    let tiles = table.block(&laid, *repeat).ok_or(EditError::NoRepeat)?;
    let all = tokens(text);
    let key = |cell: &crate::layout::Cell| (cell.course, cell.column);
    // A block that lays all of it is rewritten; otherwise other blocks stay, and a new one is put
    // above them.
    let block = last_block(text, &all, outcome, panel).filter(|block| {
        block.is_bare(text)
            && laid
                .keys()
                .all(|cell| block.entries.contains_key(&key(cell)))
    });
    let before = block
        .as_ref()
        .map(|b| b.entries.clone())
        .unwrap_or_default();
    let entries = |calls: &Calls<'_>| {
        let one = |(cell, tile)| {
            let key = key(cell);
            let call = before.get(&key).cloned();
            (key, call.unwrap_or_else(|| calls.written(tile)))
        };
        Ok(tiles.iter().map(one).collect::<BTreeMap<Key, String>>())
    };
    let options = options(repeat);
    write(
        text,
        &all,
        outcome,
        panel,
        block.as_ref(),
        Some(&options),
        entries,
    )
}
