//! Glue, mass and cost.
//!
//! Glue is spread on one face of each joint, by the shop's figure for a square metre. A price that
//! the shop file leaves out is named, and the cost is without it.

use serde::Serialize;

use crate::plan::{
    count::blanks::Blanks,
    count::cut::{Cuts, length_of},
    count::strips::Kinds,
    count::veneers::VeneerLine,
    figure::{Figure, Sum, Term, Unit},
    scraps::Choice,
    shop::Shop,
};
use crate::watch;
use crate::{
    geom::{Polygon, TOLERANCE, outline::outline},
    layout::{panel::Panel, trim::TrimShape},
};

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

/// Glue, mass and cost.
pub(super) fn totals(
    panels: &[&Panel],
    kinds: &Kinds,
    cuts: &Cuts,
    choice: &Choice,
    blanks: &[Vec<Blanks>],
    veneers: &[VeneerLine],
    shop: &Shop,
) -> Totals {
    let bar_joints = bar_joints(kinds, choice, shop);
    let panel_joints = panel_joints(panels, shop);
    let laminations = laminations(kinds, blanks);
    let area = bar_joints.value + panel_joints.value + laminations.value;
    let kilograms = area / 1e6 * shop.glue.spread / 1e3;
    let glue = Figure::new(
        kilograms,
        Unit::Mass,
        Sum::new()
            .area(area)
            .text(" of joints x ")
            .term(Term::Spread(shop.glue.spread))
            .text(" = ")
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
        .term(Term::Density(density))
        .text(" = ")
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
        watch::ask();
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

fn laminations(kinds: &Kinds, blanks: &[Vec<Blanks>]) -> Figure {
    let mut why = Sum::new();
    let mut area = 0.0;
    for alike in blanks.iter().flatten() {
        watch::ask();
        for sheet in &alike.sheets {
            let section = sheet.section;
            let veneers = section.veneers.len() as u64;
            let joints = veneers + kinds.sheets[section.sheet].plywoods - 1;
            if joints == 0 {
                continue;
            }
            let (width, length) = (sheet.width, alike.cross.blank_length);
            why = why
                .text(if area > 0.0 { " + " } else { "" })
                .count(alike.count * joints)
                .text(" x ")
                .length(width)
                .text(" x ")
                .length(length);
            area += (alike.count * joints) as f64 * width * length;
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
                TrimShape::Corners(_) | TrimShape::Named(_) if trim.holes() > 0 => {
                    why.text("outline without its holes")
                }
                TrimShape::Corners(corners) => why.text(format!("outline of {corners} corners")),
                TrimShape::Named(word) => why.text(word.replace('_', " ")),
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
