//! Where straight battens bear on the tiles of a panel with a curved outline, and where bearing blocks are needed.
//!
//! Tiles at the rim are glued whole: what the clamps meet is the rim of the tiles, in steps along the curve.

use serde::Serialize;

use crate::geom::{Point, Polygon, Rect, TOLERANCE, outline::outline};
use crate::layout::panel::Panel;

/// A batten that meets less of a side than this rocks on it: our own choice.
const ENOUGH: f64 = 0.75;

/// A side of a panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The upper one.
    Top,
    /// The right one.
    Right,
    /// The lower one.
    Bottom,
    /// The left one.
    Left,
}

/// A side along which bearing blocks stand between the tiles and the batten.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bearing {
    /// Which.
    pub side: Side,
    /// How much of it the batten would meet without them, from 0 to 1.
    pub share: f64,
}

/// The rims of the tiles of a panel whose outline is no rectangle, with their bounds; none for other panels.
pub fn stepped_rims(panel: &Panel) -> Option<(Vec<Polygon>, Rect)> {
    let trim = panel.trim.as_ref()?;
    if trim.bounds().area() - trim.area() < TOLERANCE {
        return None;
    }
    let tiles: Vec<Polygon> = panel.tiles.iter().map(|tile| panel.rim(tile)).collect();
    let rims: Vec<Polygon> = (outline(&tiles, TOLERANCE).rims.into_iter())
        .map(|rim| rim.polygon)
        .collect();
    let bounds = rims.iter().map(Polygon::bounds).reduce(Rect::join)?;
    Some((rims, bounds))
}

/// The sides along which a panel needs bearing blocks.
pub fn bearing_blocks(panel: &Panel) -> Vec<Bearing> {
    let Some((rims, bounds)) = stepped_rims(panel) else {
        return Vec::new();
    };
    let (across, down) = (bounds.width(), bounds.height());
    let sides = [
        (Side::Top, true, bounds.min.y, across),
        (Side::Right, false, bounds.max.x, down),
        (Side::Bottom, true, bounds.max.y, across),
        (Side::Left, false, bounds.min.x, down),
    ];
    let met = sides.into_iter().map(|(side, level, at, length)| {
        let on = |p: Point| (if level { p.y } else { p.x } - at).abs() <= TOLERANCE;
        let edges = rims.iter().flat_map(Polygon::edges);
        let along = edges.filter(|&(a, b)| on(a) && on(b));
        let share = along
            .map(|(a, b)| a.distance(b))
            .fold(0.0, |all, one| all + one)
            / length;
        Bearing { side, share }
    });
    met.filter(|bearing| bearing.share < ENOUGH).collect()
}
