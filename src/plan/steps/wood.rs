//! Boards to blanks, and blanks and veneers to sheets.

use super::{
    layers,
    ledger::{Draft, Ledger, corners, of},
    model::{Band, Becomes, Pass, Piece, PieceKind, RipFor, Round, Set, Touches, Work},
    rip::lie,
};
use crate::watch;
use crate::{
    geom::{Point, Polygon},
    plan::{
        cautions::{self, Caution},
        count::{CountBack, RippedBlanks, labels::sheet_label, sheets::SheetKind},
        saw::{passes::Edge, rip::Up},
        shop::Shop,
    },
    stock::{Colour, Layer},
};

/// A width that is left is worth its own cut from here on, in mm.
const WORTH_KEEPING: f64 = 20.0;

pub(super) fn rectangle(width: f64, height: f64) -> Polygon {
    Polygon::clockwise(vec![
        Point::ZERO,
        Point::new(width, 0.0),
        Point::new(width, height),
        Point::new(0.0, height),
    ])
}

pub(super) fn band(layer: &Layer) -> Band {
    Band {
        colour: layer.seen().to_string(),
        thickness: layer.thickness,
    }
}

/// The layers of each plywood in a sheet, without the veneers that are glued on.
fn plywood(kind: &SheetKind) -> Vec<Band> {
    kind.board().iter().map(band).collect()
}

/// Which veneers of a sheet are already on, told by those that are still to be glued on.
pub(super) struct Glued {
    pub(super) face: bool,
    pub(super) back: bool,
}

pub(super) fn glued(kind: &SheetKind, veneers: &[Colour]) -> Glued {
    let all = kind.face.len() + kind.between.len() + kind.back.len();
    let missing = all - veneers.len().min(all);
    if missing == 0 {
        return Glued {
            face: false,
            back: false,
        };
    }
    let with_face = missing == kind.face.len() && veneers.starts_with(&kind.between);
    let with_back = missing == kind.back.len() && veneers.starts_with(&kind.face);
    Glued {
        face: missing == kind.face.len() + kind.back.len() || (with_face && !with_back),
        back: missing == kind.face.len() + kind.back.len() || with_back,
    }
}

/// Cuts the boards across, glues on what the sheets ask for, and gives the lot of each of the
/// count's ripped blanks, in their order.
pub(super) fn blanks(ledger: &mut Ledger, count: &CountBack, shop: &Shop) -> Vec<String> {
    let mut lots = vec![String::new(); count.ripped.len()];
    for (at, board) in count.boards.iter().enumerate() {
        watch::ask();
        let of_board: Vec<(usize, &RippedBlanks)> = (count.ripped.iter().enumerate())
            .filter(|(_, r)| r.board == at)
            .collect();
        crosscut(ledger, count, at, &of_board, shop, &mut lots);
        let _ = board;
    }
    for (i, ripped) in count.ripped.iter().enumerate() {
        watch::ask();
        let kind = &count.kinds.sheets[ripped.sheet];
        if ripped.veneers.is_empty() && kind.plywoods < 2 {
            continue;
        }
        lots[i] = to_width(ledger, ripped, kind, &lots[i], shop);
        lots[i] = layers::glue_on(ledger, ripped, kind, &lots[i], shop);
    }
    lots
}

/// What a board is called: where one name of the shop stands for several plywoods, also what it becomes.
fn board_name(count: &CountBack, name: &str, ripped: &[(usize, &RippedBlanks)]) -> String {
    let lines = count.boards.iter();
    if lines
        .filter(|l| l.boards.iter().any(|(n, _)| n == name))
        .count()
        < 2
    {
        return name.to_owned();
    }
    let mut sheets: Vec<String> = ripped.iter().map(|(_, r)| sheet_label(r.sheet)).collect();
    sheets.dedup();
    format!("{name} for {}", sheets.join(" and "))
}

/// One board line's boards, across to blanks.
fn crosscut(
    ledger: &mut Ledger,
    count: &CountBack,
    at: usize,
    ripped: &[(usize, &RippedBlanks)],
    shop: &Shop,
    lots: &mut [String],
) {
    let line = &count.boards[at];
    let Some((_, first)) = ripped.first() else {
        return;
    };
    let (length, width) = if line.along_length {
        (line.length, line.width)
    } else {
        (line.width, line.length)
    };
    let piece = |id: String, kind, sheet: String, layers: Vec<Band>, length: f64| {
        let thickness = layers.iter().map(|b| b.thickness).sum();
        let section = rectangle(width, thickness);
        (
            Piece {
                id,
                kind,
                sheet,
                section: corners(&section),
                layers,
                length,
            },
            section,
        )
    };
    let sheet = &count.kinds.sheets[first.sheet];
    let board_layers = layers_as_it_is(sheet, &first.veneers);
    let mut takes = Vec::new();
    for (name, number) in &line.boards {
        let (board, section) = piece(
            board_name(count, name, ripped),
            PieceKind::Board,
            String::new(),
            board_layers.clone(),
            length,
        );
        let id = ledger.lot(board, &section);
        ledger.fetch(of(id.clone(), *number));
        takes.push(of(id, *number));
    }
    let each = line.blanks.count();
    let mut gives = Vec::new();
    let mut made = 0;
    for (i, ripped) in ripped {
        let kind = &count.kinds.sheets[ripped.sheet];
        let number = ripped.count * kind.plywoods;
        let (blank, section) = piece(
            format!("{}{}", sheet_label(ripped.sheet), i + 1),
            PieceKind::Blank,
            sheet_label(ripped.sheet),
            layers_as_it_is(kind, &ripped.veneers),
            ripped.length,
        );
        let id = ledger.lot(blank, &section);
        gives.push(of(id.clone(), number));
        lots[*i] = id;
        made += number;
    }
    if each == 1 && (length - first.length).abs() < 1e-6 {
        // Nothing is cut: the boards are the blanks.
        each_is_a_blank(ledger, takes, gives);
        return;
    }
    // What is not ripped stays in one piece with the end of its board.
    let (whole, more) = (made / each, made % each);
    for (boards, pieces) in [(whole, each), (u64::from(more > 0), more)] {
        let used = pieces as f64 * first.length + pieces as f64 * shop.table_saw.kerf;
        let left = length - used;
        if boards > 0 && left > 1.0 {
            let (rest, section) = piece(
                "end of board".to_owned(),
                PieceKind::Rest,
                String::new(),
                board_layers.clone(),
                left,
            );
            let id = ledger.lot(rest, &section);
            gives.push(of(id, boards));
        }
    }
    ledger.step(Draft {
        cautions: vec![Caution::NoFenceAcross, Caution::OffCut, Caution::Always],
        why: vec![
            ("pieces of a board", line.blanks.clone()),
            ("length", line.blank_length.clone()),
        ],
        ..Draft::of(
            Work::Crosscut {
                length: first.length,
                kerf: shop.table_saw.kerf,
                pieces: each,
                along_length: line.along_length,
            },
            takes,
            gives,
        )
    });
}

fn each_is_a_blank(
    ledger: &mut Ledger,
    takes: Vec<super::model::Of>,
    gives: Vec<super::model::Of>,
) {
    let length = ledger.get(&gives[0].piece).piece.length;
    ledger.step(Draft::of(
        Work::Crosscut {
            length,
            kerf: 0.0,
            pieces: 1,
            along_length: true,
        },
        takes,
        gives,
    ));
}

/// The layers of a board before anything is glued on.
fn layers_as_it_is(kind: &SheetKind, veneers: &[Colour]) -> Vec<Band> {
    let on = glued(kind, veneers);
    let layers = kind.sheet.layers();
    let (face, back) = (kind.face.len(), kind.back.len());
    let mut all: Vec<Band> = Vec::new();
    if on.face {
        all.extend(layers[..face].iter().map(band));
    }
    all.extend(plywood(kind));
    if on.back {
        all.extend(layers[layers.len() - back..].iter().map(band));
    }
    all
}

/// Rips a blank to the width that its strips take, where what is left is worth it.
fn to_width(
    ledger: &mut Ledger,
    ripped: &RippedBlanks,
    kind: &SheetKind,
    lot: &str,
    shop: &Shop,
) -> String {
    let kerf = shop.table_saw.kerf;
    let wide_enough = ripped.taken >= shop.table_saw.narrowest;
    if !wide_enough || ripped.width - ripped.taken - kerf < WORTH_KEEPING {
        return lot.to_owned();
    }
    let blank = ledger.get(lot).piece.clone();
    let thickness: f64 = blank.layers.iter().map(|b| b.thickness).sum();
    let narrow = rectangle(ripped.taken, thickness);
    let rest = rectangle(ripped.width - ripped.taken - kerf, thickness);
    let work = rectangle(ripped.width, thickness).shifted(Point::new(0.0, -thickness));
    let id = ledger.lot(
        Piece {
            id: format!("core {lot}"),
            section: corners(&narrow),
            ..blank.clone()
        },
        &narrow,
    );
    let left = ledger.lot(
        Piece {
            id: format!("rest of {lot}"),
            kind: PieceKind::Rest,
            section: corners(&rest),
            ..blank
        },
        &rest,
    );
    let count = ripped.count * kind.plywoods;
    let pass = Pass {
        lie: lie(Edge::Left, Up::Face),
        set: Set::Fence(ripped.taken),
        touches: Touches::Whole,
        inboard: Becomes::Piece(id.clone()),
        outboard: Becomes::Piece(left.clone()),
        work: corners(&work),
        blade: ripped.taken,
    };
    ledger.step(Draft {
        cautions: vec![
            cautions::of_foot(ripped.taken),
            Caution::OffCut,
            Caution::Always,
        ],
        ..Draft::of(
            Work::Rip {
                purpose: RipFor::Width,
                shape: "blank".to_owned(),
                tilt: 0.0,
                bed: 0.0,
                kerf,
                work: lot.to_owned(),
                rounds: vec![Round {
                    times: 1,
                    passes: vec![pass],
                }],
                left: Becomes::Waste,
            },
            vec![of(lot, count)],
            vec![of(id.clone(), count), of(left, count)],
        )
    });
    id
}
