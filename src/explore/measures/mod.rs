//! Figures that tell panels apart: how lines run, how colours are spread, what repeats.
//!
//! Each is a pure function of a resolved panel, with its formula beside it, and none changes when
//! the whole panel is turned. The trim is left out of account: a tile that it cuts counts as if it
//! were whole. A figure describes a panel; it does not say which panel is better.

mod balance;
mod echoes;
mod lines;
mod mirrored;

pub use balance::{Balance, balance};
pub use echoes::{Echo, echoes};
pub use lines::{Lines, lines};
pub use mirrored::{Mirrored, mirrored};

use super::known_faces::KnownFaces;
use crate::geom::Isometry;
use crate::watch;

/// For each face, by its number among the known ones, the number of its look: faces that look the same have the same.
fn looks(faces: &[usize], known: &mut KnownFaces) -> Vec<usize> {
    let mut looks: Vec<usize> = Vec::with_capacity(faces.len());
    for (number, &face) in faces.iter().enumerate() {
        watch::ask();
        let alike = known.alike(face, Isometry::IDENTITY);
        let same = (0..number).find(|&i| alike[faces[i]]);
        looks.push(same.map_or(number, |i| looks[i]));
    }
    looks
}
