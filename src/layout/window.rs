//! A rectangle cut out of a panel: the tiles that reach into it, for whoever draws a part.

use super::{
    panel::{Panel, PlacedTile},
    pieces::Pieces,
    trim::Trim,
};
use crate::geom::{Point, Rect, TOLERANCE};

/// The part of a panel inside a rectangle, which becomes its trim and its bounds; none where no tile
/// reaches into it. It is for drawing: its joints are those of the whole panel.
pub fn window(panel: &Panel, part: Rect) -> Option<Panel> {
    let edge = panel.trim.as_ref().map_or(panel.bounds, Trim::bounds);
    let min = Point::new(part.min.x.max(edge.min.x), part.min.y.max(edge.min.y));
    let max = Point::new(part.max.x.min(edge.max.x), part.max.y.min(edge.max.y));
    if max.x - min.x <= TOLERANCE || max.y - min.y <= TOLERANCE {
        return None;
    }
    let rect = Rect { min, max };
    let bounds: Vec<Rect> = panel.faces.iter().map(|f| f.face.bounds()).collect();
    let reach = |tile: &&PlacedTile| bounds[tile.face as usize].shifted(tile.at).meets(rect);
    let tiles: Vec<PlacedTile> = panel
        .tiles
        .iter()
        .filter(reach)
        .map(|tile| PlacedTile {
            at: tile.at - min,
            whole: tile.whole && rect.holds(bounds[tile.face as usize].shifted(tile.at), TOLERANCE),
            ..*tile
        })
        .collect();
    let bounds = Rect::sized(rect.width(), rect.height());
    let trim = match &panel.trim {
        Some(trim) => trim.cut(rect)?.shifted(-min),
        None => bounds.into(),
    };
    (!tiles.is_empty()).then(|| Panel {
        name: panel.name.clone(),
        faces: panel.faces.clone(),
        tiles,
        trim: Some(trim),
        bounds,
        joints: panel.joints,
        laid_on: None,
        pieces: Pieces::default(),
    })
}
