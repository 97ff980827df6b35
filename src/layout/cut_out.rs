//! A piece of a panel as a panel of its own.

use super::{
    panel::{JointCount, Panel, PlacedTile},
    pieces::{PanelPiece, Pieces},
    tile_joints::tile_joints,
};
use crate::geom::{Rect, TOLERANCE};
use crate::watch;

/// Leaves away faces that no tile shows.
fn keep_used(panel: &mut Panel) {
    let mut numbers: Vec<Option<u32>> = vec![None; panel.faces.len()];
    let mut faces = Vec::new();
    for tile in &mut panel.tiles {
        let known = &mut numbers[tile.face as usize];
        tile.face = *known.get_or_insert_with(|| {
            faces.push(panel.faces[tile.face as usize].clone());
            u32::try_from(faces.len() - 1).expect("invariant: no more faces than before")
        });
    }
    panel.faces = faces;
}

/// A piece of a panel as a panel of its own: the tiles that reach into it, trimmed to it.
pub fn cut_out(panel: &Panel, piece: &PanelPiece) -> Panel {
    let outline = &piece.outline;
    let min = outline.bounds().min;
    let tiles = panel.tiles.iter().filter_map(|tile| {
        watch::ask();
        let rim = panel.rim(tile);
        outline.reaches(&rim).then(|| PlacedTile {
            at: tile.at - min,
            whole: tile.whole && outline.holds(rim.bounds(), || rim.clone(), TOLERANCE),
            ..*tile
        })
    });
    let bounds = outline.bounds();
    let mut cut = Panel {
        name: piece.name.clone(),
        faces: panel.faces.clone(),
        tiles: tiles.collect(),
        trim: Some(outline.shifted(-min)),
        bounds: Rect::sized(bounds.width(), bounds.height()),
        joints: JointCount::default(),
        laid_on: None,
        pieces: Pieces::default(),
    };
    keep_used(&mut cut);
    // Each joint is there twice.
    let each = tile_joints(&cut);
    cut.joints = JointCount {
        all: each.iter().map(|j| j.all).sum::<u64>() / 2,
        matched: each.iter().map(|j| j.matched).sum::<u64>() / 2,
    };
    cut
}
