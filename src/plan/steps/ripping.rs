//! How wood is ripped: how it lies for each pass, what that is set by, and what becomes of both parts. Lengths in mm, angles
//! in degrees.

use serde::Serialize;

use super::pieces::Corner;
use crate::plan::saw::rip::Touch;

/// Which side of a piece lies on the table.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Down {
    /// Its name.
    pub side: Side,
    /// Which way that side looks in the frame of the wood, in degrees: 0 right, 90 to the back.
    pub looks: f64,
}

/// A side of a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The sheet's face.
    Face,
    /// The sheet's back.
    Back,
}

/// How a piece lies on the table.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Lie {
    /// What is down.
    pub down: Down,
    /// Which end is towards you: 2 when it is turned end for end.
    pub end: u8,
}

/// What the work is set against.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Set {
    /// The fence: from it to where the blade's near side comes through the table.
    Fence(f64),
    /// By eye, so that a whole new edge is left and little more: about so much comes off, the cut included,
    /// on the table from the outermost point of the work, on the side away from the fence.
    ByEye(f64),
    /// The ledge of a carriage's bed: from it to where the blade's near side comes through the bed.
    Ledge(f64),
    /// An upright stop ahead of the blade, on the side away from the fence: from the blade's far
    /// side on the table to the outermost point of the work.
    Stop(f64),
}

/// What becomes of a piece that a cut leaves.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Becomes {
    /// A piece of this lot.
    Piece(String),
    /// Nothing: it is thrown away.
    Waste,
    /// The work that goes on to the next pass.
    Work,
}

/// Where an edge of the work touches the fence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Touches {
    /// With its whole height.
    Whole,
    /// With its sharp lower corner, on the table.
    LowCorner,
    /// With its sharp upper corner.
    HighCorner,
}

impl From<Touch> for Touches {
    fn from(touch: Touch) -> Self {
        match touch {
            Touch::Whole => Self::Whole,
            Touch::LowCorner => Self::LowCorner,
            Touch::HighCorner => Self::HighCorner,
        }
    }
}

/// One pass of the saw.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pass {
    /// How the work lies.
    pub lie: Lie,
    /// What it is set against.
    pub set: Set,
    /// Where it touches the fence.
    pub touches: Touches,
    /// What lies between fence and blade becomes this.
    pub inboard: Becomes,
    /// What lies beyond the blade becomes this.
    pub outboard: Becomes,
    /// The work before the pass as it lies: x from the fence, y down to the table at 0.
    pub work: Vec<Corner>,
    /// Where the near side of the blade comes through the table, from the fence.
    pub blade: f64,
}

/// Passes that are made one after the other, and repeated.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Round {
    /// How many times.
    pub times: u64,
    /// The passes.
    pub passes: Vec<Pass>,
}

/// Boards that may share bars: what is ripped of them has settings of its own.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OfBoards {
    /// Their names.
    pub names: Vec<String>,
    /// The thickness that it is set for: the mean of theirs, or the recipe's.
    pub thickness: f64,
}

/// What a rip is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RipFor {
    /// A blank that is narrower than the board.
    Width,
    /// A first edge with a tilt of its own.
    FirstEdge,
    /// Strips, the first edge included.
    Strips,
    /// Blanks whose strips want a second set-up.
    Blanks,
    /// The second edge of such strips.
    SecondEdge,
    /// Such a blank parted into two strips.
    Parting,
    /// Strips that are ripped once more.
    Again,
}
