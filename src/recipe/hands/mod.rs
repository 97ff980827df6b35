//! Edits by hand: tiles of a panel that are laid, turned, flipped or swapped, written into the
//! recipe's text.
//!
//! Each such tile becomes an entry of the panel's `lay` block (`block`), under the name that the
//! recipe has for it (`calls`). Only the block changes; the rest of the text stays byte for byte.
//! Nothing here carries out a recipe: an [`Outcome`] says which tiles lie where now, and the caller
//! runs the new text.

mod block;
mod calls;
mod edit;
mod error;
mod lines;
mod offers;
mod repeat;
mod table;
mod write;

use std::collections::BTreeMap;

pub use self::edit::{Act, At, Brush, Edit, Mirror};
pub use self::error::EditError;
pub use self::lines::lines;
pub use self::offers::{Offer, offers};

use self::block::Key;
use self::calls::Calls;
use self::table::Table;
use self::write::{last_block, write};
use super::diagnostics::tokens::tokens;
use super::outcome::Outcome;
use crate::layout::Cell;
use crate::stock::Tile;

/// The text of a recipe after hand edits of one of its panels, by number. `outcome` is what this text
/// gave.
///
/// # Errors
/// When an edit is none that hands can do.
pub fn edited(
    text: &str,
    outcome: &Outcome,
    panel: usize,
    edits: &[Edit],
) -> Result<String, EditError> {
    if let [
        Edit {
            act:
                Act::Repeat {
                    size,
                    shift,
                    mirror,
                },
            ..
        },
    ] = edits
    {
        return repeat::repeated(text, outcome, panel, &repeat::of(*size, *shift, *mirror)?);
    }
    let mut table = Table::of(outcome, panel)?;
    for edit in edits {
        table.carry_out(edit)?;
    }
    let all = tokens(text);
    let block = last_block(text, &all, outcome, panel);
    let before = block.as_ref().map(|b| b.entries.clone());
    let before = before.unwrap_or_default();
    let changes = table.changes();
    let entries = |calls: &Calls<'_>| merged(before.clone(), &changes, calls, &table);
    write(text, &all, outcome, panel, block.as_ref(), None, entries)
}

/// The symmetries that lead from tiles of a panel to others.
///
/// # Errors
/// When the panel has no cells.
pub fn brushes(outcome: &Outcome, panel: usize) -> Result<Vec<Brush>, EditError> {
    Ok(Table::of(outcome, panel)?.brushes())
}

/// The entries of a block after changes.
fn merged(
    mut entries: BTreeMap<Key, String>,
    changes: &BTreeMap<Cell, Option<Tile>>,
    calls: &Calls<'_>,
    table: &Table<'_>,
) -> Result<BTreeMap<Key, String>, EditError> {
    for (&cell, change) in changes {
        let key = (cell.course, cell.column);
        match change {
            Some(tile) if entries.contains_key(&key) && table.shows(cell, tile) => {}
            Some(tile) => {
                entries.insert(key, calls.written(tile));
            }
            None => {
                if entries.remove(&key).is_none() && table.is_laid(cell) {
                    return Err(EditError::Elsewhere(table.numbered(cell)));
                }
            }
        }
    }
    Ok(entries)
}
