//! One pass of the saw, in the wood's own frame of a run (see [`passes`](super::passes)). Lengths in mm, angles in degrees.

use super::rip::{Touch, Up};

/// An edge of the work in the wood's own frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// The one that strips come off first.
    Left,
    /// The other one.
    Right,
}

/// What the distance of a pass is set by, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SetBy {
    /// By eye: so that a whole new edge is left, and no more.
    ByEye,
    /// The fence: on the table, to the near side of the blade.
    Fence(f64),
    /// An upright stop ahead of the blade: on the table, from the far side of the blade to the outermost
    /// point of the work, be it foot or overhang.
    Stop(f64),
    /// The ledge of a carriage's bed: on the bed, to the near side of the blade.
    Ledge(f64),
}

/// What a part of the work becomes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Product {
    /// A strip, counted from 0.
    Strip(u64),
    /// A blank for the next stage, counted from 0.
    Blank(u64),
    /// The board, for the next pass.
    Board,
    /// Waste.
    Waste,
}

/// What a stage starts from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum On {
    /// The board.
    Board,
    /// Each blank of the stage before; its passes are told for the first.
    Blanks,
}

/// How the work is turned from one pass to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// Not at all: it slides to fence or stop.
    AsItLies,
    /// Turned over end for end: the same edge stays at the fence, the other side looks up.
    TurnedOver,
    /// Rolled over: the other edge comes to the fence, the other side looks up.
    RolledOver,
    /// Turned round flat: the other edge comes to the fence, the same side looks up.
    TurnedRound,
}

/// One pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunPass {
    /// Which edge lies at the fence.
    pub at_fence: Edge,
    /// What looks up.
    pub up: Up,
    /// Where the cut's left face meets the sheet's face and its back. The kerf lies to its right.
    pub cut: [f64; 2],
    /// What the distance is set by.
    pub set: SetBy,
    /// Where the work touches the fence.
    pub touch: Touch,
    /// What the left part becomes.
    pub left: Product,
    /// What the right part becomes.
    pub right: Product,
    /// The work's left edge, where it is known: a raw edge is not.
    pub from: Option<[f64; 2]>,
    /// The work's right edge, where it does not go on.
    pub to: Option<[f64; 2]>,
}

/// Passes with one tilt.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// What they start from.
    pub on: On,
    /// Tilt of the cut from vertical.
    pub tilt: f64,
    /// Whether the work lies in a carriage with a leaning bed.
    pub carriage: bool,
    /// The passes.
    pub passes: Vec<RunPass>,
}

impl SetBy {
    /// The distance, in mm; none by eye.
    pub fn distance(self) -> Option<f64> {
        match self {
            Self::ByEye => None,
            Self::Fence(mm) | Self::Stop(mm) | Self::Ledge(mm) => Some(mm),
        }
    }
}

impl Turn {
    /// From one pass to the next.
    pub fn between(before: &RunPass, after: &RunPass) -> Self {
        match (before.at_fence == after.at_fence, before.up == after.up) {
            (true, true) => Self::AsItLies,
            (true, false) => Self::TurnedOver,
            (false, false) => Self::RolledOver,
            (false, true) => Self::TurnedRound,
        }
    }
}
