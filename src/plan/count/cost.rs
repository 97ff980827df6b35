//! Veneer, glue, mass and cost.
//!
//! Glue is spread on one face of each joint, by the shop's figure for a square metre. Veneers are
//! glued to blanks that are cut across, and so wide as is ripped of them, with the shop's overhang
//! on every side. A price that
//! the shop file leaves out is named, and the cost is without it.

use serde::Serialize;

use crate::plan::{
    count::balance::{spread, width_ripped},
    count::cut::{CrossPlan, CutPlan, Cuts, floor, length_of},
    count::labels::colour_name,
    count::strips::Kinds,
    figure::{Figure, Sum, Unit},
    scraps::{Choice, Use},
    shop::{Leaf, Shop},
};
use crate::{
    geom::{Polygon, TOLERANCE, outline::outline},
    layout::{panel::Panel, trim::TrimShape},
    stock::Colour,
};

/// Veneer of one colour.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VeneerLine {
    /// The colour's name.
    pub colour: String,
    /// Area to cut, with the overhang.
    pub area: Figure,
    /// Leaves of the shop that this takes; none where the shop names no leaf of this colour.
    pub leaves: Option<Figure>,
    /// Leaves that are missing.
    pub short: u64,
    /// What the leaves cost, where they have prices.
    pub cost: Option<f64>,
}

/// Glue, mass and cost of the whole plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Totals {
    /// Area of joints in the bars.
    pub bar_joints: Figure,
    /// Area of joints between the tiles.
    pub panel_joints: Figure,
    /// Area of veneers and boards laminated to one another.
    pub laminations: Figure,
    /// Glue for all of them.
    pub glue: Figure,
    /// Area of the finished panel.
    pub panel_area: Figure,
    /// Its thickness.
    pub panel_thickness: Figure,
    /// Its mass.
    pub panel_mass: Figure,
    /// What everything with a price costs.
    pub cost: Figure,
    /// What has no price.
    pub without_price: Vec<String>,
}

/// The veneers to glue on, in the order of first use.
pub(super) fn veneers(cuts: &Cuts, choice: &Choice, shop: &Shop) -> Vec<VeneerLine> {
    let mut colours: Vec<Colour> = Vec::new();
    for used in &choice.uses {
        for &colour in &cuts.plans[used.way].veneers {
            if !colours.contains(&colour) {
                colours.push(colour);
            }
        }
    }
    colours
        .into_iter()
        .map(|colour| veneer(colour, cuts, choice, shop))
        .collect()
}

/// What is laminated of a way's boards: pieces, their width and length.
fn pieces(cuts: &Cuts, plan: &CutPlan, used: &Use, shop: &Shop) -> Vec<(u64, f64, f64)> {
    let cross = &cuts.crosses[plan.cross];
    spread(plan, used)
        .iter()
        .filter(|blanks| blanks.is_ripped())
        .map(|blanks| {
            let width = width_ripped(cross, plan, &blanks.strips, shop);
            (blanks.count, width, cross.blank_length)
        })
        .collect()
}

fn veneer(colour: Colour, cuts: &Cuts, choice: &Choice, shop: &Shop) -> VeneerLine {
    let over = 2.0 * shop.cutting.overhang;
    let mut why = Sum::new();
    let mut area = 0.0;
    let mut cut: Vec<(u64, f64, f64)> = Vec::new();
    for used in &choice.uses {
        let plan = &cuts.plans[used.way];
        let layers = plan.veneers.iter().filter(|c| **c == colour).count() as u64;
        if layers == 0 {
            continue;
        }
        for (count, width, length) in pieces(cuts, plan, used, shop) {
            let count = count * layers;
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
            let (width, length) = across(&cuts.crosses[plan.cross], width + over, length + over);
            cut.push((count, width, length));
        }
    }
    let known: Vec<&Leaf> = shop.veneers.iter().filter(|l| l.colour == colour).collect();
    let (leaves, short, cost) = leaves(&cut, &known);
    VeneerLine {
        colour: colour_name(colour, shop),
        area: Figure::new(area, Unit::Area, why.text(" = ").area(area)),
        leaves,
        short,
        cost,
    }
}

/// Width and length of a veneer as its leaf lies: the leaf's length along the board's.
fn across(plan: &CrossPlan, width: f64, length: f64) -> (f64, f64) {
    if plan.along_length {
        (width, length)
    } else {
        (length, width)
    }
}

/// How many leaves cover the pieces, the first kind of leaf first; how many are missing, and what
/// they cost.
fn leaves(pieces: &[(u64, f64, f64)], known: &[&Leaf]) -> (Option<Figure>, u64, Option<f64>) {
    let Some(first) = known.first() else {
        return (None, 0, None);
    };
    let mut total = 0;
    let mut why = Sum::new();
    for &(count, width, length) in pieces {
        let whole = (
            floor(first.width / width + 1e-9),
            floor(first.length / length + 1e-9),
        );
        let per_leaf = whole.0 * whole.1;
        let (needed, sum) = if per_leaf > 0 {
            let needed = count.div_ceil(per_leaf);
            let sum = Sum::new()
                .count(count)
                .text(" pieces, ")
                .count(per_leaf)
                .text(" from a leaf");
            (needed, sum)
        } else {
            let beside = floor((width / first.width - 1e-9).ceil()).max(1);
            let on = floor((length / first.length - 1e-9).ceil()).max(1);
            let sum = Sum::new()
                .count(count)
                .text(" pieces x ")
                .count(beside)
                .text(" leaves side by side x ")
                .count(on)
                .text(" end to end");
            (count * beside * on, sum)
        };
        if total > 0 {
            why = why.text(" + ");
        }
        for term in sum.terms() {
            why = why.term(term.clone());
        }
        total += needed;
    }
    let mut have: u64 = 0;
    let mut endless = false;
    for leaf in known {
        match leaf.count {
            Some(count) => have += u64::from(count),
            None => endless = true,
        }
    }
    let short = if endless {
        0
    } else {
        total.saturating_sub(have)
    };
    let cost = first.price.map(|p| p * total as f64);
    let figure = Figure::pieces(total, why.text(" = ").count(total));
    (Some(figure), short, cost)
}

/// Glue, mass and cost.
pub(super) fn totals(
    panels: &[&Panel],
    kinds: &Kinds,
    cuts: &Cuts,
    choice: &Choice,
    veneers: &[VeneerLine],
    shop: &Shop,
) -> Totals {
    let bar_joints = bar_joints(kinds, choice, shop);
    let panel_joints = panel_joints(panels, shop);
    let laminations = laminations(kinds, cuts, choice, shop);
    let area = bar_joints.value + panel_joints.value + laminations.value;
    let kilograms = area / 1e6 * shop.glue.spread / 1e3;
    let glue = Figure::new(
        kilograms,
        Unit::Mass,
        Sum::new()
            .area(area)
            .text(" of joints x ")
            .number(shop.glue.spread)
            .text(" g for each m2 = ")
            .mass(kilograms),
    );
    let panel_area = panel_area(panels);
    let thickness = shop.finished_thickness();
    let mass = panel_area.value / 1e6 * thickness / 1e3 * shop.density;
    let panel_mass = Figure::new(
        mass,
        Unit::Mass,
        panel_area_sum(panel_area.value, thickness, shop.density, mass),
    );
    let (cost, without_price) = cost(cuts, choice, veneers, kilograms, shop);
    Totals {
        bar_joints,
        panel_joints,
        laminations,
        glue,
        panel_thickness: Figure::new(
            thickness,
            Unit::Length,
            Sum::new()
                .length(shop.slicing.thickness)
                .text(" slice - ")
                .length(shop.slicing.sanding)
                .text(" flattening = ")
                .length(thickness),
        ),
        panel_area,
        panel_mass,
        cost,
        without_price,
    }
}

fn panel_area_sum(area: f64, thickness: f64, density: f64, mass: f64) -> Sum {
    Sum::new()
        .area(area)
        .text(" x ")
        .length(thickness)
        .text(" thick x ")
        .number(density)
        .text(" kg/m3 = ")
        .mass(mass)
}

fn bar_joints(kinds: &Kinds, choice: &Choice, shop: &Shop) -> Figure {
    let mut why = Sum::new();
    let mut area = 0.0;
    for (bar, lengths) in kinds.bars.iter().zip(&choice.bars) {
        let joints: f64 = bar.bar.joints().iter().map(|j| j.length).sum();
        if joints <= 0.0 {
            continue;
        }
        for &(n, count) in lengths {
            let length = length_of(shop, n);
            why = why
                .text(if area > 0.0 { " + " } else { "" })
                .count(count)
                .text(" bars x ")
                .length(joints)
                .text(" x ")
                .length(length);
            area += count as f64 * joints * length;
        }
    }
    Figure::new(area, Unit::Area, why.text(" = ").area(area))
}

/// Joints between tiles, as they are glued: before the rim is trimmed. Every edge of a tile is half
/// of a joint or part of the rim.
fn panel_joints(panels: &[&Panel], shop: &Shop) -> Figure {
    let (mut edges, mut rim) = (0.0, 0.0);
    for panel in panels {
        let placed: Vec<Polygon> = panel
            .tiles
            .iter()
            .filter_map(|tile| {
                let face = panel.faces.get(tile.face as usize)?;
                Some(face.face.outline().shifted(tile.at))
            })
            .collect();
        edges += placed.iter().map(Polygon::perimeter).sum::<f64>();
        let around = outline(&placed, TOLERANCE);
        rim += around
            .rims
            .iter()
            .chain(&around.holes)
            .map(|r| r.polygon.perimeter())
            .sum::<f64>();
    }
    let joints = ((edges - rim) / 2.0).max(0.0);
    let area = joints * shop.slicing.thickness;
    Figure::new(
        area,
        Unit::Area,
        Sum::new()
            .text("(")
            .length(edges)
            .text(" edges - ")
            .length(rim)
            .text(" rim) / 2 x ")
            .length(shop.slicing.thickness)
            .text(" = ")
            .area(area),
    )
}

fn laminations(kinds: &Kinds, cuts: &Cuts, choice: &Choice, shop: &Shop) -> Figure {
    let mut why = Sum::new();
    let mut area = 0.0;
    for used in &choice.uses {
        let plan = &cuts.plans[used.way];
        let joints = plan.veneers.len() as u64 + kinds.sheets[plan.sheet].plywoods - 1;
        if joints == 0 {
            continue;
        }
        for (count, width, length) in pieces(cuts, plan, used, shop) {
            why = why
                .text(if area > 0.0 { " + " } else { "" })
                .count(count * joints)
                .text(" x ")
                .length(width)
                .text(" x ")
                .length(length);
            area += (count * joints) as f64 * width * length;
        }
    }
    let why = if area > 0.0 {
        why.text(" = ").area(area)
    } else {
        Sum::new().text("nothing to laminate")
    };
    Figure::new(area, Unit::Area, why)
}

fn panel_area(panels: &[&Panel]) -> Figure {
    let mut why = Sum::new();
    let mut total = 0.0;
    for (i, panel) in panels.iter().enumerate() {
        if i > 0 {
            why = why.text(" + ");
        }
        if let Some(trim) = &panel.trim {
            let (width, height) = (trim.bounds().width(), trim.bounds().height());
            total += trim.area();
            why = match trim.shape() {
                TrimShape::Rectangle => why.length(width).text(" x ").length(height),
                TrimShape::Round => why.text("pi / 4 x ").length(width).text(" squared"),
                TrimShape::Rounded(radius) => why
                    .length(width)
                    .text(" x ")
                    .length(height)
                    .text(" - (4 - pi) x ")
                    .length(radius)
                    .text(" squared"),
                TrimShape::Corners(corners) => why.text(format!("outline of {corners} corners")),
            };
        } else {
            let tiles = panel.tiles.iter();
            total += tiles
                .filter_map(|tile| panel.faces.get(tile.face as usize))
                .map(|face| face.face.outline().area())
                .sum::<f64>();
            why = why.count(panel.tiles.len() as u64).text(" tiles");
        }
    }
    Figure::new(total, Unit::Area, why.text(" = ").area(total))
}

fn cost(
    cuts: &Cuts,
    choice: &Choice,
    veneers: &[VeneerLine],
    glue: f64,
    shop: &Shop,
) -> (Figure, Vec<String>) {
    let mut without = Vec::new();
    let mut why = Sum::new();
    let mut cost = 0.0;
    let mut first = true;
    let mut add = |what: String, price: f64| {
        let text = if first { "" } else { " + " };
        first = false;
        why = std::mem::take(&mut why)
            .text(text)
            .text(what)
            .text(" ")
            .number((price * 100.0).round() / 100.0);
        cost += price;
    };
    for (cross, &count) in cuts.crosses.iter().zip(&choice.boards) {
        let board = &shop.boards[cuts.lots[cross.lot].boards[0]];
        match board.price {
            _ if count == 0 => {}
            Some(price) => add(format!("{count} x {}", board.name), price * count as f64),
            None if !without.contains(&board.name) => without.push(board.name.clone()),
            None => {}
        }
    }
    for veneer in veneers {
        match veneer.cost {
            Some(price) => add(format!("{} veneer", veneer.colour), price),
            None => without.push(format!("{} veneer", veneer.colour)),
        }
    }
    match shop.glue.price {
        Some(price) => add("glue".to_owned(), price * glue),
        None => without.push("glue".to_owned()),
    }
    (Figure::new(cost, Unit::Money, why), without)
}
