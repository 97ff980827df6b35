//! Blanks as they are cut: the sheets side by side in each, and the strips of each sheet.
//!
//! A board that is to be laminated is cut off a blank first, as wide as its strips need; the rest of the
//! blank stays plain.
//! Lengths in mm; a blank's x runs across the strips.

use super::{
    cut::{BlankRun, CrossPlan, CutPlan, Cuts, SheetSection},
    lay::Run,
    side_by_side::{Lying, side_by_side},
};
use crate::plan::{
    scraps::{Choice, Use},
    shop::Shop,
};

/// A width that is left of a blank is cut off from this width on, in mm.
const WORTH_KEEPING: f64 = 20.0;

/// A sheet in a blank.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sheeted<'a> {
    pub(super) section: &'a SheetSection,
    /// Strips of each run.
    pub(super) counts: Vec<u64>,
    /// The strips as they lie, from the sheet's left edge.
    pub(super) strips: Vec<Lying>,
    /// Width of its board as it is laminated and ripped.
    pub(super) width: f64,
    /// The part of it that the strips take, with the last cut.
    pub(super) taken: f64,
}

/// Blanks that are cut alike.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Blanks<'a> {
    pub(super) plan: &'a CutPlan,
    pub(super) cross: &'a CrossPlan,
    /// How many sheets of each kind are made of them.
    pub(super) count: u64,
    /// Those that strips are ripped from, from the left.
    pub(super) sheets: Vec<Sheeted<'a>>,
    /// Width beyond the last sheet's board.
    pub(super) over: f64,
}

impl Sheeted<'_> {
    /// Strips ripped of each rip kind.
    pub(super) fn ripped(&self) -> impl Iterator<Item = usize> {
        let rip = |lying: &Lying| {
            let odd_or_even = usize::from(lying.number % 2 == 1);
            self.section.runs[lying.run].rips[odd_or_even]
        };
        self.strips.iter().map(rip)
    }
}

impl Blanks<'_> {
    /// How many blanks of the board they are.
    pub(super) fn of_board(&self) -> u64 {
        self.count * self.plan.blanks
    }
}

/// The blanks that a choice uses, for each cut pattern that it uses.
pub(super) fn blanks<'a>(cuts: &'a Cuts, choice: &Choice, shop: &Shop) -> Vec<Vec<Blanks<'a>>> {
    let of_use = |used: &Use| {
        let plan = &cuts.plans[used.pattern];
        let cross = &cuts.crosses[plan.cross];
        let groups = spread(plan, used).into_iter();
        let laid = groups.map(move |(count, strips)| laid(plan, cross, count, &strips, shop));
        laid.filter(|b| !b.sheets.is_empty()).collect()
    };
    choice.uses.iter().map(of_use).collect()
}

fn laid<'a>(
    plan: &'a CutPlan,
    cross: &'a CrossPlan,
    count: u64,
    strips: &[u64],
    shop: &Shop,
) -> Blanks<'a> {
    let (trim, kerf) = (shop.cutting.edge_trim, shop.table_saw.kerf);
    let mut counts = strips.iter();
    let mut sheets = Vec::new();
    for section in &plan.sections {
        let counts: Vec<u64> = counts.by_ref().take(section.runs.len()).copied().collect();
        if counts.iter().all(|&c| c == 0) {
            continue;
        }
        let runs: Vec<(&Run, u64)> = section
            .runs
            .iter()
            .map(|r| &r.run)
            .zip(counts.iter().copied())
            .collect();
        let (mut strips, filled) = side_by_side(&runs);
        for strip in &mut strips {
            strip.at += trim;
        }
        let taken = (trim + filled.freed(kerf)).max(shop.cutting.narrowest_board);
        sheets.push(Sheeted {
            section,
            counts,
            strips,
            width: taken,
            taken,
        });
    }
    let mut room = cross.width;
    if let Some((last, before)) = sheets.split_last_mut() {
        for sheet in before {
            room -= sheet.section.copies as f64 * (sheet.width + kerf);
        }
        room -= (last.section.copies - 1) as f64 * (last.width + kerf);
        last.taken = last.taken.min(room);
        let bare = last.section.veneers.is_empty() && plan.blanks * last.section.copies == 1;
        let kept = room - last.taken - kerf >= WORTH_KEEPING && !bare;
        last.width = if kept || last.section.copies > 1 {
            last.taken
        } else {
            room
        };
        room -= last.width;
    }
    Blanks {
        plan,
        cross,
        count,
        sheets,
        over: room,
    }
}

/// How the strips of a cut pattern are spread over its blanks: these are filled one after the other, so that what
/// is not ripped stays whole. Each entry is a number of blanks, and how many strips of each run they have.
fn spread(plan: &CutPlan, used: &Use) -> Vec<(u64, Vec<u64>)> {
    let blanks = used.times;
    let runs: Vec<&BlankRun> = plan.sections.iter().flat_map(|s| &s.runs).collect();
    let totals = strips_of_runs(&runs, used);
    // Blanks after which the number of strips changes: the last full one of each run, and the one after it.
    let mut borders = vec![0, blanks];
    for (run, total) in runs.iter().zip(&totals) {
        let full = total / run.most.max(1);
        borders.extend([full.min(blanks), (full + 1).min(blanks)]);
    }
    borders.sort_unstable();
    borders.dedup();
    let strips = |from: u64| {
        let of_run = |(run, total): (&&BlankRun, &u64)| {
            let open = total.saturating_sub(from * run.most).min(run.most);
            run.run.made(open)
        };
        runs.iter().zip(&totals).map(of_run).collect()
    };
    borders
        .windows(2)
        .map(|span| (span[1] - span[0], strips(span[0])))
        .collect()
}

/// Strips of each run. Those of a mixed run are counted together: as many pairs as its more frequent kind needs.
fn strips_of_runs(runs: &[&BlankRun], used: &Use) -> Vec<u64> {
    let mut strips = used.strips.iter();
    runs.iter()
        .map(|run| {
            let first = *strips.next().expect("invariant: a number for each run");
            if run.is_mixed() {
                let second = *strips.next().expect("invariant: two for a mixed run");
                mixed_total(run, first, second)
            } else {
                first
            }
        })
        .collect()
}

/// The fewest strips of a mixed run, filled blank after blank, that give so many odd and even ones.
fn mixed_total(run: &BlankRun, odd: u64, even: u64) -> u64 {
    let total_for = |wanted: u64, in_blank: u64, last: &dyn Fn(u64) -> u64| {
        if wanted == 0 || in_blank == 0 {
            return 0;
        }
        let full = (wanted - 1) / in_blank;
        full * run.most + last(wanted - full * in_blank)
    };
    let for_odd = total_for(odd, run.most.div_ceil(2), &|rest| 2 * rest - 1);
    let for_even = total_for(even, run.most / 2, &|rest| 2 * rest);
    for_odd.max(for_even)
}
