//! The faces in use on a panel, each kind and pose once.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::LayoutError;
use super::panel::PlacedFace;
use crate::{
    geom::{Isometry, angle},
    stock::{Face, Pose, Tile, face::Profile},
};

/// The most layers that the faces of one panel show, each way of turning counted: some 100 MB. A tile
/// that a person glues has some dozens, and stands in a dozen ways.
pub const MOST_LAYERS_SHOWN: usize = 300_000;

/// Faces and the colours along their edges, in the order of first use.
#[derive(Debug, Default)]
pub(super) struct Faces {
    list: Vec<PlacedFace>,
    profiles: Vec<Vec<Profile>>,
    /// Numbers by kind, flip and turn.
    known: BTreeMap<(usize, bool, u64), u32>,
    /// Layers of all faces.
    layers: usize,
}

impl Faces {
    /// The number of the face that a tile shows in a cell that turns it.
    ///
    /// # Errors
    /// When the faces show too many layers.
    pub(super) fn number(&mut self, tile: &Tile, turned: Isometry) -> Result<u32, LayoutError> {
        let pose = pose_on_panel(tile, turned);
        // Adding 0 turns -0 into 0.
        let key = (
            Arc::as_ptr(&tile.kind).addr(),
            pose.flip,
            (pose.turn + 0.0).to_bits(),
        );
        if let Some(&known) = self.known.get(&key) {
            return Ok(known);
        }
        self.layers += tile.kind.face().regions().len();
        if self.layers > MOST_LAYERS_SHOWN {
            return Err(LayoutError::TooManyLayers {
                most: MOST_LAYERS_SHOWN,
            });
        }
        let face = tile.kind.face().posed(tile.kind.isometry(pose));
        self.profiles.push(face.profiles());
        self.list.push(PlacedFace {
            kind: Arc::clone(&tile.kind),
            pose,
            face,
        });
        let number =
            u32::try_from(self.list.len() - 1).expect("invariant: no more faces than tiles");
        self.known.insert(key, number);
        Ok(number)
    }

    pub(super) fn face(&self, number: u32) -> &Face {
        &self.list[number as usize].face
    }

    pub(super) fn profile(&self, number: u32, edge: usize) -> &Profile {
        &self.profiles[number as usize][edge]
    }

    pub(super) fn into_list(self) -> Vec<PlacedFace> {
        self.list
    }
}

/// How a tile stands on the panel when its cell flips and turns it.
pub(super) fn pose_on_panel(tile: &Tile, turned: Isometry) -> Pose {
    let whole = tile.isometry().then(turned);
    let flip_alone = tile.kind.isometry(Pose {
        flip: whole.flip,
        turn: 0.0,
    });
    Pose {
        flip: whole.flip,
        turn: angle::tidied(whole.turn - flip_alone.turn),
    }
}
