//! Which boards to rip, and into what: the question as whole numbers, and its answer.
//!
//! Boards of a *lot* are cut across into *blanks*; a *pattern* is one manner of ripping a blank: into
//! which strips, and how many slices a bar of their length gives. A bar of n slices needs every part
//! from strips of n slices or more. The aims, one after the other:
//!
//! 1. if the stock does not suffice, the least wood short;
//! 2. the least stock taken (area of the boards that are ripped);
//! 3. of those, the least width cut up, to strips and to clean edges: no strip too many, rather few long
//!    ones than many short ones, each of which has its ends, and each sheet in as few blanks as can be.
//!
//! The answer says whether each aim is proven, and if not, between which bounds it lies.
//!
//! What this is not: geometry. Widths, lengths and kerfs are in the numbers already.

use std::collections::BTreeMap;

mod bars;
pub mod columns;
mod cutting_planes;
mod goals;
mod greedy;
mod leeway;
mod lots;
mod milp;
mod reduced_problem;
mod relaxed;
mod rows;
mod run;
mod solve;
mod subgradient;

pub use solve::choose;

/// A number of slices that must come from one kind of bar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Need {
    /// How many slices.
    pub slices: u64,
    /// The parts of one bar, and how many of each.
    pub parts: Vec<(usize, u64)>,
}

/// Boards of one kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StockItem {
    /// How many there are; none where as many as needed can be had.
    pub count: Option<u64>,
    /// Area of one, in square mm.
    pub area: u64,
}

/// One manner of cutting boards of a lot across.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Crosscut {
    /// Which lot.
    pub lot: usize,
    /// How many blanks one board gives, at least 1.
    pub blanks: u64,
}

/// Strips ripped side by side from a blank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PatternRun {
    /// The most strips that one blank gives.
    pub most: u64,
    /// The parts of one strip, and how many of each.
    pub yields: Vec<(usize, u64)>,
    /// What one strip and its cut take of the board's width, in thousandths of a mm.
    pub width: u64,
}

/// One manner of ripping a blank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutPattern {
    /// Which boards it comes from.
    pub cross: usize,
    /// How many blanks at a time: more than one where they are laminated to one another.
    pub blanks: u64,
    /// Slices of a bar as long as its strips.
    pub slices: u64,
    /// What cleaning and parting its sheets takes of the blanks' width each time, in thousandths of a mm.
    pub edges: u64,
    /// The strips, one run beside the other.
    pub runs: Vec<PatternRun>,
}

impl CutPattern {
    /// The parts that one blank gives at most, by their numbers, and how many of each.
    fn gives(&self) -> Vec<(usize, u64)> {
        let yields = self.runs.iter().flat_map(|run| {
            let each = run.yields.iter();
            each.map(|&(part, count)| (part, count * run.most))
        });
        let mut all: BTreeMap<usize, u64> = BTreeMap::new();
        for (part, count) in yields.filter(|(_, count)| *count > 0) {
            *all.entry(part).or_default() += count;
        }
        all.into_iter().collect()
    }
}

/// The question.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Problem {
    /// What is needed.
    pub needs: Vec<Need>,
    /// For each part, the area that one takes of a board at full length, in square mm: how much a
    /// missing one weighs.
    pub parts: Vec<u64>,
    /// Slices of the longest bar: missing parts are counted at this length.
    pub full: u64,
    /// The stock.
    pub lots: Vec<StockItem>,
    /// How it can be cut across.
    pub crosses: Vec<Crosscut>,
    /// How the blanks can be ripped.
    pub patterns: Vec<CutPattern>,
}

/// How a pattern is used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Use {
    /// Which pattern.
    pub pattern: usize,
    /// How many times.
    pub times: u64,
    /// Strips ripped in each of its runs, over all times together.
    pub strips: Vec<u64>,
}

/// How good an answer is known to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Proof {
    /// Nothing better exists.
    Optimal,
    /// The search stopped at a limit; nothing can be better than this.
    AtLeast(u64),
    /// Nothing better exists with the boards that were chosen; others were not compared.
    ForTheseBoards,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// What is ripped, in the order of the patterns.
    pub uses: Vec<Use>,
    /// Boards that are cut across in each manner.
    pub boards: Vec<u64>,
    /// For each need: bars by their number of slices, longest first, and how many of each.
    pub bars: Vec<Vec<(u64, u64)>>,
    /// For each part: how many are missing, counted at full length.
    pub short: Vec<u64>,
    /// Area of the boards taken, in square mm.
    pub taken: u64,
    /// What the strips, their cuts and the edges of sheets take of the width of boards, in thousandths of a mm.
    pub cut_up: u64,
    /// Of the area taken (of what is short, where something is).
    pub proof: Proof,
    /// Of what is cut up.
    pub second_proof: Proof,
}

/// How long to search for the best boards, in nodes of the search: not in seconds, so that the same
/// stock gives the same plan on any machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Nodes of one search; fewer where the stock is very varied. With none, the first answer is taken as it is.
    pub nodes: u64,
}

impl Effort {
    /// A first answer, at once: it may lack wood where a search would find enough.
    pub const FIRST: Self = Self { nodes: 0 };
}

impl Default for Effort {
    /// Enough to prove the optimum of usual stocks, within seconds for any.
    fn default() -> Self {
        Self { nodes: 4000 }
    }
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ChoiceError {
    /// The search for an optimum failed, or stopped before it had any answer.
    #[error("no pattern to cut this stock was found: {0}")]
    Search(String),
}

impl Problem {
    /// Whether the numbers of an answer add up: the stock suffices for what is ripped, what is
    /// ripped (and short) for the bars, and the bars for the slices.
    pub fn holds(&self, choice: &Choice) -> bool {
        self.stock_suffices(choice) && self.bars_suffice(choice) && self.parts_suffice(choice)
    }

    fn stock_suffices(&self, choice: &Choice) -> bool {
        for used in &choice.uses {
            let pattern = &self.patterns[used.pattern];
            let fits = |(run, &strips): (&PatternRun, &u64)| strips <= run.most * used.times;
            if !pattern.runs.iter().zip(&used.strips).all(fits) {
                return false;
            }
        }
        let mut taken = vec![0; self.lots.len()];
        for (cross, &boards) in self.crosses.iter().zip(&choice.boards) {
            taken[cross.lot] += boards;
        }
        let blanks = self.blanks(&choice.uses);
        let have = self.crosses.iter().zip(&choice.boards);
        have.zip(&blanks)
            .all(|((c, boards), blanks)| *blanks <= c.blanks * boards)
            && taken
                .iter()
                .zip(&self.lots)
                .all(|(&taken, lot)| lot.count.is_none_or(|count| taken <= count))
    }

    /// Blanks of each manner of cutting across that some uses take.
    pub fn blanks(&self, uses: &[Use]) -> Vec<u64> {
        let mut blanks = vec![0; self.crosses.len()];
        for used in uses {
            let pattern = &self.patterns[used.pattern];
            blanks[pattern.cross] += pattern.blanks * used.times;
        }
        blanks
    }

    /// Area of some boards, in square mm.
    pub fn area(&self, boards: &[u64]) -> u64 {
        let each = |(cross, boards): (&Crosscut, &u64)| self.lots[cross.lot].area * boards;
        self.crosses.iter().zip(boards).map(each).sum()
    }

    /// No answer of use takes more than this, in square mm.
    fn most_area(&self) -> u64 {
        let patterns = self.patterns.iter().zip(milp::most_of_all(self));
        let area = |(pattern, most): (&CutPattern, u64)| {
            let area = self.lots[self.crosses[pattern.cross].lot].area;
            area.saturating_mul(most).saturating_mul(pattern.blanks)
        };
        patterns.map(area).fold(0, u64::saturating_add)
    }

    fn bars_suffice(&self, choice: &Choice) -> bool {
        self.needs.iter().zip(&choice.bars).all(|(need, bars)| {
            bars.iter()
                .map(|(slices, count)| slices * count)
                .sum::<u64>()
                >= need.slices
        })
    }

    /// For every length, the parts of that length or longer suffice for the bars of that length or
    /// longer: then each bar finds its parts (longest bars first).
    fn parts_suffice(&self, choice: &Choice) -> bool {
        self.lengths().into_iter().all(|length| {
            (0..self.parts.len()).all(|part| {
                let made: u64 = choice
                    .uses
                    .iter()
                    .filter(|u| self.patterns[u.pattern].slices >= length)
                    .flat_map(|u| self.patterns[u.pattern].runs.iter().zip(&u.strips))
                    .map(|(run, strips)| strips * yielded(run, part))
                    .sum();
                let bought = if self.full >= length {
                    choice.short[part]
                } else {
                    0
                };
                let used: u64 = self
                    .needs
                    .iter()
                    .zip(&choice.bars)
                    .map(|(need, bars)| {
                        let each = count_of(&need.parts, part);
                        let long = bars.iter().filter(|(slices, _)| *slices >= length);
                        each * long.map(|(_, count)| count).sum::<u64>()
                    })
                    .sum();
                made + bought >= used
            })
        })
    }

    /// The lengths that bars can have, in slices, longest first.
    pub fn lengths(&self) -> Vec<u64> {
        let mut lengths: Vec<u64> = self.patterns.iter().map(|w| w.slices).collect();
        lengths.push(self.full);
        lengths.retain(|&l| l > 0);
        lengths.sort_unstable_by(|a, b| b.cmp(a));
        lengths.dedup();
        lengths
    }
}

pub(in crate::plan) fn yielded(run: &PatternRun, part: usize) -> u64 {
    count_of(&run.yields, part)
}

pub(in crate::plan) fn count_of(list: &[(usize, u64)], part: usize) -> u64 {
    list.iter()
        .filter(|(p, _)| *p == part)
        .map(|(_, count)| count)
        .sum()
}

/// The sum of so many of each.
fn total(counts: &[u64], each: &[u64]) -> u64 {
    counts.iter().zip(each).map(|(c, e)| c * e).sum()
}
