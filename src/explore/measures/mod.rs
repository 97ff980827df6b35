//! Figures that tell panels apart: how lines run, how colours are spread, what repeats.
//!
//! Each is a pure function of a resolved panel, with its formula beside it, and none changes when
//! the whole panel is turned. The trim is left out of account: a tile that it cuts counts as if it
//! were whole. Figures say what is there; which panel is better is for eyes to say.

mod balance;
mod echoes;
mod lines;
mod mirrored;

pub use balance::{Balance, balance};
pub use echoes::{Echo, echoes};
pub use lines::{Lines, lines};
pub use mirrored::{Mirrored, mirrored};

use crate::layout::panel::Panel;
use crate::stock::Comparison;
use crate::watch;

/// The share of joints through which lines run on, `matched / all`; none without joints.
#[must_use]
pub fn matched(panel: &Panel) -> Option<f64> {
    let joints = panel.joints;
    (joints.all > 0).then(|| joints.matched as f64 / joints.all as f64)
}

/// For each face of a panel the number of its look: faces that look the same have the same.
fn looks(panel: &Panel) -> Vec<usize> {
    let mut known: Vec<usize> = Vec::with_capacity(panel.faces.len());
    for (number, placed) in panel.faces.iter().enumerate() {
        watch::ask();
        let face = Comparison::with(&placed.face);
        let same = (0..number).find(|&i| face.is_alike(&panel.faces[i].face));
        known.push(same.map_or(number, |i| known[i]));
    }
    known
}
