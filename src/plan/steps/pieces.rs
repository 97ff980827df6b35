//! The pieces of wood that steps take and give, in lots. Lengths in mm; the section of a piece stands in the frame of its
//! wood (see [`model`](super::model)).

use serde::Serialize;

/// A corner of a section, in mm.
pub type Corner = [f64; 2];

/// What a piece of wood is at its stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PieceKind {
    /// A sheet or scrap as the shop has it.
    Board,
    /// A piece cut off a board across the strips.
    Blank,
    /// A veneer cut to size.
    Veneer,
    /// A blank with all its layers.
    Sheet,
    /// A strip.
    Strip,
    /// A glued bar.
    Bar,
    /// Bars glued to one another before they are sliced.
    Loaf,
    /// A slice of a bar.
    Tile,
    /// A slice of a loaf.
    Slice,
    /// A glued panel.
    Panel,
    /// What a glued panel is ripped to.
    Slat,
    /// What is left and goes back.
    Rest,
}

/// One layer of a piece, in mm.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Band {
    /// Colour as `#rrggbb`, as seen at the end of the strips.
    pub colour: String,
    /// Thickness, in mm.
    pub thickness: f64,
}

/// Pieces that are alike.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Piece {
    /// Its name in the plan.
    pub id: String,
    /// What it is.
    pub kind: PieceKind,
    /// The sheet it is of or becomes; empty for what is glued of several.
    pub sheet: String,
    /// Section, in the frame of its wood; of a loaf and its slices as the first of them lies in the panel.
    pub section: Vec<Corner>,
    /// Layers from the face to the back.
    pub layers: Vec<Band>,
    /// Length along the strips.
    pub length: f64,
}

/// Some pieces of a lot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Of {
    /// The lot's name.
    pub piece: String,
    /// How many of it.
    pub count: u64,
}

/// Lengths (mm) and angles (degrees) that differ by less are the same.
pub(super) const SAME: f64 = 1e-6;

/// The width that a section has through its whole thickness, in mm: its edges may lean.
pub fn width_through(section: &[Corner]) -> f64 {
    let top = section.iter().map(|c| c[1]).fold(f64::MAX, f64::min);
    let bottom = section.iter().map(|c| c[1]).fold(f64::MIN, f64::max);
    let ends = |y: f64| {
        let at = || {
            section
                .iter()
                .filter(move |c| (c[1] - y).abs() < SAME)
                .map(|c| c[0])
        };
        (at().fold(f64::MAX, f64::min), at().fold(f64::MIN, f64::max))
    };
    let ((left, right), (low_left, low_right)) = (ends(top), ends(bottom));
    (right.min(low_right) - left.max(low_left)).max(0.0)
}
