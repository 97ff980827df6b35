//! Which way fibres run in what a slice shows.
//!
//! A ply whose grain runs along the strip stands on the slice's face: end grain. A ply whose grain
//! runs across lies in the face, along the line that the layer draws there.

use crate::{
    geom::angle,
    layout::panel::PlacedFace,
    stock::{Grain, face::Region},
};

/// The fibres of a region as they lie in the panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fibre {
    /// Seen end on.
    End,
    /// In the face.
    Face {
        /// The direction in degrees (0 right, 90 down) in which the fibres come out of the face
        /// where they run a little off square to the bar. They lie in this direction and its
        /// opposite alike.
        rising: f64,
    },
    /// None to speak of.
    None,
}

/// The fibres of each region of a face, in the order of its regions.
pub fn fibres(face: &PlacedFace) -> Vec<Fibre> {
    face.face
        .regions()
        .iter()
        .map(|region| fibre(face, region))
        .collect()
}

fn fibre(face: &PlacedFace, region: &Region) -> Fibre {
    match region.layer.grain {
        Grain::Along => Fibre::End,
        Grain::None => Fibre::None,
        Grain::Across => {
            let part = &face.kind.bar().parts()[region.part];
            let moved = part
                .strip
                .lie()
                .then(part.place)
                .then(face.kind.isometry(face.pose));
            // As ripped, fibres lie along x and rise to the right. A piece turned over has them
            // mirrored to the left and falling, which is the same as to the right and rising: the
            // turn that follows is all that is left.
            Fibre::Face {
                rising: angle::normalised(moved.turn),
            }
        }
    }
}
