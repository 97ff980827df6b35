//! The entries of a rack, whatever they are, and new ones. Lengths in mm.

use toml_edit::{Array, Item, Table, Value, value};

use super::{Rack, list::List};
use crate::plan::{Units, shop::held::HeldKind};

/// An entry of a rack: pieces that are alike.
#[derive(Debug, Clone, PartialEq)]
pub struct RackEntry {
    /// The list that it stands in.
    pub list: List,
    /// Its place in the list, from 0.
    pub at: usize,
    /// Its name; of a leaf without one, its colour.
    pub name: String,
    /// How many; none where as many as needed can be bought.
    pub count: Option<u32>,
    /// Where they lie.
    pub place: Option<String>,
    /// What else distinguishes them: colours, the recipe.
    pub of: String,
    /// Width of one.
    pub width: f64,
    /// Length of one; of a tile its height.
    pub length: f64,
    /// Thickness of one, where it is known.
    pub thickness: Option<f64>,
    /// Volume of one in cubic mm, where its thickness is known.
    pub volume: Option<f64>,
}

impl Rack {
    /// All entries.
    pub fn entries(&self) -> Vec<RackEntry> {
        let sheets =
            super::edit::list(&self.document, List::Sheet).map_or(0, toml_edit::ArrayOfTables::len);
        let boards = self.shop.boards.iter().enumerate().map(|(i, board)| {
            let (list, at) = if i < sheets {
                (List::Sheet, i)
            } else {
                (List::Scrap, i - sheets)
            };
            let veneers: Vec<String> = [&board.face, &board.back]
                .into_iter()
                .flatten()
                .map(ToString::to_string)
                .collect();
            RackEntry {
                list,
                at,
                name: board.name.clone(),
                count: board.count,
                place: board.place.clone(),
                of: veneers.join(", "),
                width: board.width,
                length: board.length,
                thickness: board.thickness,
                volume: board.thickness.map(|t| t * board.width * board.length),
            }
        });
        let leaves = self
            .shop
            .veneers
            .iter()
            .enumerate()
            .map(|(at, leaf)| RackEntry {
                list: List::Veneer,
                at,
                name: leaf.label.clone().unwrap_or_else(|| leaf.name.clone()),
                count: leaf.count,
                place: leaf.place.clone(),
                of: leaf.name.clone(),
                width: leaf.width,
                length: leaf.length,
                thickness: None,
                volume: None,
            });
        let mut numbers = [0; 3];
        let parts = self.shop.held.iter().map(move |held| {
            let list = match held.kind {
                HeldKind::Strip => List::Strip,
                HeldKind::Bar => List::Bar,
                HeldKind::Tile => List::Tile,
            };
            let number = &mut numbers[held.kind as usize];
            *number += 1;
            let [width, height] = held.size();
            let (length, thickness) = match held.kind {
                HeldKind::Tile => (height, held.length),
                _ => (held.length, height),
            };
            RackEntry {
                list,
                at: *number - 1,
                name: held.name.clone(),
                count: Some(held.count),
                place: held.place.clone(),
                of: held.recipe.clone().unwrap_or_default(),
                width,
                length,
                thickness: Some(thickness),
                volume: Some(held.area() * held.length),
            }
        });
        boards.chain(leaves).chain(parts).collect()
    }
}

/// A new entry; a length that does not belong to its list is left out. In mm.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct New {
    /// Its name.
    pub name: Option<String>,
    /// How many.
    pub count: Option<u32>,
    /// Where it lies.
    pub place: Option<String>,
    /// The recipe that it was made for.
    pub recipe: Option<String>,
    /// Of a veneer.
    pub colour: Option<String>,
    /// The plywood's wood.
    pub wood: Option<String>,
    /// Veneers on the one face, the outermost first.
    pub face: Vec<String>,
    /// Veneers on the other face, the outermost first.
    pub back: Vec<String>,
    /// Which way the face grain runs.
    pub grain: Option<String>,
    /// Width.
    pub width: Option<f64>,
    /// Height of a bar's or tile's section.
    pub height: Option<f64>,
    /// Length.
    pub length: Option<f64>,
    /// Thickness.
    pub thickness: Option<f64>,
    /// Corners of the section.
    pub section: Vec<[f64; 2]>,
}

impl New {
    /// The entry as it is written in the file, lengths in the units of the rack.
    pub(super) fn table(&self, units: Units) -> Table {
        let mut table = Table::new();
        let texts = |list: &[String]| -> Option<Item> {
            match list {
                [] => None,
                [one] => Some(value(one)),
                more => Some(value(more.iter().collect::<Array>())),
            }
        };
        let corners = || {
            let corner = |c: &[f64; 2]| Value::Array(c.iter().map(|&n| rounded(n)).collect());
            value(self.section.iter().map(corner).collect::<Array>())
        };
        let entries = [
            ("name", self.name.as_ref().map(value)),
            ("colour", self.colour.as_ref().map(value)),
            ("count", self.count.map(|n| value(i64::from(n)))),
            ("width", self.width.map(|mm| length(mm, units))),
            ("height", self.height.map(|mm| length(mm, units))),
            ("length", self.length.map(|mm| length(mm, units))),
            ("thickness", self.thickness.map(|mm| length(mm, units))),
            ("section", (!self.section.is_empty()).then(corners)),
            ("wood", self.wood.as_ref().map(value)),
            ("face", texts(&self.face)),
            ("back", texts(&self.back)),
            ("grain", self.grain.as_ref().map(value)),
            ("recipe", self.recipe.as_ref().map(value)),
            ("place", self.place.as_ref().map(value)),
        ];
        for (key, item) in entries {
            if let Some(item) = item {
                table.insert(key, item);
            }
        }
        table
    }
}

/// A number to a millionth, without a fraction where there is none.
fn rounded(number: f64) -> Value {
    let rounded = (number * 1e6).round() / 1e6;
    if rounded.fract() == 0.0 {
        // A bound on lengths keeps it far below 2^53.
        #[expect(
            clippy::cast_possible_truncation,
            reason = "lengths of a rack are at most 20 m"
        )]
        return Value::from(rounded as i64);
    }
    Value::from(rounded)
}

/// A length as the rack writes lengths.
pub(super) fn length(mm: f64, units: Units) -> Item {
    match units {
        Units::Metric => value(rounded(mm)),
        Units::Inch => {
            let inches = crate::geom::length::to_inches(mm);
            value(format!("{} in", crate::plan::units::decimal(inches, 9)))
        }
    }
}
