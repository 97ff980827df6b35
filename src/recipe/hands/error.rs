//! What hands cannot do.

use crate::layout::{Cell, NumberedCell};

/// Why hands cannot do something.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// No such panel, or one without a lattice.
    #[error(
        "the tiles of this panel are placed one by one by the recipe: change their `place(...)` there"
    )]
    NoCells,
    /// A cell that is not there.
    #[error("the panel has no cell at {0}")]
    NoCell(Cell),
    /// A kind that was never sliced.
    #[error("the recipe slices no tiles named `{0}`")]
    NoKind(String),
    /// A tile of another shape than the cell.
    #[error("the tile `{kind}` does not fit at {cell}")]
    Misfit {
        /// The kind.
        kind: String,
        /// The cell.
        cell: NumberedCell,
    },
    /// Nothing can be turned.
    #[error("a tile fits this cell in one turn alone")]
    NoTurn,
    /// Nothing can be flipped.
    #[error("a tile that is turned over does not fit this cell")]
    NoFlip,
    /// Laid by what is not in the block.
    #[error(
        "the tile at {0} is laid by a repeat, or by a `lay` that computes its cells: change that in the text"
    )]
    Elsewhere(NumberedCell),
    /// A repeat that laid tiles do not say.
    #[error("what is laid does not agree with this repeat")]
    NoRepeat,
}
