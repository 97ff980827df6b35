//! The face of one tile as path data, for whoever puts the drawing together elsewhere.

use super::{
    number::{snapped, spot},
    tiles::TileArt,
};
use crate::{
    geom::Polygon,
    stock::{Colour, Face},
};

/// What to paint for a face; its centre is the origin, lengths are mm.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceArt {
    /// The outline, as path data.
    pub outline: String,
    /// The colours in the order in which they are painted, each with its path data.
    pub paths: Vec<(Colour, String)>,
    /// The mean of the face's colours.
    pub mean: Colour,
}

impl FaceArt {
    /// What every drawing of a panel paints for this face.
    #[must_use]
    pub fn of(face: &Face) -> Self {
        let art = TileArt::of(face);
        Self {
            outline: art.outline.data(),
            paths: art.paths.iter().map(|(c, r)| (*c, r.data())).collect(),
            mean: art.mean,
        }
    }
}

/// The corners of a polygon in whole micrometres: x and y in turn.
#[must_use]
pub fn corners(polygon: &Polygon) -> Vec<i64> {
    let spots = polygon.corners().iter().map(|&p| spot(p));
    spots.flat_map(|(x, y)| [x, y]).collect()
}

/// A length in whole micrometres, as drawings have it.
#[must_use]
pub fn micrometres(mm: f64) -> i64 {
    snapped(mm)
}
