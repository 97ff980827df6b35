//! Why arrangements cannot be explored.

use super::limits::MOST_CELLS;

/// Why arrangements of a repeat cannot be counted or listed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ExploreError {
    /// Nothing to turn.
    #[error("there is no tile to arrange")]
    NoTiles,
    /// A repeat without cells, or a large one.
    #[error("a repeat has 1 to {MOST_CELLS} cells, not {cells}")]
    Cells {
        /// How many were asked for.
        cells: usize,
    },
    /// Steps that do not span the plane.
    #[error("the steps of a repeat must lead in two directions")]
    Steps,
    /// A tile that fits no cell.
    #[error("a tile `{kind}` does not fit the cells, however it is turned or flipped")]
    Misfit {
        /// The kind of tile.
        kind: String,
    },
    /// Cells that do not repeat like that.
    #[error(
        "the cells of panel `{panel}` do not repeat every {columns} columns and {courses} courses{}",
        .instead.map_or(String::new(), |(c, r)| format!("; a repeat of {c}x{r} would"))
    )]
    Unrepeated {
        /// The panel.
        panel: String,
        /// Columns asked for.
        columns: i32,
        /// Courses asked for.
        courses: i32,
        /// The next larger repeat that would do.
        instead: Option<(i32, i32)>,
    },
    /// Tiles without courses.
    #[error(
        "the tiles of panel `{panel}` are placed one by one or lie in one course, so they have no lattice to tell"
    )]
    OneCourse {
        /// The panel.
        panel: String,
    },
    /// A panel too small to show its lattice.
    #[error(
        "panel `{panel}` is too small to tell its lattice for a repeat of {columns}x{courses}: it needs one column and one course more than the repeat"
    )]
    Small {
        /// The panel.
        panel: String,
        /// Columns asked for.
        columns: i32,
        /// Courses asked for.
        courses: i32,
    },
}
