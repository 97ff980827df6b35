//! Counting back: from resolved panels to tiles, bars, strips, rips and boards, every number with
//! the sum it came from.
//!
//! [`count_back`] is a pure function of panels and a shop; several panels share one stock. Lengths in mm, areas in square mm,
//! volumes in cubic mm, masses in kg; labels (`A`, `S1`) name sheets and strips in the plan.

pub mod balance;
mod board_lines;
pub mod cost;
pub mod cut;
pub mod labels;
mod laid_out;
pub mod lay;
pub mod leaves;
mod lines;
pub mod ripped;
pub mod sheets;
pub mod strips;
pub mod veneers;

use serde::Serialize;

pub use laid_out::{RippedBlanks, RunAt};

use crate::layout::panel::Panel;
use crate::plan::{
    cautions,
    count::balance::{Balance, Rest, Supply},
    count::cost::Totals,
    count::cut::{CrossPlan, CutPlan, Cuts, Useless, length_of, slices_of},
    count::laid_out::laid_out,
    count::lay::Nesting,
    count::strips::Kinds,
    count::veneers::VeneerLine,
    figure::Figure,
    saw::{Refused, refusals::refused, ways::Handling},
    scraps::{self, Choice, ChoiceError, Effort, Need, Problem, Proof, Use},
    shop::Shop,
    units::Units,
};
use crate::watch;

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// Nothing to count.
    #[error("there are no tiles, so there is nothing to count back")]
    NoTiles,
    /// The longest bar gives no slice.
    #[error("a bar of {bar:.1} mm gives no slice of {slice:.1} mm after {trim:.1} mm for its ends")]
    NoSlices {
        /// The longest bar, in mm.
        bar: f64,
        /// Slice thickness, in mm.
        slice: f64,
        /// What the ends take, in mm.
        trim: f64,
    },
    /// Parts that no safe way leads to on this saw.
    #[error("{}", cautions::unsafe_parts(.0, Units::Metric))]
    Unsafe(Vec<Refused>),
    /// The search for boards failed.
    #[error(transparent)]
    Choice(#[from] ChoiceError),
}

/// Tiles of one kind.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TileLine {
    /// The kind's name.
    pub name: String,
    /// Tiles that stay whole in the panel.
    pub whole: u64,
    /// Tiles that the trim cuts into.
    pub trimmed: u64,
    /// Spare tiles to make beyond these.
    pub spare: Figure,
    /// Tiles to make altogether.
    pub needed: Figure,
}

/// Bars of one kind and length.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BarLength {
    /// How many bars.
    pub bars: u64,
    /// The length that they need, in mm.
    pub length: f64,
    /// Slices of each.
    pub slices: Figure,
}

/// Bars of one kind.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BarLine {
    /// The tiles sliced from it.
    pub tiles: Vec<String>,
    /// Its strips by label, and how many of each.
    pub strips: Vec<(String, u64)>,
    /// Bars by length, the longest first.
    pub lengths: Vec<BarLength>,
    /// All bars together.
    pub bars: Figure,
    /// Slices too many.
    pub surplus: u64,
}

/// A sheet that strips are ripped from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetLine {
    /// `A`, `B` and so on.
    pub label: String,
    /// In mm, veneers included.
    pub thickness: f64,
    /// Of each plywood in it, in mm.
    pub plywood: f64,
    /// How many plywoods.
    pub plywoods: u64,
    /// Plies of each.
    pub plies: usize,
    /// The wood of its first ply.
    pub wood: String,
    /// What each plywood is made of, from the face on: several where unlike plywoods are one board.
    pub made_of: Vec<PlyRun>,
    /// Veneers on the face, the outermost first.
    pub face: Vec<String>,
    /// Veneers on the back, the outermost first.
    pub back: Vec<String>,
    /// Veneers between plywoods.
    pub between: Vec<String>,
}

/// Plies of one wood, or a veneer between them, in a board.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlyRun {
    /// How many plies; 0 for a veneer.
    pub plies: usize,
    /// Their wood.
    pub wood: String,
    /// Of all of them, in mm.
    pub thickness: f64,
}

/// A strip as it goes into bars: what is needed of it and what the stock gives.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StripLine {
    /// `S1`, `S2` and so on.
    pub label: String,
    /// Its shape.
    pub shape: String,
    /// Its sheet.
    pub sheet: String,
    /// Needed for the bars.
    pub needed: Figure,
    /// Given by the boards.
    pub given: u64,
    /// Missing, counted at the longest bar's length.
    pub short: u64,
    /// Too many.
    pub surplus: u64,
}

/// A rip: a strip as it leaves the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RipLine {
    /// `R1`, `R2` and so on.
    pub label: String,
    /// Its shape.
    pub shape: String,
    /// Its sheet.
    pub sheet: String,
    /// Width on the face, in mm.
    pub face: f64,
    /// Width on the back, in mm.
    pub back: f64,
    /// Edge angles in degrees, left and right, in the wood at the face.
    pub edges: [f64; 2],
    /// How strips lie side by side.
    pub nesting: Nesting,
    /// How they are cut.
    pub handling: Handling,
    /// Width of board that each takes.
    pub pitch: Figure,
    /// Width of board that the first takes.
    pub first: Figure,
    /// How much wider it is ripped for the kerfs of further rips, in mm.
    pub widened: f64,
    /// How many further rips.
    pub further_rips: u64,
    /// Whether a further rip cannot be made up by a wider strip alone.
    pub loses_to_kerf: bool,
    /// The strips that one gives, and how many of each.
    pub gives: Vec<(String, u64)>,
    /// How many are ripped.
    pub count: u64,
}

/// Strips of one run on a board.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunLine {
    /// The rip, or the two that lie in turn.
    pub rips: Vec<String>,
    /// The most that lie side by side in a blank.
    pub most: Figure,
    /// How many are ripped from all blanks together.
    pub ripped: u64,
}

/// Blanks that are ripped alike.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BlankLine {
    /// The sheet that they become.
    pub sheet: String,
    /// Veneers to glue on before ripping.
    pub veneers: Vec<String>,
    /// How many boards are laminated to one another in each.
    pub plywoods: u64,
    /// How many such blanks.
    pub count: u64,
    /// The strips.
    pub runs: Vec<RunLine>,
    /// What is left of them.
    pub rest: Vec<Rest>,
}

/// Boards that are cut alike.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BoardLine {
    /// The boards by name, and how many of each.
    pub boards: Vec<(String, u64)>,
    /// How many boards.
    pub count: u64,
    /// In mm, as the shop names it.
    pub width: f64,
    /// In mm, as the shop names it.
    pub length: f64,
    /// Whether strips run along the length (else along the width).
    pub along_length: bool,
    /// Blanks that each is cut across into.
    pub blanks: Figure,
    /// How many blanks of all these boards are ripped; the others stay in one piece.
    pub blanks_ripped: u64,
    /// Their length.
    pub blank_length: Figure,
    /// Slices that a bar of this length gives.
    pub slices: Figure,
    /// How the blanks are ripped.
    pub rip: Vec<BlankLine>,
    /// What is left of the boards beside the blanks.
    pub rest: Vec<Rest>,
}

/// Boards that are of no use, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UselessLine {
    /// The first board's name.
    pub name: String,
    /// How many.
    pub count: u64,
    /// Why.
    pub why: Useless,
}

/// Strips that no stock gives.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShortLine {
    /// The strip.
    pub strip: String,
    /// Its sheet.
    pub sheet: String,
    /// Veneers that this sheet has, face and back.
    pub veneers: Vec<String>,
    /// How many are missing.
    pub missing: Figure,
    /// Length of each, in mm.
    pub length: f64,
    /// What would close it: width of board of this length, all strips side by side.
    pub width: Figure,
}

/// A shop plan's numbers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CountBack {
    /// The panels' names.
    pub panels: Vec<String>,
    /// Tiles, in the order of first use; so are all lists.
    pub tiles: Vec<TileLine>,
    /// Bars.
    pub bars: Vec<BarLine>,
    /// Sheets.
    pub sheets: Vec<SheetLine>,
    /// Strips as they go into bars.
    pub strips: Vec<StripLine>,
    /// Strips as they leave the sheet.
    pub rips: Vec<RipLine>,
    /// Boards to rip, in the order of the shop.
    pub boards: Vec<BoardLine>,
    /// Boards of no use.
    pub useless: Vec<UselessLine>,
    /// What the stock is short of; empty where it suffices.
    pub short: Vec<ShortLine>,
    /// Veneers to glue on.
    pub veneers: Vec<VeneerLine>,
    /// Glue, mass and cost.
    pub totals: Totals,
    /// Where the wood goes.
    pub balance: Balance,
    /// Area of the boards taken.
    pub taken: Figure,
    /// How good the choice of boards is known to be.
    pub proof: Proof,
    /// How good what is cut up of them is known to be.
    pub second_proof: Proof,
    /// Whether boards with strips of two kinds were not compared, because the stock is too varied.
    pub one_kind_only: bool,
    /// What the lines above are about.
    #[serde(skip)]
    pub kinds: Kinds,
    /// The blanks as they lie before they are ripped, in the order of the boards.
    #[serde(skip)]
    pub ripped: Vec<RippedBlanks>,
}

/// Counts panels back to what a shop has.
///
/// Where the stock does not suffice there is a plan all the same: it says what is missing, and the
/// rest holds once that is there.
///
/// # Errors
/// When there is nothing to count, no bar gives a slice, a part cannot be cut safely, or the search for
/// boards fails.
pub fn count_back(panels: &[&Panel], shop: &Shop) -> Result<CountBack, PlanError> {
    count_back_within(panels, shop, Effort::default())
}

/// The same with a given effort for the choice of boards.
///
/// # Errors
/// As [`count_back`].
pub fn count_back_within(
    panels: &[&Panel],
    shop: &Shop,
    effort: Effort,
) -> Result<CountBack, PlanError> {
    let kinds = Kinds::of(panels, shop.table_saw.kerf);
    if kinds.tiles.is_empty() {
        return Err(PlanError::NoTiles);
    }
    let full = slices_of(shop, shop.cutting.bar_length);
    if full == 0 {
        return Err(PlanError::NoSlices {
            bar: shop.cutting.bar_length,
            slice: shop.slicing.thickness,
            trim: shop.slicing.end_trim,
        });
    }
    let refused = refused(panels, &shop.saw_limits());
    if !refused.is_empty() {
        return Err(PlanError::Unsafe(refused));
    }
    let tiles: Vec<TileLine> = kinds.tiles.iter().map(|t| lines::tile(t, shop)).collect();
    let needed: Vec<u64> = kinds
        .bars
        .iter()
        .map(|bar| bar.tiles.iter().map(|&t| tiles[t].needed.count()).sum())
        .collect();
    let cuts = Cuts::of(&kinds, shop);
    let (lots, crosses, ways) = cuts.numbers(&kinds, shop);
    let problem = Problem {
        needs: kinds
            .bars
            .iter()
            .zip(&needed)
            .map(|(bar, &slices)| Need {
                slices,
                parts: bar.parts.clone(),
            })
            .collect(),
        parts: lines::weights(&kinds, shop),
        full,
        lots,
        crosses,
        ways,
    };
    let choice = scraps::choose(&problem, effort)?;

    let mut cut = CutUp::of(&kinds, &cuts, &choice, shop);
    let of_bars = balance::of_bars(&kinds, &mut cut.supply, &choice, &needed, shop);
    cut.balance.add(of_bars);
    let veneers = veneers::veneers(&cuts, &choice, shop);
    let totals = cost::totals(panels, &kinds, &cuts, &choice, &veneers, shop);
    Ok(CountBack {
        panels: panels.iter().map(|p| p.name.clone()).collect(),
        bars: lines::bars(&kinds, &choice, &needed, shop),
        strips: lines::strips(&kinds, &choice, &cut.given),
        rips: lines::rips(&kinds, &cut.ripped, shop),
        sheets: lines::sheets(&kinds),
        useless: board_lines::useless(&cuts, shop),
        short: board_lines::short(
            &kinds,
            &choice,
            length_of(shop, full).max(shop.cutting.bar_length),
            shop,
        ),
        taken: board_lines::taken(&cut.boards),
        tiles,
        boards: cut.boards,
        veneers,
        totals,
        balance: cut.balance,
        proof: choice.proof,
        second_proof: choice.second_proof,
        one_kind_only: cuts.one_kind_only,
        ripped: cut.laid_out,
        kinds,
    })
}

/// What comes of cutting boards up: from boards to parts.
struct CutUp {
    boards: Vec<BoardLine>,
    balance: Balance,
    /// Parts of each kind and length.
    supply: Vec<Supply>,
    /// Parts of each kind.
    given: Vec<u64>,
    /// Strips ripped of each rip kind.
    ripped: Vec<u64>,
    /// The blanks as they lie.
    laid_out: Vec<RippedBlanks>,
}

impl CutUp {
    fn of(kinds: &Kinds, cuts: &Cuts, choice: &Choice, shop: &Shop) -> Self {
        let mut all = Self {
            boards: Vec::new(),
            balance: Balance::default(),
            supply: Vec::new(),
            given: vec![0; kinds.parts.len()],
            ripped: vec![0; kinds.rips.len()],
            laid_out: Vec::new(),
        };
        let mut taken_of_lot: Vec<u64> = vec![0; cuts.lots.len()];
        for (index, cross) in cuts.crosses.iter().enumerate() {
            let mut lines = Vec::new();
            let mut blanks = 0;
            for used in &choice.uses {
                watch::ask();
                let plan = &cuts.plans[used.way];
                if plan.cross == index {
                    blanks += all.rip(kinds, cross, plan, used, shop, &mut lines);
                }
            }
            if blanks == 0 {
                continue;
            }
            let (account, rest) = balance::of_boards(cross, blanks, shop);
            all.balance.add(account);
            let from = &mut taken_of_lot[cross.lot];
            let board = board_lines::board(shop, cuts, cross, blanks, *from, lines, rest);
            *from += board.count;
            all.boards.push(board);
        }
        for supply in &all.supply {
            all.given[supply.part] += supply.count;
        }
        all
    }

    /// Rips blanks in one way; how many blanks of boards that takes.
    fn rip(
        &mut self,
        kinds: &Kinds,
        cross: &CrossPlan,
        plan: &CutPlan,
        used: &Use,
        shop: &Shop,
        lines: &mut Vec<BlankLine>,
    ) -> u64 {
        let sheet = &kinds.sheets[plan.sheet];
        let blanks = balance::spread(plan, used);
        let count = balance::blanks_ripped(&blanks);
        if count == 0 {
            return 0;
        }
        let ripped = balance::ripped(plan, &blanks);
        let boards = sheet.plywood * sheet.plywoods as f64;
        let (of_blanks, rest) =
            balance::of_blanks(cross, plan, &blanks, sheet.thickness, boards, shop);
        let (of_rips, given) = balance::of_rips(kinds, &ripped, cross, shop);
        // Strips and parts are on their way: only tiles count as parts in the end.
        for account in [of_blanks, of_rips] {
            self.balance.add(Balance {
                parts: 0.0,
                ..account
            });
        }
        self.supply.extend(given);
        for &(rip, strips) in &ripped {
            self.ripped[rip] += strips;
        }
        let board = self.boards.len();
        self.laid_out
            .extend(laid_out(board, cross, plan, &blanks, shop));
        lines.push(board_lines::blank(kinds, shop, cross, plan, &blanks, rest));
        count * sheet.plywoods
    }
}

impl CountBack {
    /// Whether the stock suffices: boards and veneer leaves.
    #[must_use]
    pub fn suffices(&self) -> bool {
        self.short.is_empty() && self.veneers.iter().all(|v| v.short == 0)
    }
}
