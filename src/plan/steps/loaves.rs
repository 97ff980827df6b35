//! Bars to loaves, loaves to slices.

use super::{
    bars::{BAR_RESTS, Glued, sliced},
    clamped::{held_by, inner_corners},
    ledger::{Draft, Ledger, corners, of, tally},
    model::{BarAt, Becomes, Of, PieceKind, Work},
};
use crate::{
    geom::{Point, Polygon, TOLERANCE, outline::outline},
    layout::panel::Panel,
    plan::{
        cautions::Caution,
        count::{CountBack, LoafLine},
        glue_up::marked_corners,
        shop::Shop,
    },
    watch,
};

/// Glues bars to loaves and slices these; gives the lot of the slices of each kind of loaf, or an empty name where bars
/// are missing.
pub(super) fn loaves(
    ledger: &mut Ledger,
    panels: &[&Panel],
    count: &CountBack,
    bars: &[Glued],
    shop: &Shop,
) -> Vec<String> {
    let each = count.loaves.iter().map(|line| {
        let mut slices = String::new();
        for length in &line.lengths {
            watch::ask();
            let wanted = length.slices.count();
            let parts = laid_up(panels, count, line, (bars, wanted));
            if let Some(parts) = parts {
                let section = scaled(&line.loaf.outline, count.kinds.scale().unwrap_or(1.0));
                let loaf = glue(ledger, line, &section, parts, length.bars, shop);
                slices = slice(ledger, line, &section, (&loaf, length.bars), wanted, shop);
            }
        }
        slices
    });
    each.collect()
}

/// A section of wood that is not as thick as the recipe draws it.
fn scaled(section: &Polygon, by: f64) -> Polygon {
    Polygon::clockwise(section.corners().iter().map(|&p| p * by).collect())
}

/// The bars of a loaf in their places; none where some are missing.
fn laid_up(
    panels: &[&Panel],
    count: &CountBack,
    line: &LoafLine,
    (bars, wanted): (&[Glued], u64),
) -> Option<Vec<BarAt>> {
    let scale = count.kinds.scale().unwrap_or(1.0);
    let each = line.loaf.bars.iter().enumerate().map(|(i, bar)| {
        let face = &panels[bar.panel].faces[bar.face as usize];
        let kinds = &count.kinds;
        let kind = (kinds.bars.iter()).position(|bar| kinds.gives(bar, &face.kind))?;
        let lot = (bars.iter()).find(|glued| glued.bar == kind && glued.slices == wanted)?;
        let lies = panels[bar.panel].laid_by()[bar.face as usize];
        Some(BarAt {
            number: i + 1,
            piece: lot.id.clone(),
            end_for_end: lies.flip,
            roll: lies.turn,
            at: [bar.at.x * scale, bar.at.y * scale],
            outline: corners(&scaled(&face.face.outline().shifted(bar.at), scale)),
        })
    });
    each.collect()
}

/// Glues some loaves; gives their lot.
fn glue(
    ledger: &mut Ledger,
    line: &LoafLine,
    section: &Polygon,
    parts: Vec<BarAt>,
    count: u64,
    shop: &Shop,
) -> String {
    let mut takes: Vec<Of> = Vec::new();
    for bar in &parts {
        tally(&mut takes, &Becomes::Piece(bar.piece.clone()), count);
    }
    // Bars are flush at one end; what stands out at the other is cut off with the end of the loaf.
    let lengths = takes.iter().map(|of| ledger.get(&of.piece).piece.length);
    let length = lengths.fold(f64::INFINITY, f64::min);
    let id = ledger.glued_lot(line.name.clone(), PieceKind::Loaf, section, length);
    let outlines: Vec<Polygon> = (parts.iter())
        .map(|bar| Polygon::clockwise(bar.outline.iter().map(|&[x, y]| Point::new(x, y)).collect()))
        .collect();
    let rims: Vec<&Polygon> = outlines.iter().collect();
    let all: f64 = outlines.iter().map(Polygon::perimeter).sum();
    let around = outline(&outlines, TOLERANCE).open;
    let around: f64 = around.iter().map(|(a, b, _)| a.distance(*b)).sum();
    let joints = ((all - around) / 2.0).max(0.0);
    // Bars that lie side by side have joints that are alike.
    let widest = joints / (line.loaf.joints.max(1) as f64) * length;
    let glued = parts.len() > 1;
    ledger.step(Draft {
        cautions: Vec::from_iter(glued.then_some(Caution::Press)),
        why: vec![("slices", line.needed.clone())],
        ..Draft::of(
            Work::GlueLoaf {
                bars: parts,
                courses: line.loaf.courses,
                joints,
                rest: if glued { BAR_RESTS } else { [0.0; 2] },
                held: held_by(&rims, widest, shop),
                inner_corners: inner_corners(section),
            },
            takes,
            vec![of(id.clone(), count)],
        )
    });
    ledger.clean_and_mark(&of(id.clone(), count), glued, marked_corners(section));
    id
}

/// Slices loaves of one length; gives the lot of their slices.
fn slice(
    ledger: &mut Ledger,
    line: &LoafLine,
    section: &Polygon,
    (loaf, count): (&str, u64),
    wanted: u64,
    shop: &Shop,
) -> String {
    let id = ledger.glued_lot(
        format!("slice of {}", line.name),
        PieceKind::Slice,
        section,
        shop.slicing.thickness,
    );
    sliced(ledger, (loaf, count), &line.name, &id, wanted, shop);
    id
}
