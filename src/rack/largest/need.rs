//! What panels need, and what the wood lacks for them.

use std::collections::BTreeMap;

use crate::layout::panel::Panel;
use crate::plan::{CountBack, Shop};

/// Tiles by kind.
pub(super) type Need = BTreeMap<String, u64>;

/// Tiles of each kind in some panels.
pub(super) fn need(panels: &[&Panel]) -> Need {
    let mut need = Need::new();
    for panel in panels {
        for tile in &panel.tiles {
            let name = panel.faces[tile.face as usize].kind.name();
            *need.entry(name.to_owned()).or_default() += 1;
        }
    }
    need
}

/// Whether one need has at least as many tiles of every kind as another.
pub(super) fn covers(more: &Need, less: &Need) -> bool {
    less.iter()
        .all(|(kind, &count)| more.get(kind).is_some_and(|&n| n >= count))
}

/// What the wood lacks, in words.
pub(in crate::rack) fn lacks(count: &CountBack, shop: &Shop) -> Vec<String> {
    let units = shop.units;
    let mut all: Vec<String> = (count.short.iter())
        .map(|short| {
            format!(
                "{} {} {} of sheet {} (a board {} long and {} wide)",
                short.missing.count(),
                if short.missing.count() == 1 {
                    "strip"
                } else {
                    "strips"
                },
                short.strip,
                short.sheet,
                units.at_least(short.length),
                units.at_least(short.width.value)
            )
        })
        .collect();
    for veneer in &count.veneers {
        if veneer.short > 0 {
            all.push(format!(
                "{} {} of {}",
                veneer.short,
                if veneer.short == 1 { "leaf" } else { "leaves" },
                veneer.colour
            ));
        } else if veneer.none_there {
            all.push(format!(
                "a leaf of {}: none on the rack is of use",
                veneer.colour
            ));
        }
    }
    all
}

/// Wood that would have to be got: board, and leaves by colour.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Lacking {
    /// Area of board, in square mm: the strips that are missing, side by side.
    pub board: f64,
    /// Leaves of each colour.
    pub leaves: Vec<(String, u64)>,
    /// Veneer of colours that the rack has no leaf of use for, in square mm.
    pub veneer: Vec<(String, f64)>,
}

impl Lacking {
    /// Whether nothing is lacking.
    pub fn is_nothing(&self) -> bool {
        *self == Self::default()
    }
}

/// The wood that a plan lacks.
pub(in crate::rack) fn wood_lacking(count: &CountBack) -> Lacking {
    let short = count.veneers.iter().filter(|v| v.short > 0);
    let none = count.veneers.iter().filter(|v| v.none_there);
    Lacking {
        board: (count.short.iter()).map(|s| s.width.value * s.length).sum(),
        leaves: short.map(|v| (v.colour.clone(), v.short)).collect(),
        veneer: none.map(|v| (v.colour.clone(), v.area.value)).collect(),
    }
}
