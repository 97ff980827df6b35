//! The lines of a plan about the stock: boards that are ripped, boards of no use, what is short.

use super::{
    BlankLine, BoardLine, RunLine, ShortLine, UselessLine,
    balance::{Blanks, Rest, blanks_ripped},
    cut::{BlankRun, CrossPlan, CutPlan, Cuts},
    labels::{colour_name, rip_label, sheet_label, strip_label},
    lines::{own_way, slices},
    strips::Kinds,
};
use crate::plan::{
    figure::{Figure, Sum, Unit},
    scraps::Choice,
    shop::Shop,
};

pub(super) fn blank(
    kinds: &Kinds,
    shop: &Shop,
    cross: &CrossPlan,
    plan: &CutPlan,
    blanks: &[Blanks],
    rest: Vec<Rest>,
) -> BlankLine {
    BlankLine {
        sheet: sheet_label(plan.sheet),
        veneers: plan.veneers.iter().map(|&c| colour_name(c, shop)).collect(),
        plywoods: kinds.sheets[plan.sheet].plywoods,
        count: blanks_ripped(blanks),
        runs: plan
            .runs
            .iter()
            .enumerate()
            .map(|(i, run)| RunLine {
                rips: if run.is_mixed() {
                    run.rips.iter().map(|&r| rip_label(r)).collect()
                } else {
                    vec![rip_label(run.rips[0])]
                },
                most: most(cross, plan, i, run, shop),
                ripped: blanks.iter().map(|b| b.count * b.strips[i]).sum(),
            })
            .collect(),
        rest,
    }
}

pub(super) fn board(
    shop: &Shop,
    cuts: &Cuts,
    plan: &CrossPlan,
    ripped: u64,
    from: u64,
    rip: Vec<BlankLine>,
    rest: Vec<Rest>,
) -> BoardLine {
    let count = ripped.div_ceil(plan.blanks);
    let example = &shop.boards[cuts.lots[plan.lot].boards[0]];
    let names = names_of(cuts, shop, plan.lot, from, count);
    let (bar, kerf) = (shop.cutting.bar_length, shop.table_saw.kerf);
    let full = plan.blank_length >= bar - 1e-9 && plan.length > bar + 1e-9;
    let blanks_why = if plan.blanks == 1 && !full {
        Sum::new()
            .length(plan.length)
            .text(" is no longer than a bar of ")
            .length(bar)
    } else {
        Sum::new()
            .text("(")
            .length(plan.length)
            .text(" + ")
            .length(kerf)
            .text(") / (")
            .length(bar)
            .text(" + ")
            .length(kerf)
            .text(if full {
                "), rounded down = "
            } else {
                "), rounded up = "
            })
            .count(plan.blanks)
    };
    let length_why = if plan.blanks == 1 || full {
        Sum::new().length(plan.blank_length)
    } else {
        Sum::new()
            .text("(")
            .length(plan.length)
            .text(" - ")
            .count(plan.blanks - 1)
            .text(" x ")
            .length(kerf)
            .text(") / ")
            .count(plan.blanks)
            .text(" = ")
            .length(plan.blank_length)
    };
    BoardLine {
        boards: names,
        count,
        width: example.width,
        length: example.length,
        along_length: plan.along_length,
        blanks_ripped: ripped,
        blanks: Figure::pieces(plan.blanks, blanks_why),
        blank_length: Figure::new(plan.blank_length, Unit::Length, length_why),
        slices: slices(shop, plan.blank_length, plan.slices),
        rip,
        rest,
    }
}

/// How many strips lie in a blank, with the sum.
fn most(cross: &CrossPlan, plan: &CutPlan, index: usize, blank: &BlankRun, shop: &Shop) -> Figure {
    let run = &blank.run;
    let beyond = run.lead + run.held;
    let why = if index == 0 && plan.runs.len() > 1 {
        Sum::new()
            .count(blank.most)
            .text(" side by side take ")
            .length(run.extent(blank.most))
            .text(" of ")
            .length(cross.width)
    } else if index == 0 {
        Sum::new()
            .text("1 + floor((")
            .length(cross.width)
            .text(" - ")
            .length(shop.cutting.edge_trim)
            .text(" edge - ")
            .length(run.odd.width())
            .text(" first")
            .length_if_any(" - ", beyond, " beyond")
            .text(") / ")
            .length(run.pitch())
            .text(" pitch)")
            .text(if run.in_pairs { ", in pairs = " } else { " = " })
            .count(blank.most)
    } else {
        Sum::new()
            .count(blank.most)
            .text(" in what is left beside, taking ")
            .length(run.extent(blank.most))
    };
    Figure::pieces(blank.most, why)
}

/// Names of the boards from number `from` of a lot on.
fn names_of(cuts: &Cuts, shop: &Shop, lot: usize, from: u64, count: u64) -> Vec<(String, u64)> {
    let mut names: Vec<(String, u64)> = Vec::new();
    let (mut skip, mut open) = (from, count);
    for &board in &cuts.lots[lot].boards {
        let board = &shop.boards[board];
        let have = board.count.map_or(u64::MAX, u64::from);
        let passed = skip.min(have);
        skip -= passed;
        let take = open.min(have - passed);
        open -= take;
        if take > 0 {
            match names.iter_mut().find(|(name, _)| *name == board.name) {
                Some((_, sum)) => *sum += take,
                None => names.push((board.name.clone(), take)),
            }
        }
    }
    names
}

pub(super) fn useless(cuts: &Cuts, shop: &Shop) -> Vec<UselessLine> {
    cuts.useless
        .iter()
        .map(|&(lot, why)| UselessLine {
            name: shop.boards[cuts.lots[lot].boards[0]].name.clone(),
            count: cuts.lots[lot].count.unwrap_or(1),
            why,
        })
        .collect()
}

pub(super) fn short(kinds: &Kinds, choice: &Choice, length: f64, shop: &Shop) -> Vec<ShortLine> {
    let mut lines = Vec::new();
    for (part, &missing) in choice.short.iter().enumerate() {
        if missing == 0 {
            continue;
        }
        let kind = &kinds.parts[part];
        let sheet = &kinds.sheets[kind.sheet];
        let rip = kinds
            .rips
            .iter()
            .find(|r| r.sheet == kind.sheet && r.yields.iter().any(|(p, _)| *p == part));
        let Some(rip) = rip else { continue };
        let each = rip
            .yields
            .iter()
            .find(|(p, _)| *p == part)
            .map_or(1, |(_, count)| *count);
        let strips = missing.div_ceil(each);
        let run = own_way(rip, sheet.same_both_ways, shop).run;
        let edge = shop.cutting.edge_trim;
        let width = edge + run.extent(strips);
        lines.push(ShortLine {
            strip: strip_label(part),
            sheet: sheet_label(kind.sheet),
            veneers: sheet.veneers().map(|c| colour_name(c, shop)).collect(),
            missing: Figure::pieces(missing, Sum::new().text("needed less what the stock gives")),
            length,
            width: Figure::new(
                width,
                Unit::Length,
                Sum::new()
                    .length(edge)
                    .text(" edge + ")
                    .length(rip.profile.width())
                    .text(" first + ")
                    .count(run.made(strips) - 1)
                    .text(" x ")
                    .length(run.pitch())
                    .text(" pitch")
                    .length_if_any(" + ", run.lead + run.held, " beyond")
                    .text(" = ")
                    .length(width),
            ),
        });
    }
    lines
}

pub(super) fn taken(boards: &[BoardLine]) -> Figure {
    let mut why = Sum::new();
    for (i, board) in boards.iter().enumerate() {
        why = why
            .text(if i == 0 { "" } else { " + " })
            .count(board.count)
            .text(" x ")
            .length(board.width)
            .text(" x ")
            .length(board.length);
    }
    let area: f64 = boards
        .iter()
        .map(|b| b.count as f64 * b.width * b.length)
        .sum();
    Figure::new(area, Unit::Area, why.text(" = ").area(area))
}
