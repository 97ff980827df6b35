//! One ply, veneer or glue line.

use super::{Colour, StockError};

/// Which way the fibres of a layer run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grain {
    /// Along the strip: a slice shows end grain.
    Along,
    /// Across the strip: a slice shows long grain.
    Across,
    /// No grain to speak of (a glue line, dyed fibre, paper).
    None,
}

/// What a layer is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LayerKind {
    /// A ply of a plywood sheet.
    Ply,
    /// A decorative veneer laminated on.
    Veneer,
    /// A glue line thick enough to be seen.
    Glue,
}

/// One layer of a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// What it is.
    pub kind: LayerKind,
    /// In mm, above 0.
    pub thickness: f64,
    /// Of its long grain, or of the dye.
    pub colour: Colour,
    /// Which way its fibres run.
    pub grain: Grain,
}

impl Layer {
    /// A layer.
    ///
    /// # Errors
    /// When the thickness is not a number above 0.
    pub fn new(
        kind: LayerKind,
        thickness: f64,
        colour: Colour,
        grain: Grain,
    ) -> Result<Self, StockError> {
        if thickness.is_finite() && thickness > 0.0 {
            Ok(Self {
                kind,
                thickness,
                colour,
                grain,
            })
        } else {
            Err(StockError::Thickness { thickness })
        }
    }

    /// The colour that a slice shows: darker where it shows the end grain of a ply.
    pub fn seen(&self) -> Colour {
        match (self.kind, self.grain) {
            (LayerKind::Ply, Grain::Along) => self.colour.end_grain(),
            _ => self.colour,
        }
    }
}
