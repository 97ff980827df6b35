//! The face of one tile as path data, for the page, which puts the drawing together by itself.

use super::{
    number::{snapped, spot},
    tiles::TileArt,
};
use crate::{geom::Polygon, stock::Face};
use serde::Serialize;

/// What to paint for a face; its centre is the origin, lengths are mm. Colours are CSS colours.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FaceArt {
    /// The mean of the face's colours.
    pub mean: String,
    /// The outline, as path data.
    pub outline: String,
    /// The colours in the order in which they are painted, each with its path data.
    pub paths: Vec<(String, String)>,
}

impl FaceArt {
    /// The paths that every drawing of a panel has for this face.
    pub fn of(face: &Face) -> Self {
        let art = TileArt::of(face);
        let paths = art.paths.iter();
        Self {
            mean: art.mean.to_string(),
            outline: art.outline.data(),
            paths: paths.map(|(c, r)| (c.to_string(), r.data())).collect(),
        }
    }
}

/// The corners of a polygon in whole micrometres: x and y in turn.
pub fn corners(polygon: &Polygon) -> Vec<i64> {
    let spots = polygon.corners().iter().map(|&p| spot(p));
    spots.flat_map(|(x, y)| [x, y]).collect()
}

/// A length in whole micrometres, as drawings have it.
pub fn micrometres(mm: f64) -> i64 {
    snapped(mm)
}
