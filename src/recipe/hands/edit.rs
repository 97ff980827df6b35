//! What hands do, as plain data.

use serde::{Deserialize, Serialize};

use crate::geom::Isometry;

/// A cell: column and course, counted as recipes count them.
pub type At = [i32; 2];

/// An edit of tiles, and to which other tiles it is applied as well.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Edit {
    /// What is done.
    #[serde(flatten)]
    pub act: Act,
    /// To whose images it is done too.
    #[serde(default)]
    pub brush: Brush,
    /// It is also applied in steps of so many columns and courses, over the whole panel.
    #[serde(default)]
    pub every: Option<At>,
}

/// What is done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "act", rename_all = "kebab-case")]
pub enum Act {
    /// Tiles of a kind are laid, turned and flipped as a recipe says it; where that does not fit a
    /// cell, in the first way that does.
    Lay {
        /// The cells.
        cells: Vec<At>,
        /// The kind.
        kind: String,
        /// Degrees.
        turn: f64,
        /// Whether it is flipped first.
        flip: bool,
    },
    /// Tiles are turned clockwise, by so many of the steps that their cells take.
    Rotate {
        /// The cells.
        cells: Vec<At>,
        /// Steps; below 0 the other way round.
        steps: i32,
    },
    /// Tiles are turned over.
    Flip {
        /// The cells.
        cells: Vec<At>,
    },
    /// Two tiles change places.
    Swap {
        /// One cell.
        one: At,
        /// The other.
        other: At,
    },
    /// Tiles that were laid by hand are given back to the rules.
    GiveBack {
        /// The cells.
        cells: Vec<At>,
    },
    /// The tiles that were laid become a block that is repeated over the whole panel. It must be
    /// the only edit.
    Repeat {
        /// Columns and courses of the block.
        size: At,
        /// By how many columns each repeat lies further right than the one above it.
        #[serde(default)]
        shift: i32,
        /// Which way every other repeat is mirrored.
        #[serde(default)]
        mirror: Mirror,
    },
}

/// Which way every other repeat is its neighbour's mirror image.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mirror {
    /// None is.
    #[default]
    None,
    /// Left for right.
    Across,
    /// Top for bottom.
    Down,
    /// Both ways.
    Both,
}

/// The images of a tile to which the same is done, about the middle of the panel, or the point nearest to it about
/// which there are more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Brush {
    /// None: the tile alone.
    #[default]
    One,
    /// Mirrored left for right.
    LeftRight,
    /// Mirrored top for bottom.
    TopBottom,
    /// Mirrored both ways.
    Both,
    /// By a half turn.
    HalfTurn,
    /// By quarter turns.
    QuarterTurn,
    /// By thirds of a turn.
    ThirdTurn,
    /// By sixths of a turn.
    SixthTurn,
    /// Mirrored in the line that falls to the right, at 45 degrees.
    Diagonal,
}

impl Brush {
    /// Those with images, each in a maker's words.
    pub(super) const ALL: [(Self, &'static str); 8] = [
        (Self::LeftRight, "mirrored left and right"),
        (Self::TopBottom, "mirrored top and bottom"),
        (Self::Both, "mirrored both ways"),
        (Self::HalfTurn, "the same after a half turn"),
        (Self::QuarterTurn, "the same after quarter turns"),
        (Self::ThirdTurn, "the same after thirds of a turn"),
        (Self::SixthTurn, "the same after sixths of a turn"),
        (Self::Diagonal, "mirrored in the diagonal"),
    ];

    /// The moves that lead to the images, without the one that leaves all where it is.
    pub(super) fn moves(self) -> Vec<Isometry> {
        let turns = |n: i32| {
            let step = 360.0 / f64::from(n);
            (1..n)
                .map(move |k| Isometry::turn(step * f64::from(k)))
                .collect()
        };
        match self {
            Self::One => Vec::new(),
            Self::LeftRight => vec![Isometry::mirror(90.0)],
            Self::TopBottom => vec![Isometry::mirror(0.0)],
            Self::Both => vec![
                Isometry::mirror(90.0),
                Isometry::mirror(0.0),
                Isometry::turn(180.0),
            ],
            Self::HalfTurn => turns(2),
            Self::QuarterTurn => turns(4),
            Self::ThirdTurn => turns(3),
            Self::SixthTurn => turns(6),
            Self::Diagonal => vec![Isometry::mirror(45.0)],
        }
    }
}
