//! Hand edits: what is done to tiles of a panel, written into the recipe's text.
//!
//! A tile that is laid, turned, flipped or swapped becomes an entry of the panel's `lay` block
//! (`block`), under the name by which the recipe calls that tile (`calls`). Only the block changes;
//! all else of the text stays byte for byte. Nothing here carries out a recipe: an [`Outcome`] says
//! what lies where now, and whoever takes the new text runs it.

mod block;
mod calls;
mod edit;
mod lines;
mod offers;
mod table;

use std::collections::BTreeMap;

pub use self::edit::{Act, At, Brush, Edit};
pub use self::lines::lines;
pub use self::offers::{Offer, offers};

use self::block::{Block, Key};
use self::calls::Calls;
use self::table::Table;
use super::diagnostics::tokens::tokens;
use super::outcome::Outcome;
use super::source::Place;
use crate::layout::Cell;
use crate::stock::Tile;

/// Why hands cannot do something.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// No such panel, or one without a lattice.
    #[error(
        "the tiles of this panel are placed one by one by the recipe: change their `place(...)` there"
    )]
    NoCells,
    /// A cell that is not there.
    #[error("the panel has no cell at {0}")]
    NoCell(Cell),
    /// A kind that was never sliced.
    #[error("the recipe slices no tiles named `{0}`")]
    NoKind(String),
    /// A tile of another shape than the cell.
    #[error("the tile `{kind}` does not fit the cell at {cell}")]
    Misfit {
        /// The kind.
        kind: String,
        /// The cell.
        cell: Cell,
    },
    /// Nothing can be turned.
    #[error("a tile fits this cell in one turn alone")]
    NoTurn,
    /// Nothing can be flipped.
    #[error("a tile that is turned over does not fit this cell")]
    NoFlip,
    /// Laid by what is not in the block.
    #[error(
        "the tile at {0} is laid by a repeat, or by a `lay` that computes its cells: change that in the text"
    )]
    Elsewhere(Cell),
}

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
    let mut table = Table::of(outcome, panel)?;
    for edit in edits {
        table.carry_out(edit)?;
    }
    let hands = &outcome.hands[panel];
    let all = tokens(text);
    let own = |place: &&Place| place.source.text == text;
    let block = hands
        .thing
        .blocks
        .iter()
        .rfind(own)
        .and_then(|place| Block::read(text, &all, place.span.start));
    let entries = block.as_ref().map(|b| b.entries.clone());
    let before = entries.unwrap_or_default();
    let changes = table.changes();
    let name = &outcome.panels[panel].name;
    if let Some(block) = block {
        let calls = Calls::at(text, &all, &outcome.named, block.call.start);
        let after = merged(before.clone(), &changes, &calls, &table)?;
        return Ok(if after == before {
            text.to_owned()
        } else {
            block.rewritten(text, &after)
        });
    }
    let chain = Some(&hands.place)
        .filter(own)
        .and_then(|place| block::chain(text, &all, place.span.start));
    if let Some(chain) = chain {
        let calls = Calls::at(text, &all, &outcome.named, chain.end);
        let after = merged(before.clone(), &changes, &calls, &table)?;
        if after.is_empty() {
            return Ok(text.to_owned());
        }
        let known = after.values().all(|call| !call.starts_with(calls::BY_NAME));
        if known || !calls::slices_after(text, &all, chain.end) {
            return Ok(block::chained(text, &chain, &after));
        }
    }
    let calls = Calls::at(text, &all, &outcome.named, text.len());
    let after = merged(before, &changes, &calls, &table)?;
    Ok(if after.is_empty() {
        text.to_owned()
    } else {
        block::added(text, &all, name, &after)
    })
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
                    return Err(EditError::Elsewhere(cell));
                }
            }
        }
    }
    Ok(entries)
}
