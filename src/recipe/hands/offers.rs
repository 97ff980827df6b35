//! Ways to continue what was laid by hand: the small repeats and the symmetries that agree with it.

use std::collections::BTreeMap;

use super::edit::{Act, At, Brush, Edit, Mirror};
use super::error::EditError;
use super::repeat;
use super::table::{Table, same};
use crate::layout::Cell;
use crate::recipe::outcome::Outcome;
use crate::stock::Tile;

/// The widest and the highest repeat that is looked for.
const WIDEST: i32 = 8;
/// How many ways are offered at most, and how many of them are repeats.
const MOST: usize = 12;
const MOST_REPEATS: usize = 6;

/// A way to go on.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// What it is, in a maker's words.
    pub words: String,
    /// What hands would do.
    pub edits: Vec<Edit>,
}

/// The ways to continue what was laid by hand on a panel: repeats from the smallest, then symmetries.
/// A repeat agrees when each of its cells was laid somewhere, and nowhere in two ways; a symmetry,
/// when no image falls on another tile that was laid.
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
    let mut ways: Vec<([i32; 2], i32, Mirror)> = Vec::new();
    for columns in 1..=WIDEST {
        for courses in 1..=WIDEST {
            let size = [columns, courses];
            ways.extend((0..columns).map(|shift| (size, shift, Mirror::None)));
            ways.extend([Mirror::Across, Mirror::Down, Mirror::Both].map(|m| (size, 0, m)));
        }
    }
    ways.sort_by_key(|&([columns, courses], shift, mirror)| {
        (columns * courses, mirror != Mirror::None, shift, columns)
    });
    let mut seen: Vec<BTreeMap<Cell, Tile>> = Vec::new();
    for (size, shift, mirror) in ways {
        if found.len() >= MOST_REPEATS {
            break;
        }
        let repeat = repeat::of(size, shift, mirror)?;
        let Some(block) = table.block(&laid, repeat) else {
            continue;
        };
        let filled = table.filled(&block, repeat);
        let is_new = filled.keys().any(|cell| !laid.contains_key(cell));
        let known = seen
            .iter()
            .any(|other| filled.iter().all(|(c, t)| same(&other[c], t)));
        if !is_new || known {
            continue;
        }
        found.push(Offer {
            words: words(size, shift, mirror),
            edits: vec![Edit {
                act: Act::Repeat {
                    size,
                    shift,
                    mirror,
                },
                brush: Brush::One,
                every: None,
            }],
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

/// A repeat in a maker's words.
fn words([columns, courses]: At, shift: i32, mirror: Mirror) -> String {
    let shifted = match shift {
        0 => String::new(),
        1 => ", each 1 column further right".to_owned(),
        n => format!(", each {n} columns further right"),
    };
    let mirrored = match mirror {
        Mirror::None => "",
        Mirror::Across => ", every other one mirrored left and right",
        Mirror::Down => ", every other one mirrored top and bottom",
        Mirror::Both => ", every other one mirrored both ways",
    };
    format!("repeated every {columns} x {courses}{shifted}{mirrored}")
}
