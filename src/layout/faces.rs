//! The faces in use on a panel, each kind and pose once.

use std::sync::Arc;

use super::panel::PlacedFace;
use crate::{
    geom::{Isometry, angle},
    stock::{Face, Pose, Tile, face::Profile},
};

/// Faces and the colours along their edges, in the order of first use.
#[derive(Debug, Default)]
pub(super) struct Faces {
    list: Vec<PlacedFace>,
    profiles: Vec<Vec<Profile>>,
}

impl Faces {
    /// The number of the face that a tile shows in a cell that turns it.
    pub(super) fn number(&mut self, tile: &Tile, turned: Isometry) -> u32 {
        let pose = pose_on_panel(tile, turned);
        let known = self
            .list
            .iter()
            .position(|f| f.pose == pose && Arc::ptr_eq(&f.kind, &tile.kind));
        let index = known.unwrap_or_else(|| {
            let face = tile.kind.face().posed(tile.kind.isometry(pose));
            self.profiles.push(face.profiles());
            self.list.push(PlacedFace {
                kind: Arc::clone(&tile.kind),
                pose,
                face,
            });
            self.list.len() - 1
        });
        u32::try_from(index).expect("invariant: no more faces than tiles")
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
