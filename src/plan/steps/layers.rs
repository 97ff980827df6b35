//! Veneers and boards to sheets: pressed wet, or ironed on.

use super::{
    ledger::{Draft, Ledger, corners, of},
    model::{Band, Of, Piece, PieceKind, Work},
    pieces::SAME,
};
use crate::{
    geom::{Point, Polygon},
    plan::{
        cautions::Caution,
        count::{
            RippedBlanks,
            labels::{colour_name, sheet_label},
            sheets::SheetKind,
        },
        glue_up::{Clamping, PRESSURES, VENEER_PRESSURES},
        shop::{Shop, Veneering},
    },
    stock::{Colour, Layer, LayerKind},
};

/// How long sheets stay pressed, in minutes: least and most (common practice for white and yellow
/// glue; the glue's own sheet comes first).
const PRESSED: [f64; 2] = [60.0, 180.0];

/// How long a coat of glue takes to dry before it is ironed, in minutes: least and most (common
/// practice; the glue's own sheet comes first).
const DRIES: [f64; 2] = [30.0, 60.0];

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

/// Which veneers of a sheet are on already, worked out from those that are still to be glued on.
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

/// Glues the layers of a sheet to one another, and gives the lot of the sheets.
pub(super) fn glue_on(
    ledger: &mut Ledger,
    ripped: &RippedBlanks,
    kind: &SheetKind,
    lot: &str,
    shop: &Shop,
) -> String {
    let stack = stack(ledger, ripped, kind, lot, shop);
    let is_board = |id: &String| id == lot;
    let first = stack.iter().position(is_board).unwrap_or(0);
    let last = stack.iter().rposition(is_board).unwrap_or(first);
    let mut bench = Bench {
        ledger,
        count: ripped.count,
        shop,
        one_sided: kind.face != kind.back,
        lot,
    };
    if shop.veneering == Veneering::Press || first == 0 && last + 1 == stack.len() {
        return bench.press(stack, "sheet");
    }
    let mut all = stack;
    if last > first {
        // Boards are always glued to one another wet, whether their veneers are pressed or ironed on.
        let inner = all.splice(first..=last, [String::new()]).collect();
        bench.one_sided = false;
        all[first] = bench.press(inner, "boards");
        bench.one_sided = kind.face != kind.back;
    }
    bench.iron(all)
}

/// The lots of a sheet's layers from the face to the back, its veneers cut out of leaves.
fn stack(
    ledger: &mut Ledger,
    ripped: &RippedBlanks,
    kind: &SheetKind,
    lot: &str,
    shop: &Shop,
) -> Vec<String> {
    let on = glued(kind, &ripped.veneers);
    let layers = kind.sheet.layers();
    let (face, back) = (kind.face.len(), kind.back.len());
    let mut stack: Vec<String> = Vec::new();
    let mut cut: Vec<(String, &Layer)> = Vec::new();
    // Unlike plywoods with what lies between them are one board.
    let is_ply = |l: &Layer| l.kind == LayerKind::Ply;
    let core = layers.iter().position(is_ply)..=layers.iter().rposition(is_ply);
    let mut left = 0.0;
    for (i, layer) in layers.iter().enumerate() {
        let in_board = kind.plywoods == 1 && core.contains(&Some(i));
        if layer.kind == LayerKind::Veneer && !in_board {
            let there = (i < face && on.face) || (i >= layers.len() - back && on.back);
            if !there {
                let id = veneer(ledger, ripped, layer, lot, shop);
                cut.push((id.clone(), layer));
                stack.push(id);
            }
        } else {
            if left < SAME {
                stack.push(lot.to_owned());
                left = kind.plywood;
            }
            left -= layer.thickness;
        }
    }
    for (at, (id, layer)) in cut.iter().enumerate() {
        if cut[..at].iter().any(|(known, _)| known == id) {
            continue;
        }
        let number = cut.iter().filter(|(other, _)| other == id).count() as u64;
        let piece = ledger.get(id);
        let work = Work::CutVeneer {
            colour: colour_name(layer.colour, shop),
            width: piece.section.bounds().width(),
            length: piece.piece.length,
        };
        ledger.step(Draft {
            cautions: vec![Caution::Knife],
            ..Draft::of(
                work,
                Vec::new(),
                vec![of(id.clone(), number * ripped.count)],
            )
        });
    }
    stack
}

/// The lot of a veneer that stands out beyond a board on every side.
fn veneer(
    ledger: &mut Ledger,
    ripped: &RippedBlanks,
    layer: &Layer,
    lot: &str,
    shop: &Shop,
) -> String {
    let over = 2.0 * shop.cutting.overhang;
    let board = ledger.get(lot);
    let section = rectangle(board.section.bounds().width() + over, layer.thickness);
    let piece = Piece {
        id: format!(
            "veneer {} for {}",
            colour_name(layer.colour, shop),
            lot.trim_start_matches("core ")
        ),
        kind: PieceKind::Veneer,
        sheet: sheet_label(ripped.sheet),
        section: corners(&section),
        layers: vec![band(layer)],
        length: board.piece.length + over,
    };
    ledger.lot(piece, &section)
}

/// What stays the same for the sheets of one lot of boards.
struct Bench<'a> {
    ledger: &'a mut Ledger,
    count: u64,
    shop: &'a Shop,
    one_sided: bool,
    lot: &'a str,
}

impl Bench<'_> {
    /// The sheets of a stack, and what they take.
    fn sheets(&mut self, stack: &[String], name: &str) -> (Vec<Of>, Of) {
        let board = self.ledger.get(self.lot).piece.clone();
        let width = self.ledger.get(self.lot).section.bounds().width();
        let mut takes: Vec<Of> = Vec::new();
        let mut layers = Vec::new();
        for id in stack {
            layers.extend(self.ledger.get(id).piece.layers.iter().cloned());
            match takes.iter_mut().find(|of| of.piece == *id) {
                Some(known) => known.count += self.count,
                None => takes.push(of(id.clone(), self.count)),
            }
        }
        let section = rectangle(width, layers.iter().map(|l| l.thickness).sum());
        let piece = Piece {
            id: format!("{name} {}", self.lot.trim_start_matches("core ")),
            kind: PieceKind::Sheet,
            section: corners(&section),
            layers,
            ..board
        };
        let id = self.ledger.lot(piece, &section);
        (takes, of(id, self.count))
    }

    fn is_veneer(&self, id: &str) -> bool {
        self.ledger.get(id).piece.kind == PieceKind::Veneer
    }

    fn press(&mut self, stack: Vec<String>, name: &str) -> String {
        let (takes, sheets) = self.sheets(&stack, name);
        let sheet = self.ledger.get(&sheets.piece);
        let area = sheet.section.bounds().width() * sheet.piece.length;
        let boards = stack.iter().filter(|id| !self.is_veneer(id)).count();
        let pressures = if boards == 1 {
            VENEER_PRESSURES
        } else {
            PRESSURES
        };
        let id = sheets.piece.clone();
        self.ledger.step(Draft {
            cautions: vec![Caution::Press],
            ..Draft::of(
                Work::Press {
                    stack,
                    overhang: self.shop.cutting.overhang,
                    one_sided: self.one_sided,
                    clamping: Clamping::of(area, pressures, self.shop.clamps.force),
                    rest: PRESSED,
                },
                takes,
                vec![sheets],
            )
        });
        id
    }

    fn iron(&mut self, stack: Vec<String>) -> String {
        let (takes, sheets) = self.sheets(&stack, "sheet");
        self.ledger.step(Draft::of(
            Work::Coat { dry: DRIES },
            takes.clone(),
            takes.clone(),
        ));
        let id = sheets.piece.clone();
        self.ledger.step(Draft {
            cautions: vec![Caution::Iron],
            ..Draft::of(
                Work::Iron {
                    stack,
                    overhang: self.shop.cutting.overhang,
                    one_sided: self.one_sided,
                },
                takes,
                vec![sheets],
            )
        });
        id
    }
}
