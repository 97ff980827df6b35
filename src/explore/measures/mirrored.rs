//! How nearly a whole panel is symmetric about its middle.

use super::{super::known_faces::KnownFaces, looks};
use crate::{
    geom::{Isometry, Point, Rect, TOLERANCE},
    layout::panel::Panel,
};

/// The shares of tiles whose image is a tile with the same look, from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Mirrored {
    /// Under the mirror in an upright axis.
    pub left_right: f64,
    /// Under the mirror in a level axis.
    pub top_bottom: f64,
    /// Under a half turn.
    pub half_turn: f64,
    /// Under a quarter turn.
    pub quarter_turn: f64,
}

/// How nearly a panel is symmetric about the middle of its tiles' bounds.
pub fn mirrored(panel: &Panel, known: &mut KnownFaces) -> Mirrored {
    let bounds = panel.tiles.iter().map(|t| {
        let face = &panel.faces[t.face as usize].face;
        face.bounds().shifted(t.at)
    });
    let Some(bounds) = bounds.reduce(Rect::join) else {
        return Mirrored::default();
    };
    let faces = known.of(panel);
    let looks = looks(&faces, known);
    let mut places: Vec<(Point, usize)> = panel
        .tiles
        .iter()
        .map(|t| (t.at - bounds.centre(), looks[t.face as usize]))
        .collect();
    places.sort_by(|a, b| a.0.x.total_cmp(&b.0.x));
    let mut share = |by: Isometry| {
        let becomes: Vec<Option<usize>> = faces
            .iter()
            .map(|&face| {
                let image = known.alike(face, by);
                let same = faces.iter().position(|&other| image[other]);
                same.map(|i| looks[i])
            })
            .collect();
        let kept = places.iter().filter(|&&(at, look)| {
            becomes[look].is_some_and(|image| look_at(&places, by.apply(at)) == Some(image))
        });
        kept.count() as f64 / places.len() as f64
    };
    Mirrored {
        left_right: share(Isometry::mirror(90.0)),
        top_bottom: share(Isometry::mirror(0.0)),
        half_turn: share(Isometry::turn(180.0)),
        quarter_turn: share(Isometry::turn(90.0)),
    }
}

/// The look of the tile at a place; the places are sorted from left to right.
fn look_at(places: &[(Point, usize)], at: Point) -> Option<usize> {
    let slack = 2.0 * TOLERANCE;
    let from = places.partition_point(|(p, _)| p.x < at.x - slack);
    places[from..]
        .iter()
        .take_while(|(p, _)| p.x <= at.x + slack)
        .find(|(p, _)| p.distance(at) <= slack)
        .map(|&(_, look)| look)
}
