//! Strips to bars, bars to tiles.

use super::{
    clamped::{held, inner_corners},
    layers::band,
    ledger::{Draft, Ledger, PieceLot, corners, of, settled},
    model::{FaceIs, Of, PartAt, Piece, PieceKind, Work},
};
use crate::watch;
use crate::{
    geom::{Isometry, Point, Polygon},
    plan::{
        cautions::Caution,
        count::{
            BarLine, CountBack,
            cut::slices_of,
            in_hand::{InHand, Strips},
            labels::{sheet_label, strip_label},
            strips::{BarKind, Kinds},
        },
        glue_up::pencil_marks,
        saw::set_up::slices,
        shop::Shop,
    },
    stock::{Bar, bar::Part},
};

/// How long a bar stays in its bands or clamps before it is sliced, in minutes: least and most
/// (common practice for yellow glue; the glue's own sheet comes first).
pub(super) const BAR_RESTS: [f64; 2] = [60.0, 90.0];

/// Two sections nearer than this, in mm, are the same.
const SAME: f64 = 1e-3;

/// A point this far beyond an edge, in mm, lies in the piece next to it.
const JUST_BEYOND: f64 = 0.2;

/// Bars of one kind and length that are glued.
pub(super) struct Glued {
    /// Which kind.
    pub(super) bar: usize,
    /// Slices that each gives.
    pub(super) slices: u64,
    /// Their lot.
    pub(super) id: String,
}

/// Glues all bars; where they are sliced one by one, slices each kind when it is glued. Gives the bars that are
/// not sliced yet, and the lot of the slices of each kind of bar.
pub(super) fn bars(
    ledger: &mut Ledger,
    count: &CountBack,
    shop: &Shop,
) -> (Vec<Glued>, Vec<String>) {
    let kinds = &count.kinds;
    let mut slices = vec![String::new(); kinds.bars.len()];
    for (at, there) in count.in_hand.iter().enumerate() {
        if there.slices() > 0 {
            slices[at] = from_rack(ledger, kinds, at, there, shop);
        }
    }
    let mut groups: Vec<(usize, u64, u64)> = Vec::new();
    for (at, line) in count.bars.iter().enumerate() {
        let lengths = line.lengths.iter();
        groups.extend(lengths.map(|l| (at, l.slices.count(), l.bars)));
        let glued = count.in_hand.get(at).map_or(&[][..], |there| &there.glued);
        groups.extend(glued.iter().map(|&(slices, bars)| (at, slices, bars)));
    }
    // The longest first: each from the shortest strips that do.
    groups.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut ready = Vec::new();
    for (at, wanted, bars) in groups {
        watch::ask();
        if let Some(bar) = lay_up(ledger, kinds, at, wanted, bars, shop) {
            ready.push((at, wanted, bar));
        }
    }
    ready.sort_by_key(|(at, ..)| *at);
    let mut glued = Vec::new();
    for (at, wanted, bar) in ready {
        watch::ask();
        glue(ledger, kinds, &count.bars[at], at, &bar, shop);
        if count.loaves.is_empty() {
            slices[at] = slice(ledger, kinds, at, wanted, &bar, shop);
        } else {
            glued.push(Glued {
                bar: at,
                slices: wanted,
                id: bar.id,
            });
        }
    }
    (glued, slices)
}

/// Strips that lie ready for bars of one length.
struct Ready {
    /// For each part of the count: its lot.
    lots: Vec<(usize, String)>,
    takes: Vec<Of>,
    length: f64,
    bars: u64,
    id: String,
}

/// Takes strips for bars of so many slices, cutting off what is longer than the shortest of them.
fn lay_up(
    ledger: &mut Ledger,
    kinds: &Kinds,
    at: usize,
    wanted: u64,
    bars: u64,
    shop: &Shop,
) -> Option<Ready> {
    let bar = &kinds.bars[at];
    let mut taken: Vec<(usize, Of, f64)> = Vec::new();
    for &(part, each) in &bar.parts {
        let mut open = each * bars;
        for (id, have, length) in strips_of(ledger, kinds, part, wanted, shop) {
            let take = open.min(have);
            if take > 0 {
                taken.push((part, of(id, take), length));
                open -= take;
            }
        }
        if open > 0 {
            // The stock does not suffice: the count says what is missing.
            return None;
        }
    }
    let length = taken.iter().map(|t| t.2).min_by(f64::total_cmp)?;
    let mut lots: Vec<(usize, String)> = Vec::new();
    let mut takes: Vec<Of> = Vec::new();
    let (mut cut, mut gives) = (Vec::new(), Vec::new());
    for (part, strips, long) in taken {
        let id = if long - length < 1e-6 {
            strips.piece.clone()
        } else {
            let (short, rest) = shortened(ledger, &strips.piece, length, shop);
            gives.push(of(short.clone(), strips.count));
            if let Some(rest) = rest {
                gives.push(of(rest, strips.count));
            }
            cut.push(strips.clone());
            short
        };
        if !lots.iter().any(|(p, _)| *p == part) {
            lots.push((part, id.clone()));
        }
        match takes.iter_mut().find(|t| t.piece == id) {
            Some(known) => known.count += strips.count,
            None => takes.push(of(id, strips.count)),
        }
    }
    if !cut.is_empty() {
        ledger.step(Draft {
            cautions: vec![Caution::NoFenceAcross, Caution::OffCut, Caution::Always],
            ..Draft::of(
                Work::CrosscutStrips {
                    length,
                    kerf: shop.table_saw.kerf,
                },
                cut,
                gives,
            )
        });
    }
    let id = bar_lot(ledger, kinds, at, length);
    // Reserved now, so that no other bar takes the same strips; the step books them when it comes.
    ledger.reserve(&takes);
    Some(Ready {
        lots,
        takes,
        length,
        bars,
        id,
    })
}

/// The lot of bars of a kind and length.
fn bar_lot(ledger: &mut Ledger, kinds: &Kinds, at: usize, length: f64) -> String {
    let id = format!("bar {}", name(kinds, &kinds.bars[at]));
    ledger.glued_lot(id, PieceKind::Bar, kinds.bars[at].bar.outline(), length)
}

/// The lot of strips that are in hand.
fn strip_lot(ledger: &mut Ledger, kinds: &Kinds, strips: &Strips) -> String {
    let part = &kinds.parts[strips.part];
    let section = part.chain.last().map(settled);
    let section = section.expect("invariant: strips in hand have a section");
    let piece = Piece {
        id: strip_label(strips.part),
        kind: PieceKind::Strip,
        sheet: sheet_label(part.sheet),
        section: corners(&section),
        layers: (kinds.sheets[part.sheet].sheet.layers().iter())
            .map(band)
            .collect(),
        length: strips.length,
    };
    ledger.lot(piece, &section)
}

/// Fetches tiles, bars and strips that are in hand, and slices the bars. Gives the lot of the slices.
fn from_rack(ledger: &mut Ledger, kinds: &Kinds, at: usize, there: &InHand, shop: &Shop) -> String {
    for strips in &there.strips {
        let lot = strip_lot(ledger, kinds, strips);
        ledger.fetch(of(lot, strips.count));
    }
    let tiles = tile_lot(ledger, kinds, at, shop);
    let count: u64 = there.tiles.iter().map(|(_, count)| count).sum();
    if count > 0 {
        ledger.fetch(of(tiles.clone(), count));
    }
    for &(_, bars, length, each) in &there.bars {
        let bar = bar_lot(ledger, kinds, at, length);
        ledger.fetch(of(bar.clone(), bars));
        let named = kinds.tiles[kinds.bars[at].tiles[0]].kind.name();
        sliced(ledger, (&bar, bars), named, &tiles, each, shop);
    }
    tiles
}

/// What the bar is called: as the first of its tiles.
fn name(kinds: &Kinds, bar: &BarKind) -> String {
    kinds.tiles[bar.tiles[0]].kind.name().to_owned()
}

/// Lots of a part that give at least so many slices, the shortest first.
fn strips_of(
    ledger: &Ledger,
    kinds: &Kinds,
    part: usize,
    slices: u64,
    shop: &Shop,
) -> Vec<(String, u64, f64)> {
    let label = strip_label(part);
    let sheet = sheet_label(kinds.parts[part].sheet);
    let is_part = |lot: &&PieceLot| {
        let base = lot.piece.id.split('.').next().unwrap_or_default();
        base == label && lot.piece.sheet == sheet
    };
    let mut all: Vec<(String, u64, f64)> = (ledger.at_hand(PieceKind::Strip).into_iter())
        .filter(is_part)
        .filter(|lot| slices_of(shop, lot.piece.length) >= slices)
        .map(|lot| (lot.piece.id.clone(), lot.count, lot.piece.length))
        .collect();
    all.sort_by(|a, b| a.2.total_cmp(&b.2));
    all
}

/// The lots of a strip cut to a length, and of what is left of it.
fn shortened(ledger: &mut Ledger, id: &str, length: f64, shop: &Shop) -> (String, Option<String>) {
    let lot = ledger.get(id).clone();
    let base = lot
        .piece
        .id
        .split('.')
        .next()
        .unwrap_or_default()
        .to_owned();
    let left = lot.piece.length - length - shop.table_saw.kerf;
    let short = ledger.lot(
        Piece {
            id: base.clone(),
            length,
            ..lot.piece.clone()
        },
        &lot.section,
    );
    let rest = (left > 1.0).then(|| {
        ledger.lot(
            Piece {
                id: format!("end of {base}"),
                kind: PieceKind::Rest,
                length: left,
                ..lot.piece
            },
            &lot.section,
        )
    });
    (short, rest)
}

fn glue(ledger: &mut Ledger, kinds: &Kinds, line: &BarLine, at: usize, ready: &Ready, shop: &Shop) {
    let bar = &kinds.bars[at].bar;
    let parts = bar.parts().iter().enumerate();
    let parts: Vec<PartAt> = parts
        .map(|(i, part)| part_at(ledger, kinds, i + 1, part, &ready.lots, bar))
        .collect();
    let glued = parts.len() > 1;
    ledger.release(&ready.takes);
    ledger.step(Draft {
        cautions: Vec::from_iter(glued.then_some(Caution::Press)),
        why: vec![("bars", line.bars.clone())],
        ..Draft::of(
            Work::GlueBar {
                parts,
                joints: bar.joints().iter().map(|j| j.length).sum(),
                rest: if glued { BAR_RESTS } else { [0.0; 2] },
                held: held(bar, ready.length, shop),
                inner_corners: inner_corners(bar.outline()),
            },
            ready.takes.clone(),
            vec![of(ready.id.clone(), ready.bars)],
        )
    });
    let kind = &kinds.tiles[kinds.bars[at].tiles[0]].kind;
    let bars = of(ready.id.clone(), ready.bars);
    ledger.clean_and_mark(&bars, glued, pencil_marks(kind));
}

/// Where a part of a bar goes, from the frame of its lot.
fn part_at(
    ledger: &Ledger,
    kinds: &Kinds,
    number: usize,
    part: &Part,
    lots: &[(usize, String)],
    bar: &Bar,
) -> PartAt {
    let found = kinds.part_of(&part.strip);
    let (kind, over) = found.expect("invariant: the parts of a bar were counted");
    let lot = lots.iter().find(|(p, _)| *p == kind);
    let (_, id) = lot.expect("invariant: each part has a lot");
    let section = &ledger.get(id).section;
    let sheet = &kinds.sheets[kinds.parts[kind].sheet];
    let place = placed(section, part, over, sheet.same_both_ways);
    PartAt {
        number,
        piece: id.clone(),
        end_for_end: place.flip,
        roll: place.turn,
        shift: [place.shift.x, place.shift.y],
        face: face_is(section, place, number, bar),
        outline: corners(&part.outline),
    }
}

/// Where the face of a strip is that lies so in a bar: what is just beyond its middle.
fn face_is(section: &Polygon, place: Isometry, number: usize, bar: &Bar) -> FaceIs {
    let on_face = || section.corners().iter().filter(|c| c.y < SAME).map(|c| c.x);
    let (from, to) = on_face().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| {
        (a.min(x), b.max(x))
    });
    if to - from < JUST_BEYOND {
        return FaceIs::Gone;
    }
    let beyond = place.apply(Point::new(f64::midpoint(from, to), -JUST_BEYOND));
    let there = (bar.parts().iter().enumerate())
        .find(|(i, part)| i + 1 != number && part.outline.holds(beyond));
    there.map_or(FaceIs::Out, |(i, _)| FaceIs::At(i + 1))
}

/// The move that brings a section in the frame of its wood to its place in the bar.
fn placed(section: &Polygon, part: &Part, over: bool, same_both_ways: bool) -> Isometry {
    let ripped = part.strip.as_ripped();
    let ways = [
        (false, false, Isometry::IDENTITY),
        (true, false, Isometry::mirror(90.0)),
        (false, true, Isometry::mirror(0.0)),
        (true, true, Isometry::turn(180.0)),
    ];
    let on = part.strip.lie().then(part.place);
    let brought = ways
        .iter()
        .filter(|(_, turned, _)| same_both_ways || *turned == over)
        .map(|&(_, _, way)| {
            let moved = section.moved(way);
            let by = ripped.centroid() - moved.centroid();
            way.then(Isometry::shift(by))
        });
    let fits = |way: &Isometry| section.moved(*way).coincides(&ripped, SAME);
    let way = brought
        .clone()
        .find(fits)
        .or_else(|| brought.clone().next());
    way.unwrap_or(Isometry::shift(Point::ZERO)).then(on)
}

/// The lot of the slices of a kind of bar.
fn tile_lot(ledger: &mut Ledger, kinds: &Kinds, at: usize, shop: &Shop) -> String {
    let id = format!("tile {}", name(kinds, &kinds.bars[at]));
    let outline = kinds.bars[at].bar.outline();
    ledger.glued_lot(id, PieceKind::Tile, outline, shop.slicing.thickness)
}

fn slice(
    ledger: &mut Ledger,
    kinds: &Kinds,
    at: usize,
    wanted: u64,
    ready: &Ready,
    shop: &Shop,
) -> String {
    let bar = &kinds.bars[at];
    let id = tile_lot(ledger, kinds, at, shop);
    let named = kinds.tiles[bar.tiles[0]].kind.name();
    sliced(ledger, (&ready.id, ready.bars), named, &id, wanted, shop);
    id
}

/// Slices the bars or loaves of a lot, each to a number of pieces of another lot.
pub(super) fn sliced(
    ledger: &mut Ledger,
    (from, count): (&str, u64),
    name: &str,
    to: &str,
    wanted: u64,
    shop: &Shop,
) {
    let s = &shop.slicing;
    let n = wanted as f64;
    let used = n * s.thickness + (n - 1.0).max(0.0) * s.kerf;
    let lot = ledger.get(from);
    let loaf = lot.piece.kind == PieceKind::Loaf;
    let cut = slices(name, &lot.section, loaf, s.thickness, &shop.saw_limits());
    let end = lot.piece.length - used;
    ledger.step(Draft {
        set_ups: cut.into_iter().collect(),
        cautions: vec![
            Caution::Cradle,
            Caution::StopClear,
            Caution::HeldLast,
            Caution::Always,
        ],
        ..Draft::of(
            Work::Slice {
                thickness: s.thickness,
                kerf: s.kerf,
                slices: wanted,
                end,
            },
            vec![of(from, count)],
            vec![of(to, wanted * count)],
        )
    });
}
