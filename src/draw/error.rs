//! Why a picture cannot be made.

/// A picture that was asked for and cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DrawError {
    /// A width in pixels out of range.
    #[error(
        "a picture's width must be {least} to {most} pixels, not {width}",
        least = super::limits::NARROWEST,
        most = super::limits::WIDEST
    )]
    Width {
        /// What was asked for.
        width: u32,
    },
    /// A width that is in range, but gives too many pixels at this shape.
    #[error(
        "a picture of {width} x {height} pixels is too large; at this shape it can be {fits} pixels wide"
    )]
    TooLarge {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u64,
        /// The largest width that is not too large.
        fits: u32,
    },
    /// A shape so long and thin that no picture of it is of use.
    #[error("the drawing is too long and thin for a picture; write it as SVG")]
    TooThin,
    /// More shapes than the renderer takes.
    #[error("the drawing has too many tiles for a picture; write it as SVG, or draw fewer tiles")]
    TooManyShapes,
    /// Not a drawing that the renderer reads.
    #[error("the drawing cannot be read: {0}")]
    Unreadable(String),
    /// The renderer or encoder failed.
    #[error("the picture cannot be made: {0}")]
    Failed(String),
}
