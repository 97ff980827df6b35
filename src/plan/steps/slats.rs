//! Second cuts: a panel that is done, ripped to slats, and the panels that are laid of them.

use super::{
    ledger::{Draft, Ledger, of},
    model::{PieceKind, SlatAt, TileAt, Work},
    panels::placed,
    pieces::SAME,
};
use crate::{
    geom::{Point, Polygon},
    layout::panel::Panel,
    plan::{cautions::Caution, glue_up::GlueUp},
    stock::tile::Slat,
};

/// The name of the lot of a panel that is done, and how thick it is: one is trimmed under its own name, or stays as it
/// was flattened.
pub(super) fn done(panel: &Panel) -> String {
    match &panel.trim {
        Some(_) => panel.name.clone(),
        None => format!("flat {}", panel.name),
    }
}

/// Rips the panels that a panel's slats come from, unless that is done already: all panels of a name at the same time, as
/// they are all ripped alike.
pub(super) fn rip(ledger: &mut Ledger, panel: &Panel, panels: &[&Panel]) {
    let mut cut: Vec<&Slat> = Vec::new();
    for slat in panel.faces.iter().filter_map(|face| face.kind.slat()) {
        if !cut.iter().any(|c| c.panel == slat.panel) {
            cut.push(slat);
        }
    }
    for slat in cut {
        let Some(from) = panels.iter().find(|p| p.name == slat.panel) else {
            continue;
        };
        let lot = done(from);
        let there = ledger.find(&lot).map_or(0, |lot| lot.count);
        if there == 0 {
            continue;
        }
        let bounds = from.bounds;
        let (whole, length) = if slat.across {
            (bounds.height(), bounds.width())
        } else {
            (bounds.width(), bounds.height())
        };
        let thickness = ledger.get(&lot).piece.length;
        let mut slats = Vec::new();
        let mut gives = Vec::new();
        let mut begin = 0.0;
        let mut number = 1;
        while begin + slat.width <= whole + SAME {
            let size = if slat.across {
                [length, slat.width]
            } else {
                [slat.width, length]
            };
            let id = piece(ledger, name(&slat.panel, number), size, thickness);
            slats.push(SlatAt {
                piece: id.clone(),
                from: begin,
            });
            gives.push(of(id, there));
            number += 1;
            begin += slat.width + slat.kerf;
        }
        ledger.step(Draft {
            cautions: vec![Caution::PushBlock, Caution::OffCut, Caution::Always],
            ..Draft::of(
                Work::RipPanel {
                    across: slat.across,
                    width: slat.width,
                    kerf: slat.kerf,
                    slats,
                },
                vec![of(lot, there)],
                gives,
            )
        });
    }
}

/// What a slat is called.
fn name(panel: &str, number: usize) -> String {
    format!("slat {number} of {panel}")
}

fn piece(ledger: &mut Ledger, id: String, [width, height]: [f64; 2], thickness: f64) -> String {
    let outline = Polygon::clockwise(vec![
        Point::ZERO,
        Point::new(width, 0.0),
        Point::new(width, height),
        Point::new(0.0, height),
    ]);
    ledger.glued_lot(id, PieceKind::Slat, &outline, thickness)
}

/// The slats of a panel where they are laid; none where some are missing.
pub(super) fn laid(ledger: &Ledger, panel: &Panel, glue: &GlueUp) -> Option<Vec<TileAt>> {
    let lots: Vec<String> = (panel.faces.iter())
        .map(|face| {
            let slat = face.kind.slat()?;
            let name = name(&slat.panel, slat.number);
            ledger.find(&name).map(|lot| lot.piece.id.clone())
        })
        .collect::<Option<_>>()?;
    Some(placed(|face| lots[face].clone(), panel, glue))
}
