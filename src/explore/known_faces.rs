//! What was found out of faces: the variations of a sweep have the same few, so each is looked into once.

use std::collections::HashMap;

use crate::geom::Isometry;
use crate::layout::panel::Panel;
use crate::stock::{Comparison, Face};

/// With more known faces than this, all are forgotten, as every face is searched for among them.
const MOST: usize = 256;

/// A moved face: its number, whether it is flipped, and the bits of its turn.
type Moved = (usize, bool, u64);

/// Faces, and what was found of them.
#[derive(Debug, Default)]
pub struct KnownFaces {
    faces: Vec<Face>,
    /// For each moved face, the faces that it looks like.
    alike: HashMap<Moved, Vec<bool>>,
    /// For each moved face, the digest of what it shows.
    digests: HashMap<Moved, [u8; 32]>,
}

impl KnownFaces {
    /// The number of each face of a panel here.
    pub(super) fn of(&mut self, panel: &Panel) -> Vec<usize> {
        if self.faces.len() + panel.faces.len() > MOST {
            *self = Self::default();
        }
        let number = |face: &Face| {
            let known = self.faces.iter().position(|known| known == face);
            known.unwrap_or_else(|| {
                self.faces.push(face.clone());
                self.faces.len() - 1
            })
        };
        panel.faces.iter().map(|f| &f.face).map(number).collect()
    }

    /// Which of the known faces a face looks like when it is flipped and turned, by their numbers.
    pub(super) fn alike(&mut self, face: usize, by: Isometry) -> &[bool] {
        let known = self.alike.entry(moved(face, by)).or_default();
        if known.len() < self.faces.len() {
            let image = self.faces[face].posed(by);
            let image = Comparison::with(&image);
            let others = self.faces[known.len()..].iter();
            known.extend(others.map(|other| image.is_alike(other)));
        }
        known
    }

    /// The digest of a face that is flipped and turned, made by `digest` where it is not known yet.
    pub(super) fn digest(
        &mut self,
        face: usize,
        by: Isometry,
        digest: impl FnOnce(&Face) -> [u8; 32],
    ) -> [u8; 32] {
        let known = self.digests.entry(moved(face, by));
        *known.or_insert_with(|| digest(&self.faces[face]))
    }
}

fn moved(face: usize, by: Isometry) -> Moved {
    (face, by.flip, by.turn.to_bits())
}
