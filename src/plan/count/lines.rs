//! The lines of a plan about tiles, bars, strips, rips and sheets: each number put together with the
//! sum it came from.

use super::{
    cross::{floor, length_of},
    labels::{plain_name, rip_label, sheet_label, strip_label},
    lay::{Nesting, Run},
    model::{BarLength, BarLine, PlyRun, RipLine, SheetLine, StripLine, TileLine},
    sheets::SheetKind,
    strips::{Kinds, RipKind, TileCount},
};
use crate::plan::saw::rip_method::{Handling, RipMethod, rip_method};
use crate::{
    geom::Polygon,
    plan::{
        figure::{Figure, Sum, Unit},
        scraps::Choice,
        shop::Shop,
    },
    stock::{Colour, Layer, LayerKind},
};

/// How many spare pieces a number of pieces needs.
pub(super) fn spare(pieces: u64, shop: &Shop) -> u64 {
    // A billionth less, so that 5 % of 100 is 5.
    floor((pieces as f64 * shop.cutting.spare - 1e-9).ceil())
}

/// Spare tiles of a kind, where tiles are sliced one by one.
pub(super) fn spare_tiles(tile: &TileCount, shop: &Shop) -> Figure {
    let panel = tile.whole + tile.trimmed;
    let spare = spare(panel, shop);
    Figure::pieces(
        spare,
        Sum::new()
            .count(panel)
            .text(" x ")
            .number(shop.cutting.spare * 100.0)
            .text(" %, rounded up = ")
            .count(spare),
    )
}

pub(super) fn tile(tile: &TileCount, spare: Figure) -> TileLine {
    let needed = tile.whole + tile.trimmed + spare.count();
    TileLine {
        name: tile.kind.name().to_owned(),
        whole: tile.whole,
        trimmed: tile.trimmed,
        needed: Figure::pieces(
            needed,
            Sum::new()
                .count(tile.whole)
                .text(" whole + ")
                .count(tile.trimmed)
                .text(" trimmed + ")
                .count(spare.count())
                .text(" spare = ")
                .count(needed),
        ),
        spare,
    }
}

/// What a missing part weighs: the width it takes, at full length.
pub(super) fn weights(kinds: &Kinds, shop: &Shop) -> Vec<u64> {
    kinds
        .parts
        .iter()
        .map(|part| {
            let area = part.chain.last().map_or(0.0, Polygon::area);
            let width = area / kinds.sheets[part.sheet].thickness + shop.table_saw.kerf;
            floor(width * shop.cutting.bar_length).max(1)
        })
        .collect()
}

pub(super) fn slices(shop: &Shop, length: f64, slices: u64) -> Figure {
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
            made_of: made_of(kind),
            face: names(&kind.face),
            back: names(&kind.back),
            between: names(&kind.between),
        })
        .collect()
}

fn made_of(kind: &SheetKind) -> Vec<PlyRun> {
    let alike = |a: &Layer, b: &Layer| a.kind == b.kind && a.colour == b.colour;
    kind.board()
        .chunk_by(alike)
        .map(|run| PlyRun {
            plies: run.iter().filter(|l| l.kind == LayerKind::Ply).count(),
            wood: plain_name(run[0].colour),
            thickness: run.iter().map(|l| l.thickness).sum(),
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
            let method = own_rip_method(rip, sheet.same_both_ways, shop);
            let run = method.run;
            let [face, back] = rip.profile.faces();
            RipLine {
                label: rip_label(i),
                shape: rip.shape.to_owned(),
                sheet: sheet_label(rip.sheet),
                face,
                back,
                edges: [rip.profile.angle_left(), rip.profile.angle_right()],
                nesting: run.nesting,
                handling: method.handling,
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

/// How a strip is ripped by itself. A strip that cannot be ripped safely is refused before anything is counted.
pub(super) fn own_rip_method(rip: &RipKind, may_flip: bool, shop: &Shop) -> RipMethod {
    rip_method(rip.profile, may_flip, &shop.saw_limits()).unwrap_or(RipMethod {
        run: Run::of(rip.profile, shop.table_saw.kerf, may_flip),
        handling: Handling::Led,
    })
}

/// Width that one strip more takes, with the sum for how it lies.
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
        _ if run.spare > 0.0 => {
            let edge = run.odd.angle_left();
            let blank = run.pitch() - run.kerf * run.odd.slant_left();
            let sum = Sum::new().length(blank).text(" blank + ");
            kerf(sum, edge.min(180.0 - edge))
        }
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
