//! Boards to blanks, and blanks and veneers to sheets.

use super::{
    layers::{self, band, glued, rectangle},
    ledger::{Draft, Ledger, corners, of, tally},
    model::{Band, Becomes, Pass, Piece, PieceKind, RipFor, Round, Set, Touches, Work},
    passes_of_run::lie,
};
use crate::watch;
use crate::{
    geom::Point,
    plan::{
        cautions::{self, Caution},
        count::{CountBack, CutBlanks, RippedBlanks, labels::sheet_label, sheets::SheetKind},
        saw::{passes::Edge, rip::Up},
        shop::Shop,
    },
    stock::Colour,
};

/// Cuts the boards across and to width, glues on what the sheets ask for, and gives the lot of each of
/// the count's ripped blanks, in their order.
pub(super) fn blanks(ledger: &mut Ledger, count: &CountBack, shop: &Shop) -> Vec<String> {
    let mut lots = vec![String::new(); count.ripped.len()];
    for at in 0..count.boards.len() {
        watch::ask();
        let of_board: Vec<(usize, &CutBlanks)> = (count.blanks.iter().enumerate())
            .filter(|(_, b)| b.board == at)
            .collect();
        let cut = crosscut(ledger, count, at, &of_board, shop);
        for ((_, blanks), lot) in of_board.into_iter().zip(cut) {
            to_width(ledger, count, blanks, &lot, shop, &mut lots);
        }
    }
    for (i, ripped) in count.ripped.iter().enumerate() {
        watch::ask();
        let kind = &count.kinds.sheets[ripped.sheet];
        if !ripped.veneers.is_empty() || kind.plywoods > 1 {
            lots[i] = layers::glue_on(ledger, ripped, kind, &lots[i], shop);
        }
    }
    lots
}

/// What a board is called: where one name of the shop stands for several plywoods, also what it becomes.
fn board_name(count: &CountBack, name: &str, blanks: &[(usize, &CutBlanks)]) -> String {
    let lines = count.boards.iter();
    if lines
        .filter(|l| l.boards.iter().any(|(n, _)| n == name))
        .count()
        < 2
    {
        return name.to_owned();
    }
    let of_all = blanks.iter().flat_map(|(_, blanks)| &blanks.sheets);
    let mut sheets: Vec<usize> = of_all.map(|(at, _)| count.ripped[*at].sheet).collect();
    sheets.sort_unstable();
    sheets.dedup();
    let sheets: Vec<String> = sheets.into_iter().map(sheet_label).collect();
    format!("{name} for {}", sheets.join(" and "))
}

/// One board line's boards, across to blanks: a lot for each of them.
fn crosscut(
    ledger: &mut Ledger,
    count: &CountBack,
    at: usize,
    blanks: &[(usize, &CutBlanks)],
    shop: &Shop,
) -> Vec<String> {
    let line = &count.boards[at];
    let Some((_, first)) = blanks.first() else {
        return Vec::new();
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
    let layers_of = |blanks: &CutBlanks| {
        let ripped = &count.ripped[blanks.sheets[0].0];
        layers_as_it_is(&count.kinds.sheets[ripped.sheet], &ripped.veneers)
    };
    let board_layers = layers_of(first);
    let mut takes = Vec::new();
    for (name, number) in &line.boards {
        let (board, section) = piece(
            board_name(count, name, blanks),
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
    let mut lots = Vec::new();
    for (i, blanks) in blanks {
        let sheets: Vec<String> = (blanks.sheets.iter())
            .map(|(ripped, _)| sheet_label(count.ripped[*ripped].sheet))
            .collect();
        let (blank, section) = piece(
            format!("{}{}", sheets.join("-"), i + 1),
            PieceKind::Blank,
            sheets.join(" and "),
            layers_of(blanks),
            blanks.length,
        );
        let id = ledger.lot(blank, &section);
        gives.push(of(id.clone(), blanks.count));
        lots.push(id);
        made += blanks.count;
    }
    if each == 1 && (length - first.length).abs() < 1e-6 {
        // Nothing is cut: the boards are the blanks.
        each_is_a_blank(ledger, takes, gives);
        return lots;
    }
    for (left, boards) in ends(made, each, length, first.length, shop.table_saw.kerf) {
        let (rest, section) = piece(
            format!(
                "end of {}",
                takes.first().map_or("board", |of| of.piece.as_str())
            ),
            PieceKind::Rest,
            String::new(),
            board_layers.clone(),
            left,
        );
        let id = ledger.lot(rest, &section);
        gives.push(of(id, boards));
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
    lots
}

/// What is left of boards of some length, so many of which blanks are cut, and of how many boards: what is
/// not ripped stays in one piece with the end of its board.
fn ends(blanks: u64, each: u64, length: f64, blank: f64, kerf: f64) -> Vec<(f64, u64)> {
    let (whole, more) = (blanks / each, blanks % each);
    [(whole, each), (u64::from(more > 0), more)]
        .into_iter()
        .map(|(boards, pieces)| (length - pieces as f64 * (blank + kerf), boards))
        .filter(|&(left, boards)| boards > 0 && left > 1.0)
        .collect()
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
    all.extend(kind.board().iter().map(band));
    if on.back {
        all.extend(layers[layers.len() - back..].iter().map(band));
    }
    all
}

/// Rips blanks to the widths that the sheets in them ask for; what they become is named in `lots`.
fn to_width(
    ledger: &mut Ledger,
    count: &CountBack,
    blanks: &CutBlanks,
    lot: &str,
    shop: &Shop,
    lots: &mut [String],
) {
    let kerf = shop.table_saw.kerf;
    let blank = ledger.get(lot).piece.clone();
    let thickness: f64 = blank.layers.iter().map(|b| b.thickness).sum();
    // The boards side by side, from the left, and what is left.
    let mut beside: Vec<(String, f64)> = Vec::new();
    let mut left = blanks.width;
    for &(ripped, copies) in &blanks.sheets {
        let RippedBlanks { sheet, width, .. } = count.ripped[ripped];
        if (left - width).abs() < 1e-6 && beside.is_empty() {
            lot.clone_into(&mut lots[ripped]);
            return;
        }
        let section = rectangle(width, thickness);
        let piece = Piece {
            id: if thickness < count.kinds.sheets[sheet].thickness {
                format!("core {}{}", sheet_label(sheet), ripped + 1)
            } else {
                format!("{lot} to width")
            },
            sheet: sheet_label(sheet),
            section: corners(&section),
            ..blank.clone()
        };
        lots[ripped] = ledger.lot(piece, &section);
        for _ in 0..copies {
            beside.push((lots[ripped].clone(), width));
            left -= width + kerf;
        }
    }
    if left > 1e-6 {
        let section = rectangle(left, thickness);
        let rest = Piece {
            id: format!("rest of {lot}"),
            kind: PieceKind::Rest,
            section: corners(&section),
            ..blank
        };
        beside.push((ledger.lot(rest, &section), left));
    } else if left + kerf > 1e-6 {
        // What is left is no wider than a cut.
        beside.push((String::new(), 0.0));
    }
    part(ledger, lot, blanks, thickness, &beside, shop);
}

/// Parts blanks into boards side by side, each with its width, from the left; one without a name is waste.
fn part(
    ledger: &mut Ledger,
    lot: &str,
    blanks: &CutBlanks,
    thickness: f64,
    beside: &[(String, f64)],
    shop: &Shop,
) {
    let kerf = shop.table_saw.kerf;
    let becomes = |id: &String| {
        if id.is_empty() {
            Becomes::Waste
        } else {
            Becomes::Piece(id.clone())
        }
    };
    let mut gives = Vec::new();
    for (id, _) in beside {
        tally(&mut gives, &becomes(id), blanks.count);
    }
    let mut width = blanks.width;
    let mut rounds = Vec::new();
    for (i, pair) in beside.windows(2).enumerate() {
        let (id, wide) = &pair[0];
        let work = rectangle(width, thickness).shifted(Point::new(0.0, -thickness));
        let pass = Pass {
            lie: lie(Edge::Left, Up::Face),
            set: Set::Fence(*wide),
            touches: Touches::Whole,
            inboard: becomes(id),
            outboard: if i + 2 == beside.len() {
                becomes(&pair[1].0)
            } else {
                Becomes::Work
            },
            work: corners(&work),
            blade: *wide,
        };
        rounds.push(Round {
            times: 1,
            passes: vec![pass],
        });
        width -= wide + kerf;
    }
    let led = beside.split_last().map_or(&[][..], |(_, led)| led);
    let narrowest = led.iter().map(|b| b.1).fold(f64::INFINITY, f64::min);
    ledger.step(Draft {
        cautions: vec![
            cautions::of_foot(narrowest),
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
                boards: None,
                work: lot.to_owned(),
                rounds,
                left: Becomes::Waste,
            },
            vec![of(lot, blanks.count)],
            gives,
        )
    });
}
