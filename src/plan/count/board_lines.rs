//! The lines of a plan about the stock: boards that are ripped, boards of no use, what is short.

use super::{
    balance::Rest,
    blanks::{Blanks, Sheeted},
    cut::{CrossPlan, Cuts, Useless},
    labels::{colour_name, plain_name, rip_label, sheet_label, strip_label},
    lines::{own_rip_method, slices},
    model::{BlankLine, BoardLine, RunLine, ShortLine, UselessLine},
    strips::Kinds,
};
use crate::plan::{
    figure::{Figure, Sum, Unit},
    scraps::Choice,
    shop::{Board, Shop},
};

/// Thicknesses nearer than this, in mm, are told as one.
const SAME_THICKNESS: f64 = 0.01;

/// The lines of the blanks of one cut pattern, one for each sheet in them.
pub(super) fn blanks(
    kinds: &Kinds,
    shop: &Shop,
    alike: &[Blanks],
    rests: Vec<Rest>,
) -> Vec<BlankLine> {
    let Some(first) = alike.first() else {
        return Vec::new();
    };
    let sections = &first.plan.sections;
    let mut lines: Vec<BlankLine> = Vec::new();
    for section in sections {
        let groups: Vec<(&Blanks, &Sheeted)> = (alike.iter())
            .filter_map(|b| {
                let same = |s: &&Sheeted| s.section.sheet == section.sheet;
                Some((b, b.sheets.iter().find(same)?))
            })
            .collect();
        let Some((fullest, fullest_sheet)) = groups.first() else {
            continue;
        };
        let runs = section.runs.iter().enumerate().map(|(i, run)| {
            let counts = groups.iter().map(|(b, s)| b.count * s.counts[i]);
            RunLine {
                rips: if run.is_mixed() {
                    run.rips.iter().map(|&r| rip_label(r)).collect()
                } else {
                    vec![rip_label(run.rips[0])]
                },
                most: most(fullest, fullest_sheet, i, shop),
                ripped: counts.sum(),
            }
        });
        let runs: Vec<RunLine> = runs.filter(|r| r.ripped > 0).collect();
        lines.push(BlankLine {
            sheet: sheet_label(section.sheet),
            beside: sections
                .iter()
                .filter(|s| s.sheet != section.sheet)
                .map(|s| sheet_label(s.sheet))
                .collect(),
            veneers: section
                .veneers
                .iter()
                .map(|&c| colour_name(c, shop))
                .collect(),
            plywoods: kinds.sheets[section.sheet].plywoods,
            count: groups.iter().map(|(b, _)| b.count).sum(),
            runs,
            rest: Vec::new(),
        });
    }
    if let Some(last) = lines.last_mut() {
        last.rest = rests;
    }
    lines
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
    let kerf = shop.table_saw.kerf;
    let between = (plan.blanks - 1) as f64 * kerf;
    let equal = (plan.length - between) / plan.blanks as f64;
    let taken = plan.blanks as f64 * plan.blank_length + between;
    let blanks_why = Sum::new()
        .count(plan.blanks)
        .text(" x ")
        .length(plan.blank_length)
        .text(" + ")
        .count(plan.blanks - 1)
        .text(" x ")
        .length(kerf)
        .text(" = ")
        .length(taken)
        .text(" of ")
        .length(plan.length);
    let length_why = if (equal - plan.blank_length).abs() < 1e-9 {
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
    } else {
        Sum::new()
            .text("a bar of ")
            .length(plan.blank_length)
            .text(", no longer than its slices ask for")
    };
    let other = |t: &f64| (t - plan.drawn).abs() > SAME_THICKNESS;
    let other_thickness = example.thickness.filter(other);
    BoardLine {
        boards: names,
        count,
        width: example.width,
        length: example.length,
        other_thickness,
        planned_thickness: other_thickness.map(|_| plan.plywood),
        along_length: plan.along_length,
        blanks_ripped: ripped,
        blanks: Figure::pieces(plan.blanks, blanks_why),
        blank_length: Figure::new(plan.blank_length, Unit::Length, length_why),
        slices: slices(shop, plan.blank_length, plan.slices),
        rip,
        rest,
    }
}

/// How many strips a blank gives, with the sum: the most that it holds where there is one kind, else
/// those of the fullest.
fn most(blanks: &Blanks, sheet: &Sheeted, index: usize, shop: &Shop) -> Figure {
    let blank = &sheet.section.runs[index];
    let run = &blank.run;
    let trim = shop.cutting.edge_trim;
    let width = blanks.cross.width;
    let alone = blanks.plan.sections.len() == 1 && sheet.section.runs.len() == 1;
    let (count, why) = if alone && sheet.section.copies == 1 {
        let count = run.most(width - trim);
        let why = Sum::new()
            .text("1 + floor((")
            .length(width)
            .text(" - ")
            .length(trim)
            .text(" edge - ")
            .length(run.odd.width())
            .text(" first")
            .length_if_any(" - ", run.lead + run.held, " beyond")
            .text(") / ")
            .length(run.pitch())
            .text(" pitch)")
            .text(if run.in_pairs { ", in pairs = " } else { " = " })
            .count(count);
        (count, why)
    } else {
        let count = sheet.counts[index];
        let why = Sum::new()
            .count(count)
            .text(" side by side take ")
            .length(run.extent(count))
            .text(" of ")
            .length(width);
        (count, why)
    };
    Figure::pieces(count, why)
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
        .map(|&(lot, why)| {
            let board = &shop.boards[cuts.lots[lot].boards[0]];
            useless_board(board, cuts.lots[lot].count.unwrap_or(1), why, shop)
        })
        .collect()
}

/// A board that is of no use.
pub(super) fn useless_board(board: &Board, count: u64, why: Useless, shop: &Shop) -> UselessLine {
    let veneers = board.face.iter().chain(&board.back);
    UselessLine {
        name: board.name.clone(),
        count,
        why,
        thickness: board.thickness,
        wood: board.wood.map(plain_name),
        veneers: veneers.map(|&c| colour_name(c, shop)).collect(),
    }
}

/// Leaves whose colour no sheet has, each name once.
pub(super) fn unused_leaves(kinds: &Kinds, shop: &Shop) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for leaf in &shop.veneers {
        let wanted = kinds
            .sheets
            .iter()
            .any(|s| s.veneers().any(|c| c == leaf.colour));
        if !wanted && !names.contains(&leaf.name) {
            names.push(leaf.name.clone());
        }
    }
    names
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
        let run = own_rip_method(rip, sheet.same_both_ways, shop).run;
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
