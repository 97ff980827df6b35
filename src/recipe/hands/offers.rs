//! Going on from what hands laid: the small repeats and the symmetries that agree with it.

use std::collections::BTreeMap;

use super::EditError;
use super::edit::{Act, At, Brush, Edit};
use super::table::{Table, same};
use crate::layout::Cell;
use crate::recipe::outcome::Outcome;
use crate::stock::Tile;

/// The widest and the highest repeat that is looked for.
const WIDEST: i32 = 8;
/// How many ways are offered at most.
const MOST: usize = 8;

/// A way to go on.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// What it is, in a maker's words.
    pub words: String,
    /// What hands would do.
    pub edits: Vec<Edit>,
}

/// The ways to go on from what hands laid on a panel: repeats from the smallest, then symmetries. A
/// repeat agrees when each of its cells was laid somewhere, and nowhere in two ways; a symmetry, when
/// no image falls on another tile that was laid.
///
/// # Errors
/// When the panel has no cells.
pub fn offers(outcome: &Outcome, panel: usize) -> Result<Vec<Offer>, EditError> {
    let table = Table::of(outcome, panel)?;
    let laid = table.laid();
    let mut found: Vec<Offer> = Vec::new();
    if laid.is_empty() {
        return Ok(found);
    }
    let mut sizes: Vec<(i32, i32, i32)> = Vec::new();
    for columns in 1..=WIDEST {
        for courses in 1..=WIDEST {
            sizes.extend((0..columns).map(|shift| (columns, courses, shift)));
        }
    }
    sizes.sort_by_key(|&(columns, courses, shift)| (columns * courses, shift, columns));
    let mut seen: Vec<BTreeMap<Cell, &Tile>> = Vec::new();
    for (columns, courses, shift) in sizes {
        if found.len() >= MOST / 2 {
            break;
        }
        let place = |cell: Cell| {
            let down = cell.course.div_euclid(courses);
            let column = (cell.column - shift * down).rem_euclid(columns);
            (column, cell.course.rem_euclid(courses))
        };
        let Some(block) = agreeing(&laid, (columns, courses), place) else {
            continue;
        };
        let filled: BTreeMap<Cell, &Tile> = table
            .cells()
            .map(|cell| (cell, block[&place(cell)]))
            .collect();
        let is_new = filled.keys().any(|cell| !laid.contains_key(cell));
        let known = seen
            .iter()
            .any(|other| filled.iter().all(|(c, t)| same(other[c], t)));
        if !is_new || known {
            continue;
        }
        let tiles = filled.iter().map(|(&cell, &tile)| (cell, tile));
        let edits = by_tile(tiles, Brush::One);
        let shifted = match shift {
            0 => String::new(),
            1 => ", each 1 column further right".to_owned(),
            n => format!(", each {n} columns further right"),
        };
        found.push(Offer {
            words: format!("repeated every {columns} x {courses}{shifted}"),
            edits,
        });
        seen.push(filled);
    }
    for (brush, words) in Brush::ALL {
        let agrees = table.agrees(&laid, brush);
        if agrees && found.len() < MOST {
            found.push(Offer {
                words: words.to_owned(),
                edits: by_tile(laid.iter().map(|(&cell, tile)| (cell, tile)), brush),
            });
        }
    }
    Ok(found)
}

/// One edit for each tile, with all the cells that it is laid in.
fn by_tile<'t>(tiles: impl Iterator<Item = (Cell, &'t Tile)>, brush: Brush) -> Vec<Edit> {
    let mut groups: Vec<(&Tile, Vec<At>)> = Vec::new();
    for (cell, tile) in tiles {
        let at = [cell.column, cell.course];
        match groups.iter_mut().find(|(other, _)| same(other, tile)) {
            Some((_, cells)) => cells.push(at),
            None => groups.push((tile, vec![at])),
        }
    }
    let edit = |(tile, cells): (&Tile, Vec<At>)| Edit {
        act: Act::Lay {
            cells,
            kind: tile.kind.name().to_owned(),
            turn: tile.pose.turn,
            flip: tile.pose.flip,
        },
        brush,
        every: None,
    };
    groups.into_iter().map(edit).collect()
}

/// The tiles of a repeat, where laid tiles say all of them and none in two ways.
fn agreeing(
    laid: &BTreeMap<Cell, Tile>,
    (columns, courses): (i32, i32),
    place: impl Fn(Cell) -> (i32, i32),
) -> Option<BTreeMap<(i32, i32), &Tile>> {
    let mut block: BTreeMap<(i32, i32), &Tile> = BTreeMap::new();
    for (&cell, tile) in laid {
        let known = block.entry(place(cell)).or_insert(tile);
        if !same(known, tile) {
            return None;
        }
    }
    let all = usize::try_from(columns * courses).ok();
    (Some(block.len()) == all).then_some(block)
}
