//! What a search has still to decide: how often each pattern may be used, how many bars there may be, and
//! which cutting planes hold beside the rows of the parts.

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
    /// Cutting planes that hold beside the rows of the parts.
    pub cuts: Vec<CuttingPlane>,
}

/// A row: the weighted sum of all patterns and bars is at least some number.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct CuttingPlane {
    /// The weight of each open pattern, at least 0.
    pub counts: Vec<i64>,
    /// The weight of a bar of each need and length.
    pub bars: Vec<Vec<i64>>,
    /// The sum is at least this.
    pub least: i64,
    /// A part, and about how many slices of it one count stands for.
    pub part: usize,
    pub slices: f64,
}

/// An answer in fractions of boards (of the linear relaxation).
pub(super) struct Parts {
    /// How often each open pattern is used.
    pub times: Vec<f64>,
    /// How many bars of each need and length there are.
    pub bars: Vec<Vec<f64>>,
}
