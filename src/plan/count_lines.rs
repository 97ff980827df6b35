//! The lines of a plan: each number put together with the sum it came from.

use super::{
    count::{
        BarLength, BarLine, BoardLine, RipLine, RunLine, SheetLine, ShortLine, StripLine, TileLine,
        UselessLine,
    },
    count_balance::{Blanks, Rest, blanks_ripped},
    count_cut::{BlankRun, CutPlan, Cuts, floor, length_of},
    count_lay::{Nesting, Run},
    count_strips::{Kinds, RipKind, TileCount},
    figure::{Figure, Sum, Unit},
    scraps::{Choice, Use},
    shop::Shop,
};
use crate::stock::Colour;

/// `A`, `B` to `Z`, then `A2` and so on.
pub(super) fn sheet_label(index: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(index % 26).unwrap_or(0));
    match index / 26 {
        0 => letter.to_string(),
        more => format!("{letter}{}", more + 1),
    }
}

pub(super) fn strip_label(index: usize) -> String {
    format!("S{}", index + 1)
}

pub(super) fn rip_label(index: usize) -> String {
    format!("R{}", index + 1)
}

/// A wood's name where it has one, else the colour.
pub(super) fn colour_name(colour: Colour, shop: &Shop) -> String {
    if let Some(leaf) = shop.veneers.iter().find(|l| l.colour == colour) {
        return leaf.name.clone();
    }
    plain_name(colour)
}

/// The name of the wood, dye or CSS colour, where there is one, else `#rrggbb`. Of several CSS
/// names, the shortest, then the first by the alphabet.
fn plain_name(colour: Colour) -> String {
    let css = || {
        Colour::css_names()
            .filter(|name| Colour::parse(name) == Ok(colour))
            .min_by_key(|name| (name.len(), *name))
    };
    colour
        .name()
        .or_else(css)
        .map_or_else(|| colour.to_string(), str::to_owned)
}

pub(super) fn tile(tile: &TileCount, shop: &Shop) -> TileLine {
    let panel = tile.whole + tile.trimmed;
    let share = shop.cutting.spare;
    // A billionth less, so that 5 % of 100 is 5.
    let spare = floor((panel as f64 * share - 1e-9).ceil());
    TileLine {
        name: tile.kind.name().to_owned(),
        whole: tile.whole,
        trimmed: tile.trimmed,
        spare: Figure::pieces(
            spare,
            Sum::new()
                .count(panel)
                .text(" x ")
                .number(share * 100.0)
                .text(" %, rounded up = ")
                .count(spare),
        ),
        needed: Figure::pieces(
            panel + spare,
            Sum::new()
                .count(tile.whole)
                .text(" whole + ")
                .count(tile.trimmed)
                .text(" trimmed + ")
                .count(spare)
                .text(" spare = ")
                .count(panel + spare),
        ),
    }
}

/// What a missing part weighs: the width it takes, at full length.
pub(super) fn weights(kinds: &Kinds, shop: &Shop) -> Vec<u64> {
    kinds
        .parts
        .iter()
        .map(|part| {
            let area = part.chain.last().map_or(0.0, |p| p.area());
            let width = area / kinds.sheets[part.sheet].thickness + shop.table_saw.kerf;
            floor(width * shop.cutting.bar_length).max(1)
        })
        .collect()
}

fn slices(shop: &Shop, length: f64, slices: u64) -> Figure {
    let s = &shop.slicing;
    Figure::pieces(
        slices,
        Sum::new()
            .text("floor((")
            .length(length)
            .text(" - ")
            .length(s.end_trim)
            .text(" ends + ")
            .length(s.kerf)
            .text(" kerf) / (")
            .length(s.thickness)
            .text(" slice + ")
            .length(s.kerf)
            .text(" kerf)) = ")
            .count(slices),
    )
}

pub(super) fn bars(kinds: &Kinds, choice: &Choice, needed: &[u64], shop: &Shop) -> Vec<BarLine> {
    kinds
        .bars
        .iter()
        .zip(&choice.bars)
        .zip(needed)
        .map(|((bar, lengths), &needed)| {
            let count: u64 = lengths.iter().map(|(_, c)| c).sum();
            let cut: u64 = lengths.iter().map(|(n, c)| n * c).sum();
            let mut why = Sum::new();
            for (i, (n, c)) in lengths.iter().enumerate() {
                why = why
                    .text(if i == 0 { "" } else { " + " })
                    .count(*c)
                    .text(" x ")
                    .count(*n)
                    .text(" slices");
            }
            why = why.text(" = ").count(cut).text(", needed ").count(needed);
            BarLine {
                tiles: bar
                    .tiles
                    .iter()
                    .map(|&t| kinds.tiles[t].kind.name().to_owned())
                    .collect(),
                strips: labelled(&bar.parts, strip_label),
                lengths: lengths
                    .iter()
                    .map(|&(n, bars)| {
                        let length = length_of(shop, n);
                        BarLength {
                            bars,
                            length,
                            slices: slices(shop, length, n),
                        }
                    })
                    .collect(),
                bars: Figure::pieces(count, why),
                surplus: cut.saturating_sub(needed),
            }
        })
        .collect()
}

fn labelled(list: &[(usize, u64)], label: impl Fn(usize) -> String) -> Vec<(String, u64)> {
    list.iter().map(|&(i, count)| (label(i), count)).collect()
}

pub(super) fn strips(kinds: &Kinds, choice: &Choice, given: &[u64]) -> Vec<StripLine> {
    kinds
        .parts
        .iter()
        .enumerate()
        .map(|(i, part)| {
            let mut why = Sum::new();
            let mut needed = 0;
            for (bar, lengths) in kinds.bars.iter().zip(&choice.bars) {
                let Some(&(_, each)) = bar.parts.iter().find(|(p, _)| *p == i) else {
                    continue;
                };
                let bars: u64 = lengths.iter().map(|(_, c)| c).sum();
                why = why
                    .text(if needed == 0 { "" } else { " + " })
                    .count(bars)
                    .text(" bars x ")
                    .count(each);
                needed += bars * each;
            }
            StripLine {
                label: strip_label(i),
                shape: part.shape.to_owned(),
                sheet: sheet_label(part.sheet),
                needed: Figure::pieces(needed, why.text(" = ").count(needed)),
                given: given[i],
                short: choice.short[i],
                surplus: (given[i] + choice.short[i]).saturating_sub(needed),
            }
        })
        .collect()
}

pub(super) fn sheets(kinds: &Kinds) -> Vec<SheetLine> {
    let names = |list: &[Colour]| list.iter().map(|&c| plain_name(c)).collect();
    kinds
        .sheets
        .iter()
        .enumerate()
        .map(|(i, kind)| SheetLine {
            label: sheet_label(i),
            thickness: kind.thickness,
            plywood: kind.plywood,
            plywoods: kind.plywoods,
            plies: kind.plies,
            wood: plain_name(kind.wood),
            face: names(&kind.face),
            back: names(&kind.back),
            between: names(&kind.between),
        })
        .collect()
}

pub(super) fn rips(kinds: &Kinds, ripped: &[u64], shop: &Shop) -> Vec<RipLine> {
    kinds
        .rips
        .iter()
        .zip(ripped)
        .enumerate()
        .map(|(i, (rip, &count))| {
            let sheet = &kinds.sheets[rip.sheet];
            let run = Run::of(rip.profile, shop.table_saw.kerf, sheet.same_both_ways);
            let [face, back] = rip.profile.faces();
            RipLine {
                label: rip_label(i),
                shape: rip.shape.to_owned(),
                sheet: sheet_label(rip.sheet),
                face,
                back,
                edges: [rip.profile.angle_left(), rip.profile.angle_right()],
                nesting: run.nesting,
                pitch: pitch(&run, rip),
                first: first(rip),
                widened: rip.widened,
                further_rips: rip.pieces.cuts(),
                loses_to_kerf: rip.pieces.loses_to_kerf(sheet.thickness),
                gives: labelled(&rip.yields, strip_label),
                count,
            }
        })
        .collect()
}

/// Width that one strip more takes, with the sum for the way it lies.
fn pitch(run: &Run, rip: &RipKind) -> Figure {
    let profile = rip.profile;
    let [face, back] = profile.faces();
    let kerf = |sum: Sum, angle: f64| {
        let sum = sum.length(run.kerf);
        if (angle - 90.0).abs() < 1e-9 {
            sum
        } else {
            sum.text(" / sin ").number(angle)
        }
    };
    let (left, right) = (profile.angle_left(), profile.angle_right());
    let why = match run.nesting {
        Nesting::Parallel => kerf(
            Sum::new().length(face).text(" + "),
            right.min(180.0 - right),
        ),
        Nesting::Apart => kerf(
            Sum::new()
                .length(run.pitch() - run.kerf * profile.slant_right())
                .text(" + "),
            right.min(180.0 - right),
        ),
        Nesting::Flipped => {
            let sum = Sum::new()
                .text("(")
                .length(face)
                .text(" + ")
                .length(back)
                .text(") / 2 + ");
            if (left - right).abs() < 1e-9 {
                kerf(sum, right)
            } else {
                let sum = kerf(sum.text("("), left).text(" + ");
                kerf(sum, right).text(") / 2")
            }
        }
    };
    let value = run.pitch();
    Figure::new(value, Unit::Length, why.text(" = ").length(value))
}

/// Width that the first strip takes: from its left bound to its right.
fn first(rip: &RipKind) -> Figure {
    let profile = rip.profile;
    let width = profile.width();
    let face = profile.faces()[0];
    let over = width - face;
    let why = if over > 1e-9 {
        Sum::new()
            .length(face)
            .text(" face + ")
            .length(over)
            .text(" bevel = ")
            .length(width)
    } else {
        Sum::new().length(width).text(" face")
    };
    Figure::new(width, Unit::Length, why)
}

#[allow(
    clippy::too_many_arguments,
    reason = "the facts of one board, gathered by its only caller"
)]
pub(super) fn board(
    kinds: &Kinds,
    shop: &Shop,
    cuts: &Cuts,
    plan: &CutPlan,
    used: &Use,
    blanks: &[Blanks],
    rest: Vec<Rest>,
    taken: &mut [u64],
) -> BoardLine {
    let count = used.times * kinds.sheets[plan.sheet].plywoods;
    let example = &shop.boards[cuts.lots[plan.lot].boards[0]];
    let names = names_of(cuts, shop, plan.lot, taken[plan.lot], count);
    taken[plan.lot] += count;
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
        sheet: sheet_label(plan.sheet),
        width: example.width,
        length: example.length,
        along_length: plan.along_length,
        veneers: plan.veneers.iter().map(|&c| colour_name(c, shop)).collect(),
        blanks_ripped: blanks_ripped(blanks),
        blanks: Figure::pieces(plan.blanks, blanks_why),
        blank_length: Figure::new(plan.blank_length, Unit::Length, length_why),
        slices: slices(shop, plan.blank_length, plan.slices),
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
                most: most(plan, i, run, shop),
                ripped: blanks.iter().map(|b| b.count * b.strips[i]).sum(),
            })
            .collect(),
        rest,
    }
}

/// How many strips lie in a blank, with the sum.
fn most(plan: &CutPlan, index: usize, blank: &BlankRun, shop: &Shop) -> Figure {
    let run = &blank.run;
    let why = if index == 0 && plan.runs.len() > 1 {
        Sum::new()
            .count(blank.most)
            .text(" side by side take ")
            .length(run.extent(blank.most))
            .text(" of ")
            .length(plan.width)
    } else if index == 0 {
        Sum::new()
            .text("1 + floor((")
            .length(plan.width)
            .text(" - ")
            .length(shop.cutting.edge_trim)
            .text(" edge - ")
            .length(run.odd.width())
            .text(" first) / ")
            .length(run.pitch())
            .text(" pitch) = ")
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
        let run = Run::of(rip.profile, shop.table_saw.kerf, sheet.same_both_ways);
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
                    .count(strips - 1)
                    .text(" x ")
                    .length(run.pitch())
                    .text(" pitch = ")
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
