//! In which line of a recipe each tile was laid.

use std::collections::BTreeMap;

use super::block::Block;
use crate::layout::Cell;
use crate::recipe::diagnostics::tokens::tokens;
use crate::recipe::outcome::Outcome;

/// Lines, counted from 1, of the entries that laid the tiles of a panel, by number; of the whole `lay`
/// where its cells are computed. Cells that no hand laid are left out.
pub fn lines(text: &str, outcome: &Outcome, panel: usize) -> BTreeMap<Cell, usize> {
    let mut found = BTreeMap::new();
    let Some(hands) = outcome.hands.get(panel).map(|made| &made.thing) else {
        return found;
    };
    let all = tokens(text);
    let line = |at: usize| text[..at].matches('\n').count() + 1;
    let own = hands.blocks.iter().filter(|b| b.source.text == text);
    for place in own {
        match Block::read(text, &all, place.span.start) {
            Some(block) => {
                for (&(course, column), &at) in &block.places {
                    found.insert(Cell { column, course }, line(at));
                }
            }
            None => {
                for &cell in hands.laid.keys() {
                    found.entry(cell).or_insert_with(|| line(place.span.start));
                }
            }
        }
    }
    found.retain(|cell, _| hands.laid.contains_key(cell));
    found
}
