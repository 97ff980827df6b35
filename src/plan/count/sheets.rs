//! The sheets of a panel: what plywood each is made of, and which veneers lie on its faces.

use std::sync::Arc;

use super::thickness::{Wood, near};
use crate::stock::{Colour, Grain, Layer, LayerKind, Sheet};

/// Two thicknesses nearer than this, in mm, are the same.
const SAME: f64 = 1e-6;

/// A sheet that strips are ripped from.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetKind {
    /// Its layers.
    pub sheet: Arc<Sheet>,
    /// Thickness in mm.
    pub thickness: f64,
    /// Thickness of each plywood in it, in mm.
    pub plywood: f64,
    /// How many such plywoods are laminated to one another.
    pub plywoods: u64,
    /// The plywood's wood.
    pub wood: Colour,
    /// Plies of each plywood.
    pub plies: usize,
    /// Veneers on the face, the outermost first.
    pub face: Vec<Colour>,
    /// Veneers on the back, the outermost first.
    pub back: Vec<Colour>,
    /// Veneers between the plywoods, from the face on.
    pub between: Vec<Colour>,
    /// Which way the plywood's own outer ply runs.
    pub grain: Grain,
    /// Whether the layers read the same from either face.
    pub same_both_ways: bool,
    /// Thickness of each plywood as the recipe draws it, in mm.
    pub drawn: f64,
    /// Least and greatest thickness of boards that it is ripped from, in mm; boards without one are as thick as drawn.
    pub boards: [f64; 2],
}

impl SheetKind {
    /// A sheet of boards that were measured, where its plywood is one of these.
    pub(super) fn ripped_from(sheet: &Arc<Sheet>, wood: &[Wood]) -> Self {
        let mut kind = Self::of(sheet);
        let of = wood
            .iter()
            .find(|w| (w.thickness - kind.plywood).abs() < SAME);
        if let Some(wood) = of {
            (kind.drawn, kind.boards) = (wood.drawn, wood.boards());
        }
        kind
    }

    pub(super) fn of(sheet: &Arc<Sheet>) -> Self {
        let layers = sheet.layers();
        let is_ply = |l: &Layer| l.kind == LayerKind::Ply;
        let runs: Vec<&[Layer]> = layers
            .split(|l| !is_ply(l))
            .filter(|run| !run.is_empty())
            .flat_map(boards)
            .collect();
        let thick = |run: &[Layer]| run.iter().map(|l| l.thickness).sum::<f64>();
        let first = layers.iter().position(is_ply);
        let last = layers.iter().rposition(is_ply);
        let (Some(first), Some(last)) = (first, last) else {
            return Self::block(sheet);
        };
        let each = thick(runs[0]);
        let alike = runs.iter().all(|run| {
            let as_first = run.iter().zip(runs[0]).all(|(a, b)| same_layer(a, b));
            run.len() == runs[0].len() && as_first
        });
        let veneers = |part: &[Layer]| -> Vec<Colour> {
            part.iter()
                .filter(|l| l.kind == LayerKind::Veneer)
                .map(|l| l.colour)
                .collect()
        };
        let mut back = veneers(&layers[last + 1..]);
        back.reverse();
        // Plywoods that differ are counted as one board that is laminated already.
        let plywood = if alike {
            each
        } else {
            thick(&layers[first..=last])
        };
        Self {
            sheet: Arc::clone(sheet),
            thickness: sheet.thickness(),
            plywood,
            plywoods: if alike { runs.len() as u64 } else { 1 },
            wood: layers[first].colour,
            plies: if alike {
                runs[0].len()
            } else {
                runs.iter().map(|r| r.len()).sum()
            },
            face: veneers(&layers[..first]),
            back,
            between: if alike {
                veneers(&layers[first..=last])
            } else {
                vec![]
            },
            grain: layers[first].grain,
            same_both_ways: same_both_ways(sheet),
            drawn: plywood,
            boards: near(plywood),
        }
    }

    /// A block of veneers alone counts as a board of its own.
    fn block(sheet: &Arc<Sheet>) -> Self {
        let layers = sheet.layers();
        Self {
            sheet: Arc::clone(sheet),
            thickness: sheet.thickness(),
            plywood: sheet.thickness(),
            plywoods: 1,
            wood: layers[0].colour,
            plies: layers.len(),
            face: vec![],
            back: vec![],
            between: vec![],
            grain: layers[0].grain,
            same_both_ways: same_both_ways(sheet),
            drawn: sheet.thickness(),
            boards: near(sheet.thickness()),
        }
    }

    /// The layers of each plywood in it, without the veneers that are glued on; all layers of a block of
    /// veneers.
    pub(in crate::plan) fn board(&self) -> &[Layer] {
        let layers = self.sheet.layers();
        let Some(first) = layers.iter().position(|l| l.kind == LayerKind::Ply) else {
            return layers;
        };
        let mut left = self.plywood;
        let of_board = layers[first..].iter().take_while(|l| {
            let more = left > SAME;
            left -= l.thickness;
            more
        });
        &layers[first..first + of_board.count()]
    }

    /// Whether both can be made of one board, either way up.
    pub(super) fn shares_board(&self, other: &Self) -> bool {
        let (a, b) = (self.board(), other.board());
        let same = a.len() == b.len() && a.iter().zip(b).all(|(x, y)| same_layer(x, y));
        same || reversed_alike(a, b)
    }

    /// All veneers that are glued on, from the face to the back.
    pub fn veneers(&self) -> impl Iterator<Item = Colour> + '_ {
        self.face
            .iter()
            .chain(&self.between)
            .chain(self.back.iter().rev())
            .copied()
    }
}

/// The sheet laminated of boards as thick as they are: the plies of its plywood follow, veneers stay.
pub(super) fn of_boards(sheet: &Arc<Sheet>, wood: &[Wood]) -> Arc<Sheet> {
    let plywood = SheetKind::of(sheet).plywood;
    let is_of = |wood: &&Wood| (wood.drawn - plywood).abs() < SAME && !wood.is_as_drawn();
    let Some(by) = (wood.iter().find(is_of)).map(|wood| wood.thickness / wood.drawn) else {
        return Arc::clone(sheet);
    };
    let plies = (sheet.layers().iter()).any(|layer| layer.kind == LayerKind::Ply);
    let layers = sheet.layers().iter().map(|layer| Layer {
        thickness: layer.thickness
            * if layer.kind == LayerKind::Ply || !plies {
                by
            } else {
                1.0
            },
        ..*layer
    });
    Sheet::new(layers.collect()).map_or_else(|_| Arc::clone(sheet), Arc::new)
}

/// Fewest plies of a plywood (common practice: an odd number of them).
const FEWEST_PLIES: usize = 3;

/// The boards that plies on one another come from: a plywood ends where two plies of one grain meet, as in a plywood
/// each crosses the next. Plies that make no plywoods so are one board.
fn boards(plies: &[Layer]) -> Vec<&[Layer]> {
    let crossed = |a: &Layer, b: &Layer| a.grain != b.grain || a.grain == Grain::None;
    let boards: Vec<&[Layer]> = plies.chunk_by(crossed).collect();
    if boards.iter().all(|board| board.len() >= FEWEST_PLIES) {
        boards
    } else {
        vec![plies]
    }
}

/// Whether two sheets are the same: `Some(false)` as they lie, `Some(true)` when one is turned over.
pub(super) fn same_sheet(a: &Sheet, b: &Sheet) -> Option<bool> {
    let alike = a.layers().len() == b.layers().len()
        && a.layers()
            .iter()
            .zip(b.layers())
            .all(|(x, y)| same_layer(x, y));
    if alike {
        return Some(false);
    }
    reversed_alike(a.layers(), b.layers()).then_some(true)
}

/// Whether a sheet is the same from its face and from its back.
pub fn same_both_ways(sheet: &Sheet) -> bool {
    reversed_alike(sheet.layers(), sheet.layers())
}

fn reversed_alike(a: &[Layer], b: &[Layer]) -> bool {
    a.len() == b.len() && a.iter().zip(b.iter().rev()).all(|(x, y)| same_layer(x, y))
}

fn same_layer(a: &Layer, b: &Layer) -> bool {
    a.kind == b.kind
        && a.colour == b.colour
        && a.grain == b.grain
        && (a.thickness - b.thickness).abs() <= SAME
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layer(kind: LayerKind, thickness: f64, colour: &str, grain: Grain) -> Layer {
        Layer::new(kind, thickness, Colour::parse(colour).unwrap(), grain).unwrap()
    }

    /// Two boards that begin with the same ply and are equally thick are no one board.
    #[test]
    fn boards_of_unlike_plywoods_are_told_apart() {
        let of = |below: &str| {
            let ply = |c| layer(LayerKind::Ply, 6.0, c, Grain::Along);
            let layers = vec![
                layer(LayerKind::Veneer, 0.6, "navy", Grain::None),
                ply("birch"),
                ply(below),
            ];
            SheetKind::of(&Arc::new(Sheet::new(layers).unwrap()))
        };
        assert_eq!(of("walnut").board().len(), 2);
        assert!(of("walnut").shares_board(&of("walnut")));
        assert!(!of("walnut").shares_board(&of("cherry")));
    }

    /// Two plywoods that are laminated without a veneer between are two boards; plies of one grain alone are one.
    #[test]
    fn plywoods_on_one_another_are_boards_of_their_own() {
        let ply = |grain| layer(LayerKind::Ply, 3.0, "birch", grain);
        let board = [ply(Grain::Along), ply(Grain::Across), ply(Grain::Along)];
        let of = |layers: Vec<Layer>| {
            let kind = SheetKind::of(&Arc::new(Sheet::new(layers).unwrap()));
            (kind.plywoods, kind.plies, kind.board().len())
        };
        assert_eq!(of([board, board].concat()), (2, 3, 3));
        assert_eq!(of([board, board, board].concat()), (3, 3, 3));
        assert_eq!(of(board.to_vec()), (1, 3, 3));
        assert_eq!(of(vec![ply(Grain::Along); 6]), (1, 6, 6));
        let five = [board.to_vec(), vec![ply(Grain::Across), ply(Grain::Along)]].concat();
        // Plywoods that differ are one board that is laminated beforehand.
        assert_eq!(of([five, board.to_vec()].concat()), (1, 8, 8));
    }

    #[test]
    fn veneers_and_plywoods_are_told_apart() {
        let ply = |grain| layer(LayerKind::Ply, 3.0, "birch", grain);
        let veneer = |c| layer(LayerKind::Veneer, 0.6, c, Grain::None);
        let board = [ply(Grain::Along), ply(Grain::Across), ply(Grain::Along)];
        let mut layers = vec![veneer("teal"), veneer("white")];
        layers.extend(board);
        layers.push(veneer("black"));
        layers.extend(board);
        layers.push(veneer("crimson"));
        let sheet = Arc::new(Sheet::new(layers.clone()).unwrap());
        let kind = SheetKind::of(&sheet);
        assert_eq!((kind.plywoods, kind.plies), (2, 3));
        assert!((kind.plywood - 9.0).abs() < 1e-9 && (kind.thickness - 20.4).abs() < 1e-9);
        let c = |name| Colour::parse(name).unwrap();
        assert_eq!(kind.face, [c("teal"), c("white")]);
        assert_eq!(kind.between, [c("black")]);
        assert_eq!(kind.back, [c("crimson")]);
        assert_eq!(kind.veneers().count(), 4);
        assert!(!kind.same_both_ways);
        layers.reverse();
        let over = Sheet::new(layers).unwrap();
        assert_eq!(same_sheet(&sheet, &over), Some(true));
        assert_eq!(same_sheet(&sheet, &sheet), Some(false));
        let plain = Sheet::new(board.to_vec()).unwrap();
        assert_eq!(same_sheet(&sheet, &plain), None);
        assert!(SheetKind::of(&Arc::new(plain)).same_both_ways);
    }
}
