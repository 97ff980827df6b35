//! The tiles of a panel for the page: where each lies, how it stands, how many of its joints match.
//!
//! Lengths are whole micrometres. Each list has one entry a tile, in the panel's order, so that a
//! hundred thousand tiles stay small.

use serde::Serialize;

use super::visible::visible;
use crate::draw::{FaceArt, corners, micrometres};
use crate::geom::number::thousandth;
use crate::layout::panel::Panel;
use crate::layout::tile_joints;
use crate::plan::glue_up::placements;

/// Up to this many faces, the lines between layers are sent: tiles placed freely can have as many
/// faces as tiles.
const MOST_LINED: usize = 2000;

#[derive(Serialize)]
struct Tiles {
    width: i64,
    height: i64,
    /// Corners of the finished outline and of its holes, where the panel is trimmed to one: x and y in turn.
    trim: Option<Vec<Vec<i64>>>,
    /// Rims of the panel and of its pieces, where it is cut into some: what an odd number of them holds falls away.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    waste: Vec<Vec<i64>>,
    faces: Vec<FaceJson>,
    face: Vec<u32>,
    x: Vec<i64>,
    y: Vec<i64>,
    column: Vec<i32>,
    course: Vec<i32>,
    /// Course and number within it as map and template have them, from 1.
    numbers: Vec<[u32; 2]>,
    whole: Vec<u8>,
    joints: Vec<u64>,
    matched: Vec<u64>,
}

#[derive(Serialize)]
struct FaceJson {
    kind: String,
    turn: f64,
    flip: bool,
    mean: String,
    /// Corners of the outline around its centre: x and y in turn.
    outline: Vec<i64>,
    /// The same for each layer.
    layers: Vec<Vec<i64>>,
}

/// The tiles as JSON.
pub(super) fn tiles_json(panel: &Panel) -> String {
    let lined = panel.faces.len() <= MOST_LINED;
    let faces = panel.faces.iter().map(|placed| FaceJson {
        kind: visible(placed.kind.name()),
        turn: thousandth(placed.pose.turn),
        flip: placed.pose.flip,
        mean: FaceArt::of(&placed.face).mean,
        outline: corners(placed.face.outline()),
        layers: if lined {
            let regions = placed.face.regions().iter();
            regions.map(|r| corners(&r.polygon)).collect()
        } else {
            Vec::new()
        },
    });
    let counts = tile_joints(panel);
    let mut numbers = vec![[0; 2]; panel.tiles.len()];
    for placement in placements(panel) {
        numbers[placement.tile] = [placement.course, placement.number];
    }
    let tiles = Tiles {
        width: micrometres(panel.bounds.width()),
        height: micrometres(panel.bounds.height()),
        trim: (panel.trim.as_ref()).map(|t| t.loops().iter().map(corners).collect()),
        waste: panel.waste().iter().map(corners).collect(),
        faces: faces.collect(),
        face: panel.tiles.iter().map(|t| t.face).collect(),
        x: panel.tiles.iter().map(|t| micrometres(t.at.x)).collect(),
        y: panel.tiles.iter().map(|t| micrometres(t.at.y)).collect(),
        column: panel.tiles.iter().map(|t| t.cell.column).collect(),
        course: panel.tiles.iter().map(|t| t.cell.course).collect(),
        numbers,
        whole: panel.tiles.iter().map(|t| u8::from(t.whole)).collect(),
        joints: counts.iter().map(|c| c.all).collect(),
        matched: counts.iter().map(|c| c.matched).collect(),
    };
    serde_json::to_string(&tiles).expect("invariant: numbers and texts have a form in JSON")
}
