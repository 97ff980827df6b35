//! Veneers to glue on: their pieces, and the leaves that these are cut from.
//!
//! Veneers are glued to blanks after these are cut across and to the width that is ripped; they stand out by
//! the shop's overhang on every side.

use serde::Serialize;

use crate::plan::{
    count::blanks::Blanks,
    count::cut::CrossPlan,
    count::labels::{colour_name, sheet_label},
    count::leaves::{LeafKind, LeafNesting, PlacedPiece, Wanted, nest},
    figure::{Figure, Sum, Unit},
    shop::{Leaf, Shop},
};
use crate::stock::Colour;
use crate::watch;

/// Veneer of one colour.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VeneerLine {
    /// The colour's name.
    pub colour: String,
    /// Area to cut, with the overhang.
    pub area: Figure,
    /// Leaves of the shop that this takes; none where no leaf of the shop is of use for it.
    pub leaves: Option<Figure>,
    /// What is cut from them, alike leaves together.
    pub cut: Vec<LeafLine>,
    /// Leaves that are missing.
    pub short: u64,
    /// Whether there is no leaf of use for it and none can be bought: the shop is a rack.
    #[serde(skip)]
    pub none_there: bool,
    /// Where the shop names no leaf of this colour: the colours of those that it names.
    pub offered: Vec<String>,
    /// What the leaves cost, where they have prices.
    pub cost: Option<f64>,
}

/// Leaves that are cut alike.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeafLine {
    /// How many leaves.
    pub count: u64,
    /// Across the grain, in mm.
    pub width: f64,
    /// Along the grain, in mm.
    pub length: f64,
    /// Whether the shop counts such leaves; else they are bought.
    pub from_stock: bool,
    /// How many of them the shop does not have.
    pub missing: u64,
    /// The pieces of one of them.
    pub pieces: Vec<LeafPiece>,
}

/// A piece of a leaf.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeafPiece {
    /// The sheet that it is pressed on.
    pub sheet: String,
    /// Where it lies and how large it is, overhang and all.
    #[serde(flatten)]
    pub at: PlacedPiece,
}

/// The veneers to glue on, in the order of first use.
pub(super) fn veneers(blanks: &[Vec<Blanks>], shop: &Shop) -> Vec<VeneerLine> {
    let mut colours: Vec<Colour> = Vec::new();
    for sheet in blanks.iter().flatten().flat_map(|b| &b.sheets) {
        for &colour in &sheet.section.veneers {
            if !colours.contains(&colour) {
                colours.push(colour);
            }
        }
    }
    colours
        .into_iter()
        .map(|colour| veneer(colour, blanks, shop))
        .collect()
}

fn veneer(colour: Colour, blanks: &[Vec<Blanks>], shop: &Shop) -> VeneerLine {
    let over = 2.0 * shop.cutting.overhang;
    let mut why = Sum::new();
    let mut area = 0.0;
    let mut wanted: Vec<Wanted> = Vec::new();
    let mut sheets: Vec<usize> = Vec::new();
    for alike in blanks.iter().flatten() {
        watch::ask();
        for sheet in &alike.sheets {
            let veneers = sheet.section.veneers.iter();
            let layers = veneers.filter(|c| **c == colour).count() as u64;
            if layers == 0 {
                continue;
            }
            let (width, length) = (sheet.width, alike.cross.blank_length);
            let count = alike.count * layers;
            why = why
                .text(if area > 0.0 { " + " } else { "" })
                .count(count)
                .text(" x (")
                .length(width)
                .text(" + ")
                .length(over)
                .text(") x (")
                .length(length)
                .text(" + ")
                .length(over)
                .text(")");
            area += count as f64 * (width + over) * (length + over);
            let (width, length) = across(alike.cross, width + over, length + over);
            wanted.push(Wanted {
                count,
                width,
                length,
            });
            sheets.push(sheet.section.sheet);
        }
    }
    let known: Vec<&Leaf> = shop.veneers.iter().filter(|l| l.colour == colour).collect();
    let kinds: Vec<LeafKind> = known
        .iter()
        .map(|leaf| LeafKind {
            count: leaf.count.map(u64::from),
            width: leaf.width,
            length: leaf.length,
        })
        .collect();
    let nesting = nest(&wanted, &kinds).map(|n| leaf_lines(&n, &known, &sheets));
    let cut = nesting.unwrap_or_default();
    let price = |line: &(usize, LeafLine)| known[line.0].price.map(|p| p * line.1.count as f64);
    let priced = !cut.is_empty() && cut.iter().all(|line| price(line).is_some());
    let mut offered: Vec<String> = Vec::new();
    for leaf in shop.veneers.iter().filter(|_| known.is_empty()) {
        if !offered.contains(&leaf.name) {
            offered.push(leaf.name.clone());
        }
    }
    VeneerLine {
        colour: colour_name(colour, shop),
        area: Figure::new(area, Unit::Area, why.text(" = ").area(area)),
        leaves: (!cut.is_empty()).then(|| leaves_figure(&cut)),
        none_there: shop.rack && cut.is_empty() && !wanted.is_empty(),
        short: cut.iter().map(|(_, line)| line.missing).sum(),
        cost: priced.then(|| cut.iter().filter_map(price).sum()),
        cut: cut.into_iter().map(|(_, line)| line).collect(),
        offered,
    }
}

/// Leaves that are cut alike, together, each with the number of its kind.
fn leaf_lines(nesting: &LeafNesting, known: &[&Leaf], sheets: &[usize]) -> Vec<(usize, LeafLine)> {
    let mut lines: Vec<(usize, LeafLine)> = Vec::new();
    for leaf in &nesting.leaves {
        let pieces: Vec<LeafPiece> = leaf
            .pieces
            .iter()
            .map(|&at| LeafPiece {
                sheet: sheet_label(sheets[at.of]),
                at: PlacedPiece { of: 0, ..at },
            })
            .collect();
        let alike = |line: &&mut (usize, LeafLine)| line.0 == leaf.kind && line.1.pieces == pieces;
        if let Some((_, line)) = lines.iter_mut().find(alike) {
            line.count += 1;
            line.missing += u64::from(leaf.missing);
            continue;
        }
        let kind = known[leaf.kind];
        let line = LeafLine {
            count: 1,
            width: kind.width,
            length: kind.length,
            from_stock: kind.count.is_some(),
            missing: u64::from(leaf.missing),
            pieces,
        };
        lines.push((leaf.kind, line));
    }
    lines
}

fn leaves_figure(cut: &[(usize, LeafLine)]) -> Figure {
    let mut why = Sum::new();
    let mut total = 0;
    for (_, line) in cut {
        why = why
            .text(if total > 0 { " + " } else { "" })
            .count(line.count)
            .text(" x ")
            .length(line.width)
            .text(" x ")
            .length(line.length)
            .text(" with ")
            .count(line.pieces.len() as u64)
            .text(if line.pieces.len() == 1 {
                " piece"
            } else {
                " pieces"
            });
        total += line.count;
    }
    Figure::pieces(total, why.text(" = ").count(total))
}

/// Width and length of a veneer as its leaf lies: the leaf's length along the board's.
fn across(plan: &CrossPlan, width: f64, length: f64) -> (f64, f64) {
    if plan.along_length {
        (width, length)
    } else {
        (length, width)
    }
}
