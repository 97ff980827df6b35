//! What each board can become: along which side it is ripped, how it is cut across, which strips
//! lie side by side in it.
//!
//! The rules of this model, so that its optimum can be read rightly: all blanks of one board have
//! one length, the fewest equal ones that are no longer than the shop's longest bar; a blank gives
//! strips of one kind, or of two kinds in two runs; each blank of a bare board can become another
//! sheet, where they are of one plywood.

use std::collections::BTreeMap;

use crate::plan::{
    count::lay::Run,
    count::sheets::SheetKind,
    count::strips::{Kinds, SAME},
    saw::{
        SawLimits,
        ways::{self, pair_way, way},
    },
    scraps::{Cross, Lot, Way, WayRun},
    shop::{Board, BoardGrain, Shop},
};
use crate::stock::{Colour, Grain};
use crate::watch;

/// How far a board's own thickness may be from the recipe's plywood, in mm: makers sell 18 mm
/// boards that measure 17.7 mm.
const THICKNESS_SLACK: f64 = 0.5;

/// With more ways than this, boards with two kinds of strips are left out of the comparison.
const MOST_WAYS: usize = 3000;

/// Strips of one run in a blank.
#[derive(Debug, Clone, PartialEq)]
pub struct BlankRun {
    /// How they lie.
    pub run: Run,
    /// The way they are ripped.
    pub way: ways::Way,
    /// Which rip kinds the odd and the even strips are.
    pub rips: [usize; 2],
    /// The most that lie in one blank.
    pub most: u64,
}

/// One manner of cutting a board across.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossPlan {
    /// Which lot of boards.
    pub lot: usize,
    /// The plywood's thickness, in mm.
    pub plywood: f64,
    /// The first sheet that is made of such a board.
    pub board: usize,
    /// Whether strips run along the board's length (else along its width).
    pub along_length: bool,
    /// Side of the board along the strips, in mm.
    pub length: f64,
    /// Side of the board across the strips, in mm.
    pub width: f64,
    /// How many blanks it is cut across into.
    pub blanks: u64,
    /// Their length, in mm.
    pub blank_length: f64,
    /// Slices that a bar of this length gives.
    pub slices: u64,
}

/// One manner of ripping a blank.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPlan {
    /// Which manner of cutting across it comes from.
    pub cross: usize,
    /// Which sheet it becomes.
    pub sheet: usize,
    /// The strips.
    pub runs: Vec<BlankRun>,
    /// Veneers that are still to be glued on.
    pub veneers: Vec<Colour>,
}

/// Boards that are alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardLot {
    /// Indices into the shop's boards.
    pub boards: Vec<usize>,
    /// How many boards altogether; none where as many as needed can be had.
    pub count: Option<u64>,
}

/// Why a board is of no use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Useless {
    /// It fits none of the sheets: thickness, wood or veneers.
    OtherSheet,
    /// Shorter than what is safe to rip.
    TooShort,
    /// Gives no slice, or is narrower than one strip.
    TooSmall,
}

/// All that the stock can become.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cuts {
    /// Boards, alike ones together.
    pub lots: Vec<BoardLot>,
    /// The manners of cutting boards across.
    pub crosses: Vec<CrossPlan>,
    /// The manners of ripping their blanks.
    pub plans: Vec<CutPlan>,
    /// Lots that are of no use, and why.
    pub useless: Vec<(usize, Useless)>,
    /// Whether boards with strips of two kinds were left out because there are too many.
    pub one_kind_only: bool,
}

/// Slices of a bar of some length: floor((L - trim + k) / (h + k)).
#[must_use]
pub fn slices_of(shop: &Shop, length: f64) -> u64 {
    let s = &shop.slicing;
    let room = length - s.end_trim + s.kerf;
    // A millionth more, so that rounding loses no slice that fits just so.
    floor((room + 1e-6) / (s.thickness + s.kerf))
}

/// Length that a bar of so many slices needs.
#[must_use]
pub fn length_of(shop: &Shop, slices: u64) -> f64 {
    let s = &shop.slicing;
    let n = slices as f64;
    n * s.thickness + (n - 1.0).max(0.0) * s.kerf + s.end_trim
}

impl Cuts {
    /// All ways to cut a shop's boards for these kinds.
    #[must_use]
    pub fn of(kinds: &Kinds, shop: &Shop) -> Self {
        let mut cuts = Self {
            lots: lots(&shop.boards),
            ..Self::default()
        };
        let limits = shop.saw_limits();
        let runs: Vec<Vec<(ways::Way, [usize; 2])>> = (0..kinds.sheets.len())
            .map(|sheet| runs(kinds, sheet, &limits))
            .collect();
        let boards: Vec<usize> = (kinds.sheets.iter())
            .map(|kind| {
                kinds
                    .sheets
                    .iter()
                    .position(|k| k.shares_board(kind))
                    .unwrap_or_default()
            })
            .collect();
        let mut two_kinds = Vec::new();
        for lot in 0..cuts.lots.len() {
            let board = &shop.boards[cuts.lots[lot].boards[0]];
            let before = cuts.plans.len();
            let mut why = Useless::OtherSheet;
            for (sheet, kind) in kinds.sheets.iter().enumerate() {
                let Some(veneers) = veneers_to_glue(board, kind) else {
                    continue;
                };
                for along_length in directions(board, kind, shop) {
                    let frame = match frame(board, lot, (boards[sheet], kind), along_length, shop) {
                        Ok(frame) => frame,
                        Err(useless) => {
                            why = why.max(useless);
                            continue;
                        }
                    };
                    let width = frame.width - shop.cutting.edge_trim;
                    let cross = cuts.cross(frame);
                    let plan = |runs| CutPlan {
                        cross,
                        sheet,
                        runs,
                        veneers: veneers.clone(),
                    };
                    for (way, rips) in &runs[sheet] {
                        watch::ask();
                        let most = way.run.most(width);
                        if most > 0 {
                            cuts.plans.push(plan(vec![BlankRun::of(way, rips, most)]));
                        } else {
                            why = why.max(Useless::TooSmall);
                        }
                    }
                    for pair in side_by_side(&runs[sheet], width) {
                        watch::ask();
                        two_kinds.push(plan(pair));
                    }
                }
            }
            if cuts.plans.len() == before {
                cuts.useless.push((lot, why));
            }
        }
        if cuts.plans.len() + two_kinds.len() <= MOST_WAYS {
            cuts.plans.append(&mut two_kinds);
        } else {
            cuts.one_kind_only = !two_kinds.is_empty();
        }
        cuts
    }

    /// The number of a manner of cutting across, new or known.
    fn cross(&mut self, frame: CrossPlan) -> usize {
        // The pieces of one lot lie together, at the end.
        let known = self
            .crosses
            .iter()
            .rposition(|c| *c == frame)
            .filter(|&i| self.crosses[i].lot == frame.lot);
        known.unwrap_or_else(|| {
            self.crosses.push(frame);
            self.crosses.len() - 1
        })
    }

    /// The lots, crosses and ways as whole numbers.
    #[must_use]
    pub fn numbers(&self, kinds: &Kinds, shop: &Shop) -> (Vec<Lot>, Vec<Cross>, Vec<Way>) {
        let lots = self
            .lots
            .iter()
            .map(|lot| {
                let board = &shop.boards[lot.boards[0]];
                Lot {
                    count: lot.count,
                    area: floor(board.width * board.length + 0.5),
                }
            })
            .collect();
        let crosses = self
            .crosses
            .iter()
            .map(|cross| Cross {
                lot: cross.lot,
                blanks: cross.blanks,
            })
            .collect();
        let ways = self
            .plans
            .iter()
            .map(|plan| {
                let cross = &self.crosses[plan.cross];
                Way {
                    cross: plan.cross,
                    blanks: kinds.sheets[plan.sheet].plywoods,
                    slices: cross.slices,
                    runs: plan
                        .runs
                        .iter()
                        .flat_map(|r| way_runs(r, cross, kinds))
                        .collect(),
                }
            })
            .collect();
        (lots, crosses, ways)
    }
}

impl BlankRun {
    fn of(way: &ways::Way, rips: &[usize; 2], most: u64) -> Self {
        Self {
            run: way.run,
            way: *way,
            rips: *rips,
            most,
        }
    }

    /// Whether odd and even strips are of two kinds.
    #[must_use]
    pub fn is_mixed(&self) -> bool {
        self.rips[0] != self.rips[1]
    }
}

/// A run as whole numbers: two of them where odd and even strips are of two kinds.
fn way_runs(blank: &BlankRun, cross: &CrossPlan, kinds: &Kinds) -> Vec<WayRun> {
    let each = |rip: usize, strips: u64| WayRun {
        most: strips,
        yields: kinds.rips[rip].yields.clone(),
        area: floor(blank.run.pitch() * cross.blank_length + 0.5),
    };
    if blank.is_mixed() {
        vec![
            each(blank.rips[0], blank.most.div_ceil(2)),
            each(blank.rips[1], blank.most / 2),
        ]
    } else {
        vec![each(blank.rips[0], blank.most)]
    }
}

/// Boards that are alike but for their names, together, in the order of the first of each.
fn lots(boards: &[Board]) -> Vec<BoardLot> {
    let key = |b: &Board| {
        let bits = |v: Option<f64>| v.map(f64::to_bits);
        let grain = match b.grain {
            BoardGrain::Length => 0,
            BoardGrain::Width => 1,
            BoardGrain::Any => 2,
        };
        (
            (
                b.width.to_bits(),
                b.length.to_bits(),
                bits(b.thickness),
                b.wood,
            ),
            (
                b.face.clone(),
                b.back.clone(),
                grain,
                bits(b.price),
                b.count.is_none(),
            ),
        )
    };
    let mut known = BTreeMap::new();
    let mut lots: Vec<BoardLot> = Vec::new();
    for (i, board) in boards.iter().enumerate() {
        let lot = *known.entry(key(board)).or_insert_with(|| {
            lots.push(BoardLot {
                boards: vec![],
                count: board.count.map(|_| 0),
            });
            lots.len() - 1
        });
        lots[lot].boards.push(i);
        if let (Some(all), Some(count)) = (&mut lots[lot].count, board.count) {
            *all += u64::from(count);
        }
    }
    lots
}

/// The veneers that a board still needs to become this sheet; none where it cannot.
fn veneers_to_glue(board: &Board, kind: &SheetKind) -> Option<Vec<Colour>> {
    let thick = board
        .thickness
        .is_none_or(|t| (t - kind.plywood).abs() <= THICKNESS_SLACK);
    if !thick || board.wood.is_some_and(|wood| wood != kind.wood) {
        return None;
    }
    let bare = board.face.is_empty() && board.back.is_empty();
    if kind.plywoods > 1 && !bare {
        return None;
    }
    let side = |has: &[Colour], needs: &[Colour]| -> Option<Vec<Colour>> {
        if has == needs {
            Some(vec![])
        } else {
            has.is_empty().then(|| needs.to_vec())
        }
    };
    let as_it_lies = |face: &[Colour], back: &[Colour]| {
        let mut all = side(face, &kind.face)?;
        all.extend(&kind.between);
        all.extend(side(back, &kind.back)?);
        Some(all)
    };
    let ways = [
        as_it_lies(&board.face, &board.back),
        as_it_lies(&board.back, &board.face),
    ];
    ways.into_iter().flatten().min_by_key(Vec::len)
}

/// Along which sides a board may be ripped: true for its length.
fn directions(board: &Board, kind: &SheetKind, shop: &Shop) -> Vec<bool> {
    let any = shop.cutting.any_grain || kind.grain == Grain::None;
    let along = kind.grain != Grain::Across;
    match board.grain {
        BoardGrain::Any => vec![true, false],
        _ if any => vec![true, false],
        BoardGrain::Length => vec![along],
        BoardGrain::Width => vec![!along],
    }
}

/// How a board is cut across.
fn frame(
    board: &Board,
    lot: usize,
    (board_of, kind): (usize, &SheetKind),
    along_length: bool,
    shop: &Shop,
) -> Result<CrossPlan, Useless> {
    let (length, width) = if along_length {
        (board.length, board.width)
    } else {
        (board.width, board.length)
    };
    if length < shop.table_saw.shortest {
        return Err(Useless::TooShort);
    }
    let (bar, kerf) = (shop.cutting.bar_length, shop.table_saw.kerf);
    let mut blanks = floor(((length + kerf) / (bar + kerf) - 1e-9).ceil()).max(1);
    let mut blank_length = (length - (blanks - 1) as f64 * kerf) / blanks as f64;
    if blank_length < shop.table_saw.shortest && blanks > 1 {
        blanks -= 1;
        blank_length = bar.max(shop.table_saw.shortest);
    }
    let slices = slices_of(shop, blank_length);
    if slices == 0 {
        return Err(Useless::TooSmall);
    }
    Ok(CrossPlan {
        lot,
        plywood: kind.plywood,
        board: board_of,
        along_length,
        length,
        width,
        blanks,
        blank_length,
        slices,
    })
}

/// The ways that a sheet can be ripped: each kind of strip, and each pair of kinds that are each
/// other rolled over; safe ones only.
fn runs(kinds: &Kinds, sheet: usize, limits: &SawLimits) -> Vec<(ways::Way, [usize; 2])> {
    let may_flip = kinds.sheets[sheet].same_both_ways;
    let of_sheet: Vec<usize> = (0..kinds.rips.len())
        .filter(|&r| kinds.rips[r].sheet == sheet)
        .collect();
    let mut runs: Vec<(ways::Way, [usize; 2])> = of_sheet
        .iter()
        .filter_map(|&r| Some((way(kinds.rips[r].profile, may_flip, limits).ok()?, [r, r])))
        .collect();
    if !may_flip {
        for (i, &a) in of_sheet.iter().enumerate() {
            watch::ask();
            for &b in &of_sheet[i + 1..] {
                let over = kinds.rips[a].profile.rolled();
                let other = kinds.rips[b].profile;
                if (over.same(other, SAME) || over.same(other.mirrored(), SAME))
                    && let Ok(way) = pair_way(kinds.rips[a].profile, limits)
                {
                    runs.push((way, [a, b]));
                }
            }
        }
    }
    runs
}

/// Two runs of different strips side by side: for each number of the first, as many of the second
/// as still fit; only those where one more of the first would cost one of the second.
fn side_by_side(runs: &[(ways::Way, [usize; 2])], width: f64) -> Vec<Vec<BlankRun>> {
    let mut all = Vec::new();
    for (i, (first, first_rips)) in runs.iter().enumerate() {
        for (second, second_rips) in &runs[i + 1..] {
            let beside = |count: u64| {
                let (last, at) = first.run.strip(first.run.made(count) - 1);
                let beyond = at + last.pitch(second.run.odd, first.run.kerf) + first.run.spare;
                second.run.most(width - beyond)
            };
            let most = first.run.most(width);
            for count in 1..=most {
                watch::ask();
                let others = beside(count);
                if others == 0 {
                    break;
                }
                if count < most && beside(count + 1) == others {
                    continue;
                }
                all.push(vec![
                    BlankRun::of(first, first_rips, count),
                    BlankRun::of(second, second_rips, others),
                ]);
            }
        }
    }
    all
}

/// The whole part of a number that is not negative and far below 2^52.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "sizes of boards are bounded by the shop file"
)]
pub(super) fn floor(value: f64) -> u64 {
    value.floor().max(0.0) as u64
}
