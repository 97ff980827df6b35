//! The lines of a plan's numbers. Lengths in mm, areas in square mm; labels (`A`, `S1`) name sheets and
//! strips in the plan.

use serde::Serialize;

use super::{
    balance::{Balance, Rest},
    cost::Totals,
    cut::Useless,
    in_hand::InHand,
    laid_out::{CutBlanks, RippedBlanks},
    lay::Nesting,
    strips::Kinds,
    veneers::VeneerLine,
};
use crate::plan::{figure::Figure, loaf::slices::Loaf, saw::rip_method::Handling, scraps::Proof};

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

/// Loaves that are alike: bars glued to one another and sliced together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LoafLine {
    /// `loaf 1` and so on.
    pub name: String,
    /// Its bars by the first tile sliced from each, and how many.
    pub bars: Vec<(String, u64)>,
    /// How high it is on its wider side, in mm.
    pub height: f64,
    /// Slices to make of it, spare ones included.
    pub needed: Figure,
    /// Loaves by length, the longest first: `bars` are how many loaves.
    pub lengths: Vec<BarLength>,
    /// The loaf.
    #[serde(skip)]
    pub loaf: Loaf,
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
    /// Other sheets that lie side by side with it in the same blanks.
    pub beside: Vec<String>,
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
    /// Its thickness where it is not that of the recipe's plywood, in mm.
    pub other_thickness: Option<f64>,
    /// Where that is so, the thickness that all steps and sizes are for, in mm: the mean of the boards that share bars,
    /// or the recipe's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planned_thickness: Option<f64>,
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
    /// Its thickness, in mm, where the shop says it.
    pub thickness: Option<f64>,
    /// Its wood, where the shop says it.
    pub wood: Option<String>,
    /// The veneers that are on it.
    pub veneers: Vec<String>,
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
    /// Loaves that the bars are glued to; none where each is sliced by itself.
    pub loaves: Vec<LoafLine>,
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
    /// Veneer leaves of the shop whose colour no sheet has.
    pub unused_leaves: Vec<String>,
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
    /// Whether boards are so many that fewer lengths of blanks were compared.
    pub one_length: bool,
    /// What the lines above are about.
    #[serde(skip)]
    pub kinds: Kinds,
    /// What is in hand of each kind of bar, and used.
    #[serde(skip)]
    pub in_hand: Vec<InHand>,
    /// The blanks as they come off the boards, in the order of these.
    #[serde(skip)]
    pub blanks: Vec<CutBlanks>,
    /// What is ripped of them.
    #[serde(skip)]
    pub ripped: Vec<RippedBlanks>,
}

impl CountBack {
    /// How many strips are missing.
    pub(super) fn missing(&self) -> u64 {
        self.short.iter().map(|s| s.missing.count()).sum()
    }

    /// Whether the stock suffices: boards and veneer leaves.
    pub fn suffices(&self) -> bool {
        self.short.is_empty() && self.veneers.iter().all(|v| v.short == 0 && !v.none_there)
    }
}
