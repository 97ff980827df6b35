//! Tiles, or slices of loaves, to panels.

use std::collections::BTreeMap;

use super::{
    ledger::{Draft, Ledger, corners, of, tally},
    model::{Becomes, GluedAtOnce, Of, PieceKind, PieceOut, TileAt, Work},
};
use crate::watch;
use crate::{
    geom::{Point, Polygon},
    layout::{
        panel::{Panel, PlacedFace},
        trim::Trim,
    },
    plan::{
        cautions::Caution,
        count::strips::Kinds,
        glue_up::{Assembly, Clamping, GlueUp, PRESSURES, Placement, bearing::bearing_blocks},
        shop::Shop,
    },
};

/// The tiles of a panel, or slices of loaves, where they are laid, from the lots of `(tiles, slices)`, by kind of
/// bar and by kind of loaf; none where some are missing.
pub(super) fn laid(
    ledger: &Ledger,
    panel: &Panel,
    glue: &GlueUp,
    kinds: &Kinds,
    (tiles, slices): (&[String], &[String]),
) -> Option<Vec<TileAt>> {
    let lot = |lots: &[String], at: usize| lots.get(at).filter(|lot| !lot.is_empty()).cloned();
    let first = |at: usize| glue.placements[at];
    if !glue.slices.is_empty() {
        let each = glue.slices.iter().map(|slice| {
            let Placement { course, number, .. } = first(slice.placements.start);
            Some(TileAt {
                course,
                number,
                tiles: slice.placements.len() as u64,
                piece: lot(slices, slice.loaf)?,
                turn: slice.turn,
                flip: slice.flip,
                at: [slice.at.x, slice.at.y],
            })
        });
        return each.collect();
    }
    // Tiles of one kind can come from bars of unlike boards, in several lots: these are used up one after the other.
    let of_face = |face: &PlacedFace| {
        let bars = (0..kinds.bars.len()).filter(|&at| kinds.gives(&kinds.bars[at], &face.kind));
        let lots: Vec<String> = bars.filter_map(|at| lot(tiles, at)).collect();
        (!lots.is_empty()).then_some(lots)
    };
    let lots: Vec<Vec<String>> = panel.faces.iter().map(of_face).collect::<Option<_>>()?;
    let mut taken: BTreeMap<&str, u64> = BTreeMap::new();
    let next = |face: usize| {
        let there =
            |lot: &&String| taken.get(lot.as_str()).copied().unwrap_or(0) < ledger.get(lot).count;
        let lot = lots[face].iter().find(there).unwrap_or(&lots[face][0]);
        *taken.entry(lot.as_str()).or_default() += 1;
        lot.clone()
    };
    Some(placed(next, panel, glue))
}

/// The tiles where they are laid, each of its face's lot.
pub(super) fn placed(
    mut lot: impl FnMut(usize) -> String,
    panel: &Panel,
    glue: &GlueUp,
) -> Vec<TileAt> {
    let moves = panel.laid_by();
    let place = |p: &Placement| {
        let tile = &panel.tiles[p.tile];
        let by = moves[tile.face as usize];
        TileAt {
            course: p.course,
            number: p.number,
            tiles: 1,
            piece: lot(tile.face as usize),
            turn: by.turn,
            flip: by.flip,
            at: [tile.at.x, tile.at.y],
        }
    };
    glue.placements.iter().map(place).collect()
}

/// Whether there are as many tiles or slices as are laid.
pub(super) fn are_there(ledger: &Ledger, laid: &[TileAt]) -> bool {
    let mut wanted: BTreeMap<&str, u64> = BTreeMap::new();
    for tile in laid {
        *wanted.entry(&tile.piece).or_default() += 1;
    }
    wanted
        .into_iter()
        .all(|(id, count)| ledger.get(id).count >= count)
}

/// Lays, glues, flattens and trims a panel of some tiles or slices; a slice that is the whole panel is glued
/// already.
pub(super) fn panel(
    ledger: &mut Ledger,
    panel: &Panel,
    glue: &GlueUp,
    laid: Vec<TileAt>,
    shop: &Shop,
) {
    let bounds = panel.bounds;
    let whole = Polygon::clockwise(vec![
        bounds.min,
        Point::new(bounds.max.x, bounds.min.y),
        bounds.max,
        Point::new(bounds.min.x, bounds.max.y),
    ]);
    if let ([only], [_]) = (&laid[..], &glue.slices[..]) {
        finish(ledger, panel, only.piece.clone(), &whole, shop);
        return;
    }
    let thickness = (laid.first()).map_or(shop.slicing.thickness, |tile| {
        ledger.get(&tile.piece).piece.length
    });
    let mut takes: Vec<Of> = Vec::new();
    for tile in &laid {
        watch::ask();
        tally(&mut takes, &Becomes::Piece(tile.piece.clone()), 1);
    }
    ledger.step(Draft::of(
        Work::LayDry { tiles: laid },
        takes.clone(),
        takes.clone(),
    ));
    let glued = lot(ledger, format!("glued {}", panel.name), thickness, &whole);
    let clamping = Clamping::of(bounds.width() * thickness, PRESSURES, shop.clamps.force);
    let assemblies = assemblies(glue);
    ledger.step(Draft {
        cautions: vec![Caution::Press],
        ..Draft::of(
            Work::Glue {
                assemblies,
                clamping,
                bearing_blocks: bearing_blocks(panel),
            },
            takes,
            vec![of(glued.clone(), 1)],
        )
    });
    finish(ledger, panel, glued, &whole, shop);
}

fn assemblies(glue: &GlueUp) -> Vec<GluedAtOnce> {
    let place = |i: usize| {
        let p = glue.placements[i];
        [p.course, p.number]
    };
    let one = |a: &Assembly| GluedAtOnce {
        from: place(a.placements.start),
        to: place(a.placements.end - 1),
        tiles: a.placements.len() as u64,
        joints: a.joints,
        minutes: a.minutes,
    };
    glue.assemblies.iter().map(one).collect()
}

/// Flattens a glued panel, and trims it where it has a finished outline.
fn finish(ledger: &mut Ledger, panel: &Panel, glued: String, whole: &Polygon, shop: &Shop) {
    let from = ledger.get(&glued).piece.length;
    let to = from - shop.slicing.sanding;
    let flat = lot(ledger, format!("flat {}", panel.name), to, whole);
    ledger.step(Draft {
        cautions: vec![Caution::Flattening, Caution::Always],
        ..Draft::of(
            Work::Flatten { from, to },
            vec![of(glued, 1)],
            vec![of(flat.clone(), 1)],
        )
    });
    let Some(trim) = &panel.trim else { return };
    let mut loops = trim.loops().into_iter();
    let outline = loops.next().unwrap_or_else(|| whole.clone());
    let holes: Vec<Polygon> = loops.collect();
    let done = lot(ledger, panel.name.clone(), to, &outline);
    let straight = holes.is_empty() && (outline.area() - whole.area()).abs() < 1e-6;
    ledger.step(Draft {
        cautions: vec![Caution::OffCut, Caution::Always],
        ..Draft::of(
            Work::Trim {
                outline: corners(&outline),
                holes: holes.iter().map(corners).collect(),
                inner_radius: trim.inner_radius(),
                straight,
            },
            vec![of(flat, 1)],
            vec![of(done.clone(), 1)],
        )
    });
    cut_out(ledger, panel, done, to);
}

/// Cuts a finished panel into its pieces, where it has some.
fn cut_out(ledger: &mut Ledger, panel: &Panel, done: String, thickness: f64) {
    let all = &panel.pieces.list;
    if all.is_empty() {
        return;
    }
    let mut gives = Vec::new();
    let mut pieces = Vec::new();
    for piece in all {
        watch::ask();
        let mut loops = piece.outline.loops().into_iter();
        let Some(outline) = loops.next() else {
            continue;
        };
        gives.push(of(lot(ledger, piece.name.clone(), thickness, &outline), 1));
        pieces.push(PieceOut {
            name: piece.name.clone(),
            outline: corners(&outline),
            holes: loops.map(|hole| corners(&hole)).collect(),
        });
    }
    let is_straight = |trim: &Trim| trim.bounds().area() - trim.area() < 1e-6;
    let radii = all.iter().filter_map(|piece| piece.outline.inner_radius());
    ledger.step(Draft {
        cautions: vec![Caution::OffCut, Caution::Always],
        ..Draft::of(
            Work::CutOut {
                pieces,
                kerf: panel.pieces.kerf,
                inner_radius: radii.reduce(f64::min),
                straight: all.iter().all(|piece| is_straight(&piece.outline)),
            },
            vec![of(done, 1)],
            gives,
        )
    });
}

/// The lot of a panel.
fn lot(ledger: &mut Ledger, id: String, thickness: f64, outline: &Polygon) -> String {
    ledger.glued_lot(id, PieceKind::Panel, outline, thickness)
}
