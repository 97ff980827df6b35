//! What each board can become: along which side it is ripped, how it is cut across, which strips lie
//! side by side in its blanks.
//!
//! The rules of this model, so that its optimum can be read rightly: all blanks of one board have one
//! length, as long as their number leaves them and no longer than the shop's longest bar; there are no more
//! than two above the fewest that use the board to its end; a blank gives
//! any mix of strips, those of one laminated sheet side by side; sheets of one plywood lie side by side
//! in it. Where a stock is so varied that not all patterns can be listed, those that pay are found by
//! their price (`growing`).

pub use super::cross::{CrossPlan, Useless, length_of, slices_of};
use super::{
    cross::{Frame, LENGTHS_OF_BOARD, floor},
    lay::Run,
    lots::{BoardLot, directions, lots, veneers_to_glue},
    pattern::{Item, OpenBlank},
    ripped::SAME,
    sheets::SheetKind,
    strips::Kinds,
};
use crate::plan::{
    saw::{
        SawLimits,
        rip_method::{Handling, RipMethod, pair_method, rip_method},
    },
    scraps::{Crosscut, CutPattern, Need, PatternRun, StockItem, count_of},
    shop::Shop,
};
use crate::stock::Colour;
use crate::watch;

/// How many lengths of blanks are compared over all boards, as each makes the search larger. Each board has one at
/// least.
const MOST_LENGTHS: usize = 60;

/// How many patterns are listed over all blanks (with more the search takes minutes), and how many of each blank
/// at least.
const MOST_PATTERNS: usize = 400;
const LEAST_PATTERNS: usize = 3;

/// Widths in the search are whole numbers, in these parts of a mm.
const THOUSANDTHS: f64 = 1e3;

/// Strips of one run in a blank.
#[derive(Debug, Clone, PartialEq)]
pub struct BlankRun {
    /// How they lie.
    pub run: Run,
    /// How they are ripped.
    pub method: RipMethod,
    /// Which rip kinds the odd and the even strips are.
    pub rips: [usize; 2],
    /// The most that lie in one blank.
    pub most: u64,
}

/// What lies in a blank of one sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetSection {
    /// Which sheet it becomes.
    pub sheet: usize,
    /// How often it lies in the blank, to be laminated to one another.
    pub copies: u64,
    /// Veneers that are still to be glued on, from the face to the back.
    pub veneers: Vec<Colour>,
    /// The strips.
    pub runs: Vec<BlankRun>,
}

/// One manner of ripping a blank.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPlan {
    /// Which manner of cutting across it comes from.
    pub cross: usize,
    /// How many blanks at a time: more than one where they are laminated to one another.
    pub blanks: u64,
    /// The sheets side by side in it, from the left.
    pub sections: Vec<SheetSection>,
}

/// A blank and the sheets that it can become.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Blank {
    pub(super) cross: usize,
    /// How many at a time.
    pub(super) blanks: u64,
    pub(super) bench: OpenBlank,
    /// The veneers that each sheet still needs.
    veneers: Vec<(usize, Vec<Colour>)>,
    /// Which of the plans are its own.
    plans: Vec<usize>,
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
    /// Whether the plans are all patterns that can be of use.
    pub complete: bool,
    /// Whether boards are so many that not all lengths of blanks were compared.
    pub one_length: bool,
    pub(super) blanks: Vec<Blank>,
}

impl Cuts {
    /// All crosscuts and cut patterns of a shop's boards for these kinds, of which this much is needed.
    pub fn of(kinds: &Kinds, needs: &[Need], shop: &Shop) -> Self {
        let mut cuts = Self {
            lots: lots(&shop.boards),
            ..Self::default()
        };
        let limits = shop.saw_limits();
        let runs: Vec<Vec<(RipMethod, [usize; 2])>> = (0..kinds.sheets.len())
            .map(|sheet| runs(kinds, sheet, &limits))
            .collect();
        // The sheets that the blanks of each manner of cutting across can become.
        let mut become_of: Vec<Vec<(usize, Vec<Colour>)>> = Vec::new();
        let mut why = vec![Useless::OtherThickness; cuts.lots.len()];
        let lengths = (MOST_LENGTHS / cuts.lots.len().max(1)).clamp(1, LENGTHS_OF_BOARD);
        cuts.one_length = lengths < LENGTHS_OF_BOARD;
        for (lot, why) in why.iter_mut().enumerate() {
            let board = &shop.boards[cuts.lots[lot].boards[0]];
            for (sheet, kind) in kinds.sheets.iter().enumerate() {
                let veneers = match veneers_to_glue(board, kind) {
                    Ok(veneers) => veneers,
                    Err(useless) => {
                        *why = (*why).max(useless);
                        continue;
                    }
                };
                let shares = |other: &SheetKind| kind.shares_board(other);
                let board_of = kinds.sheets.iter().position(shares).unwrap_or(sheet);
                for along_length in directions(board, kind, shop) {
                    watch::ask();
                    let frame = Frame {
                        lot,
                        plywood: kind.plywood,
                        drawn: kind.drawn,
                        wood: kind.wood,
                        board_of,
                        along_length,
                    };
                    match frame.crosses(board, lengths, shop) {
                        Ok(crosses) => {
                            for cross in crosses {
                                let at = cuts.cross(cross);
                                become_of.resize(cuts.crosses.len(), Vec::new());
                                become_of[at].push((sheet, veneers.clone()));
                            }
                        }
                        Err(useless) => *why = (*why).max(useless),
                    }
                }
            }
        }
        let shortest = cuts.crosses.iter().map(|c| c.slices).min().unwrap_or(1);
        let most = |rip: usize| useful(kinds, needs, rip, shortest);
        for (cross, sheets) in become_of.iter().enumerate() {
            cuts.blanks_of(kinds, cross, sheets, &runs, &most, shop);
        }
        cuts.list();
        for cross in &cuts.crosses {
            why[cross.lot] = Useless::TooSmall;
        }
        let mut of_use = vec![false; cuts.lots.len()];
        for blank in &cuts.blanks {
            of_use[cuts.crosses[blank.cross].lot] = true;
        }
        let lots = why.into_iter().enumerate();
        cuts.useless = lots.filter(|(lot, _)| !of_use[*lot]).collect();
        cuts
    }

    /// The number of a manner of cutting across, new or known.
    fn cross(&mut self, frame: CrossPlan) -> usize {
        // Crosscuts of one lot follow one another, so only the last ones can be of this lot.
        let lot = frame.lot;
        let mut of_lot = (0..self.crosses.len()).rev();
        let known = of_lot
            .by_ref()
            .take_while(|&i| self.crosses[i].lot == lot)
            .find(|&i| self.crosses[i] == frame);
        known.unwrap_or_else(|| {
            self.crosses.push(frame);
            self.crosses.len() - 1
        })
    }

    /// The blanks of one manner of cutting across, by how many are laminated to one another.
    fn blanks_of(
        &mut self,
        kinds: &Kinds,
        cross: usize,
        sheets: &[(usize, Vec<Colour>)],
        runs: &[Vec<(RipMethod, [usize; 2])>],
        most: &dyn Fn(usize) -> u64,
        shop: &Shop,
    ) {
        let mut at_a_time: Vec<u64> = sheets.iter().map(|s| kinds.sheets[s.0].plywoods).collect();
        at_a_time.push(1);
        at_a_time.sort_unstable();
        at_a_time.dedup();
        for blanks in at_a_time {
            let mut items: Vec<(bool, Item)> = Vec::new();
            for (sheet, veneers) in sheets {
                let plywoods = kinds.sheets[*sheet].plywoods;
                if !plywoods.is_multiple_of(blanks) {
                    continue;
                }
                let bare = veneers.is_empty() && plywoods == 1;
                items.extend(runs[*sheet].iter().map(|(method, rips)| {
                    let of_rips =
                        most(rips[0]) + if rips[0] == rips[1] { 0 } else { most(rips[1]) };
                    let item = Item::new(*sheet, plywoods / blanks, *method, *rips, of_rips);
                    (bare, item)
                }));
            }
            // What is laminated comes first, then what falls free, then in the order of the angle of the cuts.
            items.sort_by(|(bare, a), (last, b)| {
                let free = |i: &Item| i.method.handling != Handling::Free;
                let lean = |i: &Item| i.method.run.odd.angle_left();
                (bare, a.sheet, free(a))
                    .cmp(&(last, b.sheet, free(b)))
                    .then(lean(a).total_cmp(&lean(b)))
            });
            let mut bench = OpenBlank {
                items: items.into_iter().map(|(_, item)| item).collect(),
                width: self.crosses[cross].width,
                trim: shop.cutting.edge_trim,
                kerf: shop.table_saw.kerf,
                narrowest: shop.cutting.narrowest_board,
            };
            let alone: Vec<u64> = (0..bench.items.len()).map(|i| bench.alone(i)).collect();
            for (item, alone) in bench.items.iter_mut().zip(alone) {
                item.most = alone;
            }
            bench.items.retain(|item| item.most > 0);
            if !bench.items.is_empty() {
                self.blanks.push(Blank {
                    cross,
                    blanks,
                    bench,
                    veneers: sheets.to_vec(),
                    plans: Vec::new(),
                });
            }
        }
    }

    /// Lists the patterns of all blanks. Where these are too many, those that column generation starts from: for each
    /// kind as many strips as fit alone, or where even that is too many, those of the first kind.
    fn list(&mut self) {
        let limit = (MOST_PATTERNS / self.blanks.len().max(1)).max(LEAST_PATTERNS);
        self.complete = true;
        for blank in 0..self.blanks.len() {
            watch::ask();
            let bench = &self.blanks[blank].bench;
            let all = bench.maximal(limit);
            self.complete &= all.is_some();
            let kinds = bench.items.len();
            let alone = || {
                let some = if kinds > limit { 1 } else { kinds };
                (0..some).map(|i| {
                    let mut counts = vec![0; kinds];
                    counts[i] = bench.items[i].most;
                    counts
                })
            };
            let patterns = all.unwrap_or_else(|| alone().collect());
            for counts in patterns {
                self.add(blank, &counts);
            }
        }
    }

    /// The plan of a pattern, and whether it is new; none of an empty one.
    pub(super) fn add(&mut self, blank: usize, counts: &[u64]) -> Option<(usize, bool)> {
        let of = &self.blanks[blank];
        let mut sections: Vec<SheetSection> = Vec::new();
        for (item, &most) in of.bench.items.iter().zip(counts) {
            if most == 0 {
                continue;
            }
            if sections.last().is_none_or(|s| s.sheet != item.sheet) {
                let veneers = of.veneers.iter().find(|(sheet, _)| *sheet == item.sheet);
                sections.push(SheetSection {
                    sheet: item.sheet,
                    copies: item.copies,
                    veneers: veneers.map_or_else(Vec::new, |(_, v)| v.clone()),
                    runs: Vec::new(),
                });
            }
            let section = sections.last_mut().expect("invariant: one was added");
            section.runs.push(BlankRun {
                run: item.method.run,
                method: item.method,
                rips: item.rips,
                most,
            });
        }
        let plan = CutPlan {
            cross: of.cross,
            blanks: of.blanks,
            sections,
        };
        if plan.sections.is_empty() {
            return None;
        }
        let known = of.plans.iter().find(|&&p| self.plans[p] == plan);
        if let Some(&known) = known {
            return Some((known, false));
        }
        self.blanks[blank].plans.push(self.plans.len());
        self.plans.push(plan);
        Some((self.plans.len() - 1, true))
    }

    /// The lots, crosscuts and cut patterns as whole numbers.
    pub fn numbers(
        &self,
        kinds: &Kinds,
        shop: &Shop,
    ) -> (Vec<StockItem>, Vec<Crosscut>, Vec<CutPattern>) {
        let lots = self
            .lots
            .iter()
            .map(|lot| {
                let board = &shop.boards[lot.boards[0]];
                StockItem {
                    count: lot.count,
                    area: floor(board.width * board.length + 0.5),
                }
            })
            .collect();
        let crosses = self
            .crosses
            .iter()
            .map(|cross| Crosscut {
                lot: cross.lot,
                blanks: cross.blanks,
            })
            .collect();
        let patterns = self
            .plans
            .iter()
            .map(|plan| self.pattern(kinds, plan, shop))
            .collect();
        (lots, crosses, patterns)
    }

    pub(super) fn pattern(&self, kinds: &Kinds, plan: &CutPlan, shop: &Shop) -> CutPattern {
        let cross = &self.crosses[plan.cross];
        let runs = plan.sections.iter().flat_map(|section| {
            let boards = kinds.sheets[section.sheet].plywoods as f64;
            section
                .runs
                .iter()
                .flat_map(move |r| way_runs(r, boards, kinds))
        });
        let boards = |s: &SheetSection| kinds.sheets[s.sheet].plywoods as f64;
        let edge = shop.cutting.edge_trim + shop.table_saw.kerf;
        let edges = plan.sections.iter().map(boards).sum::<f64>() * edge;
        CutPattern {
            cross: plan.cross,
            blanks: plan.blanks,
            slices: cross.slices,
            edges: floor(edges * THOUSANDTHS + 0.5),
            runs: runs.collect(),
        }
    }
}

impl BlankRun {
    /// Whether odd and even strips are of two kinds.
    pub fn is_mixed(&self) -> bool {
        self.rips[0] != self.rips[1]
    }
}

/// A run as whole numbers: two of them where odd and even strips are of two kinds.
fn way_runs(blank: &BlankRun, boards: f64, kinds: &Kinds) -> Vec<PatternRun> {
    let each = |rip: usize, strips: u64| PatternRun {
        most: strips,
        yields: kinds.rips[rip].yields.clone(),
        width: floor(blank.run.pitch() * boards * THOUSANDTHS + 0.5),
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

/// The runs that can be ripped safely from a sheet: of each kind of strip, and of each pair of kinds of which one is
/// the other rolled over.
fn runs(kinds: &Kinds, sheet: usize, limits: &SawLimits) -> Vec<(RipMethod, [usize; 2])> {
    let may_flip = kinds.sheets[sheet].same_both_ways;
    let of_sheet: Vec<usize> = (0..kinds.rips.len())
        .filter(|&r| kinds.rips[r].sheet == sheet)
        .collect();
    let mut runs: Vec<(RipMethod, [usize; 2])> = of_sheet
        .iter()
        .filter_map(|&r| {
            Some((
                rip_method(kinds.rips[r].profile, may_flip, limits).ok()?,
                [r, r],
            ))
        })
        .collect();
    if !may_flip {
        for (i, &a) in of_sheet.iter().enumerate() {
            watch::ask();
            for &b in &of_sheet[i + 1..] {
                let over = kinds.rips[a].profile.rolled();
                let other = kinds.rips[b].profile;
                if (over.same(other, SAME) || over.same(other.mirrored(), SAME))
                    && let Ok(method) = pair_method(kinds.rips[a].profile, limits)
                {
                    runs.push((method, [a, b]));
                }
            }
        }
    }
    runs
}

/// The most strips of a rip that can be of use: what all bars of that many slices take.
fn useful(kinds: &Kinds, needs: &[Need], rip: usize, slices: u64) -> u64 {
    let of_part = |part: usize| -> u64 {
        let of_need =
            |need: &Need| count_of(&need.parts, part) * need.slices.div_ceil(slices.max(1));
        needs.iter().map(of_need).sum()
    };
    let yields = kinds.rips[rip].yields.iter();
    let strips = |&(part, each): &(usize, u64)| of_part(part).div_ceil(each.max(1));
    yields.map(strips).max().unwrap_or(0)
}
