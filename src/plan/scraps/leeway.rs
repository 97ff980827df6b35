//! What a search has left open: how often each pattern may be used, how many bars there may be, and which
//! rows hold beside those of the parts.

/// How often a pattern may be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Range {
    pub pattern: usize,
    pub least: u64,
    pub most: u64,
}

/// What is open: the patterns by their lots, without those that are ruled out, and the least and the
/// most bars of each need and length.
#[derive(Debug, Clone)]
pub(super) struct Open {
    pub patterns: Vec<Range>,
    pub bars: Vec<Vec<(u64, u64)>>,
    /// Rows that hold beside those of the parts.
    pub cuts: Vec<CuttingPlane>,
}

/// Something that sums up to so much at least, over all patterns and bars.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct CuttingPlane {
    /// For each open pattern what it counts for, at least 0.
    pub counts: Vec<i64>,
    /// What a bar of each need and length counts for.
    pub bars: Vec<Vec<i64>>,
    /// All of it is at least this.
    pub least: i64,
    /// A part, and about how many slices of it one count stands for.
    pub part: usize,
    pub slices: f64,
}

/// An answer in parts of boards.
pub(super) struct Parts {
    /// How often each open pattern is used.
    pub times: Vec<f64>,
    /// How many bars of each need and length there are.
    pub bars: Vec<Vec<f64>>,
}
