//! Filling cells by rules: what must hold, and a filling for which it does.
//!
//! A problem is given in numbers: cells from 0, and for each cell the looks that it can take. Rules
//! are about pairs of cells, lines of cells, counts, and symmetry. The solver is exact: it
//! finds a filling that keeps every rule, or proves that there is none and names rules that
//! contradict each other, or stops at a stated number of conflicts (a count, not a clock, so that
//! it stops at the same place on every machine). The same seed gives the same filling.
//!
//! It does not optimise: all fillings that keep the rules are equally good.

use std::sync::Arc;

mod check;
mod clauses;
mod encode;
mod solve;

pub use solve::{Limits, SolveResult, solve};

/// A look, by a number that means the same in all cells.
pub type LookNumber = u32;

/// A rule with the words by which a message calls it.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedRule {
    /// What it asks for, as a maker says it: `lines run on through every joint`.
    pub name: String,
    /// The rule.
    pub rule: CellRule,
}

/// What must hold.
#[derive(Debug, Clone, PartialEq)]
pub enum CellRule {
    /// The looks of some pairs of cells must be among those listed.
    Pairs(Vec<PairRule>),
    /// The two cells of each pair must not have looks of the same sort.
    Differ {
        /// Pairs of cells.
        pairs: Vec<(usize, usize)>,
        /// The sort of each look, by its number.
        sort: Vec<u32>,
    },
    /// No more than so many cells in a row have looks of the same sort.
    Runs {
        /// Lines of cells in order.
        lines: Vec<Vec<usize>>,
        /// The longest run.
        most: usize,
        /// The sort of each look, by its number.
        sort: Vec<u32>,
    },
    /// The number of cells that have one of these looks is within bounds.
    Count {
        /// The looks.
        looks: Vec<LookNumber>,
        /// The least number of cells.
        least: usize,
        /// The greatest.
        most: usize,
    },
    /// Each cell's look is that of another one, turned or mirrored.
    Mirrored {
        /// Cells, each with the one whose image it is.
        images: Vec<(usize, usize)>,
        /// What each look becomes; none where that is a look that there is not.
        becomes: Vec<Option<LookNumber>>,
    },
}

/// Which looks two cells may have together.
#[derive(Debug, Clone, PartialEq)]
pub struct PairRule {
    /// One cell.
    pub one: usize,
    /// The other; may be the same.
    pub other: usize,
    /// The pairs of looks that are allowed; rules of many pairs of cells share them.
    pub allowed: Arc<[(LookNumber, LookNumber)]>,
}

/// Cells, what each can take, and the rules.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Problem {
    /// For each cell the looks that it can take.
    pub options: Vec<Vec<LookNumber>>,
    /// The rules.
    pub rules: Vec<NamedRule>,
}

/// A look for each cell.
pub type CellLooks = Vec<LookNumber>;
