//! Entries written into the text of a recipe: into the block that there is, or into a new one.

use std::collections::BTreeMap;

use super::block::{self, Block, Key};
use super::calls::{self, Calls};
use super::error::EditError;
use crate::recipe::diagnostics::tokens::Token;
use crate::recipe::outcome::Outcome;

/// The last block of a panel whose cells are written out in this text.
pub(super) fn last_block(
    text: &str,
    all: &[Token],
    outcome: &Outcome,
    panel: usize,
) -> Option<Block> {
    let blocks = &outcome.hands[panel].thing.blocks;
    let place = blocks.iter().rfind(|place| place.source.text == text)?;
    Block::read(text, all, place.span.start)
}

/// The text with these entries in a block, or in a new one at the end of the panel's chain or of the
/// text. `entries` gives the entries, with the names that can be used at that place.
pub(super) fn write(
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
