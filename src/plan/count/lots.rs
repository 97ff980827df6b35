//! Boards of a shop that are alike, and what they can become.

use std::collections::BTreeMap;

use super::{cross::Useless, sheets::SheetKind, thickness::within};
use crate::{
    plan::shop::{Board, BoardGrain, Shop},
    stock::{Colour, Grain},
};

/// Boards that are alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardLot {
    /// Indices into the shop's boards.
    pub boards: Vec<usize>,
    /// How many boards altogether; none where as many as needed can be had.
    pub count: Option<u64>,
}

/// Boards that are alike but for their names, together, in the order of the first of each.
pub(super) fn lots(boards: &[Board]) -> Vec<BoardLot> {
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

/// The veneers that a board still needs to become this sheet, or why it cannot.
pub(super) fn veneers_to_glue(board: &Board, kind: &SheetKind) -> Result<Vec<Colour>, Useless> {
    if !within(kind.boards, board.thickness.unwrap_or(kind.drawn)) {
        return Err(Useless::OtherThickness);
    }
    if board.wood.is_some_and(|wood| wood != kind.wood) {
        return Err(Useless::OtherWood);
    }
    let bare = board.face.is_empty() && board.back.is_empty();
    if kind.plywoods > 1 && !bare {
        return Err(Useless::OtherVeneers);
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
    let fewest = ways.into_iter().flatten().min_by_key(Vec::len);
    fewest.ok_or(Useless::OtherVeneers)
}

/// Along which sides a board may be ripped: true for its length.
pub(super) fn directions(board: &Board, kind: &SheetKind, shop: &Shop) -> Vec<bool> {
    let any = shop.cutting.any_grain || kind.grain == Grain::None;
    let along = kind.grain != Grain::Across;
    match board.grain {
        BoardGrain::Any => vec![true, false],
        _ if any => vec![true, false],
        BoardGrain::Length => vec![along],
        BoardGrain::Width => vec![!along],
    }
}
