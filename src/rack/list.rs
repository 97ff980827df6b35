//! The lists of a rack.

/// A list of a rack.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum List {
    /// Whole sheets.
    Sheet,
    /// Off-cuts.
    Scrap,
    /// Veneer leaves.
    Veneer,
    /// Strips.
    Strip,
    /// Glued bars.
    Bar,
    /// Tiles.
    Tile,
}

impl List {
    /// All, in the order in which they are told.
    pub const ALL: [Self; 6] = [
        Self::Sheet,
        Self::Scrap,
        Self::Veneer,
        Self::Strip,
        Self::Bar,
        Self::Tile,
    ];

    /// As the file calls it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sheet => "sheet",
            Self::Scrap => "scrap",
            Self::Veneer => "veneer",
            Self::Strip => "strip",
            Self::Bar => "bar",
            Self::Tile => "tile",
        }
    }
}
