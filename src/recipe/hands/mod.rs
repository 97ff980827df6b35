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
mod repeat;
mod table;

use std::collections::BTreeMap;

pub use self::edit::{Act, At, Brush, Edit, Mirror};
pub use self::lines::lines;
pub use self::offers::{Offer, offers};

use self::block::{Block, Key};
use self::calls::Calls;
use self::table::Table;
use super::diagnostics::tokens::{Token, tokens};
use super::outcome::Outcome;
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
    /// A repeat that laid tiles do not say.
    #[error("what is laid does not agree with this repeat")]
    NoRepeat,
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

/// The last block of a panel whose cells are written out in this text.
fn last_block(text: &str, all: &[Token], outcome: &Outcome, panel: usize) -> Option<Block> {
    let blocks = &outcome.hands[panel].thing.blocks;
    let place = blocks.iter().rfind(|place| place.source.text == text)?;
    Block::read(text, all, place.span.start)
}

/// The text with these entries in a block, or in a new one at the end of the panel's chain or of the
/// text. `entries` are asked for by the names that are good at that place.
fn write(
    text: &str,
    all: &[Token],
    outcome: &Outcome,
    panel: usize,
    block: Option<&Block>,
    options: Option<&str>,
    entries: impl Fn(&Calls<'_>) -> Result<BTreeMap<Key, String>, EditError>,
) -> Result<String, EditError> {
    if let Some(block) = block {
        let after = entries(&Calls::at(text, all, &outcome.named, block.call.start))?;
        let same = after == block.entries && options.is_none();
        return Ok(if same {
            text.to_owned()
        } else {
            block.rewritten(text, &after, options)
        });
    }
    let chain = Some(&outcome.hands[panel].place)
        .filter(|place| place.source.text == text)
        .and_then(|place| block::chain(text, all, place.span.start));
    let said = options.unwrap_or_default();
    if let Some(chain) = chain {
        let after = entries(&Calls::at(text, all, &outcome.named, chain.end))?;
        if after.is_empty() {
            return Ok(text.to_owned());
        }
        let known = after.values().all(|call| !call.starts_with(calls::BY_NAME));
        if known || !calls::slices_after(text, all, chain.end) {
            return Ok(block::chained(text, &chain, &after, said));
        }
    }
    let after = entries(&Calls::at(text, all, &outcome.named, text.len()))?;
    Ok(if after.is_empty() {
        text.to_owned()
    } else {
        let name = &outcome.panels[panel].name;
        block::added(text, all, name, &after, said)
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
