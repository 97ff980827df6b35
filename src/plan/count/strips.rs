//! From bars to strips: which strips a panel is made of, which of them are ripped from a sheet at
//! once, and which come of ripping a wider strip again.
//!
//! Two strips are of one kind when a shop could take either: the same sheet and the same section as
//! ripped, up to turning a strip end for end and, where the sheet reads the same from both faces,
//! rolling it over. Everything in mm.

use std::sync::Arc;

use crate::plan::{
    count::lay::Profile,
    count::ripped::{RippedSection, SAME, tree},
    count::sheets::{SheetKind, of_boards, same_sheet},
    count::thickness::Wood,
    rounds::is_of_slats,
};
use crate::watch;
use crate::{
    geom::{Point, Polygon, TOLERANCE},
    layout::panel::Panel,
    stock::{Bar, Strip, TileKind, shapes::Shape, strip::Origin},
};

/// Bars whose scales differ by less are of one scale.
const SAME_SCALE: f64 = 1e-9;

/// A kind of strip as it goes into bars.
#[derive(Debug, Clone, PartialEq)]
pub struct PartKind {
    /// Which of the sheets.
    pub sheet: usize,
    /// Its shape in plain words.
    pub shape: &'static str,
    /// The sections it went through, as ripped: from the strip that left the sheet to its own.
    pub chain: Vec<Polygon>,
}

/// A kind of strip as it leaves the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct RipKind {
    /// Which of the sheets.
    pub sheet: usize,
    /// Its shape in plain words.
    pub shape: &'static str,
    /// Its section as it is set on the saw: wider by the kerfs of further rips.
    pub profile: Profile,
    /// How much wider, in mm.
    pub widened: f64,
    /// The further rips.
    pub pieces: RippedSection,
    /// Which parts one strip gives, and how many of each.
    pub yields: Vec<(usize, u64)>,
}

/// A kind of bar.
#[derive(Debug, Clone, PartialEq)]
pub struct BarKind {
    /// The bar.
    pub bar: Arc<Bar>,
    /// The parts it is made of, and how many of each.
    pub parts: Vec<(usize, u64)>,
    /// The tiles sliced from it: index into [`Kinds::tiles`].
    pub tiles: Vec<usize>,
    /// Slices to make of it, where bars of other boards give the rest of these tiles; none where it gives all.
    pub share: Option<u64>,
}

/// A kind of tile and how often the panel has it.
#[derive(Debug, Clone, PartialEq)]
pub struct TileCount {
    /// The kind.
    pub kind: Arc<TileKind>,
    /// Tiles that stay whole.
    pub whole: u64,
    /// Tiles that the trim cuts into.
    pub trimmed: u64,
}

/// Everything that the panels are made of, each kind once, in the order of first use.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Kinds {
    /// Tiles.
    pub tiles: Vec<TileCount>,
    /// Bars.
    pub bars: Vec<BarKind>,
    /// Strips as they go into bars.
    pub parts: Vec<PartKind>,
    /// Strips as they leave the sheet.
    pub rips: Vec<RipKind>,
    /// Sheets.
    pub sheets: Vec<SheetKind>,
}

impl Kinds {
    /// The kinds of some panels; `kerf` is what further rips of a strip take, in mm.
    pub fn of(panels: &[&Panel], kerf: f64) -> Self {
        let mut kinds = Self::default();
        for panel in panels.iter().filter(|panel| !is_of_slats(panel)) {
            kinds.count_tiles(panel);
        }
        kinds.tiles.retain(|t| t.whole + t.trimmed > 0);
        for tile in 0..kinds.tiles.len() {
            let bar = Arc::clone(kinds.tiles[tile].kind.bar());
            kinds.add_bar(bar, tile, &[]);
        }
        kinds.settle(kerf);
        kinds
    }

    /// The same ripped from boards as thick as they are, and glued to bars of each wood by itself; none where a bar
    /// does not close of one.
    pub(super) fn of_wood(&self, woods: &[&[Wood]], kerf: f64) -> Option<Self> {
        let mut kinds = Self {
            tiles: self.tiles.clone(),
            ..Self::default()
        };
        for wood in woods {
            for drawn in &self.bars {
                let bar = glued_of(&drawn.bar, wood)?;
                for &tile in &drawn.tiles {
                    kinds.add_bar(Arc::clone(&bar), tile, wood);
                }
            }
        }
        kinds.settle(kerf);
        Some(kinds)
    }

    /// By how much all bars are larger than the recipe draws them; none where they differ in that.
    pub fn scale(&self) -> Option<f64> {
        let mut each = self.bars.iter().map(|bar| {
            let drawn = self.tiles[bar.tiles[0]].kind.bar().outline().area();
            (bar.bar.outline().area() / drawn).sqrt()
        });
        let first = each.next()?;
        each.all(|scale| (scale - first).abs() < SAME_SCALE)
            .then_some(first)
    }

    /// Whether a bar gives tiles of a kind.
    pub fn gives(&self, bar: &BarKind, tile: &Arc<TileKind>) -> bool {
        let mut tiles = bar.tiles.iter().map(|&at| &self.tiles[at].kind);
        tiles.any(|known| Arc::ptr_eq(known, tile) || known == tile)
    }

    /// What further rips take, and which parts each rip gives.
    fn settle(&mut self, kerf: f64) {
        for rip in &mut self.rips {
            rip.widened = rip.pieces.widening(kerf);
            rip.profile = rip.profile.widened(rip.widened);
        }
        for rip in 0..self.rips.len() {
            self.rips[rip].yields = self.yields(&self.rips[rip]);
        }
    }

    fn count_tiles(&mut self, panel: &Panel) {
        let mut of_face = Vec::with_capacity(panel.faces.len());
        for face in &panel.faces {
            watch::ask();
            let same = |t: &TileCount| Arc::ptr_eq(&t.kind, &face.kind) || t.kind == face.kind;
            let at = self.tiles.iter().position(same).unwrap_or_else(|| {
                self.tiles.push(TileCount {
                    kind: Arc::clone(&face.kind),
                    whole: 0,
                    trimmed: 0,
                });
                self.tiles.len() - 1
            });
            of_face.push(at);
        }
        for tile in &panel.tiles {
            watch::ask();
            let Some(&kind) = of_face.get(tile.face as usize) else {
                continue;
            };
            if tile.whole {
                self.tiles[kind].whole += 1;
            } else {
                self.tiles[kind].trimmed += 1;
            }
        }
    }

    fn add_bar(&mut self, bar: Arc<Bar>, tile: usize, wood: &[Wood]) {
        let same = |b: &&mut BarKind| Arc::ptr_eq(&b.bar, &bar) || b.bar == bar;
        if let Some(known) = self.bars.iter_mut().find(same) {
            if !known.tiles.contains(&tile) {
                known.tiles.push(tile);
            }
            return;
        }
        let mut parts: Vec<(usize, u64)> = Vec::new();
        for part in bar.parts() {
            watch::ask();
            let kind = self.part(&part.strip, wood);
            match parts.iter_mut().find(|(k, _)| *k == kind) {
                Some((_, count)) => *count += 1,
                None => parts.push((kind, 1)),
            }
        }
        self.bars.push(BarKind {
            bar,
            parts,
            tiles: vec![tile],
            share: None,
        });
    }

    /// The kind of a strip, new or known.
    fn part(&mut self, strip: &Strip, wood: &[Wood]) -> usize {
        let (sheet, over) = self.sheet(strip, wood);
        let depth = self.sheets[sheet].thickness;
        let mut chain = chain(strip);
        if over {
            chain = moved(&chain, false, true, depth);
        }
        if let Some(known) = self.known_part(sheet, &chain) {
            return known;
        }
        let ways = self.ways(sheet);
        let mut plan = tree(&chain);
        let merged = self
            .rips
            .iter_mut()
            .filter(|r| r.sheet == sheet)
            .any(|rip| {
                ways.iter().any(|&(mirror, over)| {
                    let other = tree(&moved(&chain, mirror, over, depth));
                    match rip.pieces.merged(&other) {
                        Some(both) => {
                            rip.pieces = both;
                            true
                        }
                        None => false,
                    }
                })
            });
        if !merged {
            plan.settle();
            self.rips.push(RipKind {
                sheet,
                shape: Shape::of(&chain[0]).name(),
                profile: Profile::of(&chain[0], depth),
                widened: 0.0,
                pieces: plan,
                yields: vec![],
            });
        }
        self.parts.push(PartKind {
            sheet,
            shape: Shape::of(&chain[chain.len() - 1]).name(),
            chain,
        });
        self.parts.len() - 1
    }

    /// The sheet's kind, and whether this one lies turned over.
    fn sheet(&mut self, strip: &Strip, wood: &[Wood]) -> (usize, bool) {
        for (i, kind) in self.sheets.iter().enumerate() {
            if let Some(over) = same_sheet(&kind.sheet, strip.sheet()) {
                return (i, over);
            }
        }
        self.sheets
            .push(SheetKind::ripped_from(strip.sheet(), wood));
        (self.sheets.len() - 1, false)
    }

    /// The motions that leave a strip of this sheet of one kind: mirrored left for right, and
    /// mirrored face for back.
    fn ways(&self, sheet: usize) -> Vec<(bool, bool)> {
        let mut ways = vec![(false, false), (true, false)];
        if self.sheets[sheet].same_both_ways {
            ways.extend([(false, true), (true, true)]);
        }
        ways
    }

    /// The kind of a strip of these panels, and whether its sheet lies turned over in the recipe.
    pub fn part_of(&self, strip: &Strip) -> Option<(usize, bool)> {
        let mut sheets = self.sheets.iter().enumerate();
        let (sheet, over) =
            sheets.find_map(|(i, kind)| Some((i, same_sheet(&kind.sheet, strip.sheet())?)))?;
        let mut chain = chain(strip);
        if over {
            chain = moved(&chain, false, true, self.sheets[sheet].thickness);
        }
        Some((self.known_part(sheet, &chain)?, over))
    }

    /// The kind of a strip that has gone through these sections of a sheet, each as ripped.
    pub fn known_part(&self, sheet: usize, chain: &[Polygon]) -> Option<usize> {
        let depth = self.sheets[sheet].thickness;
        let ways = self.ways(sheet);
        self.parts.iter().position(|part| {
            part.sheet == sheet
                && part.chain.len() == chain.len()
                && ways.iter().any(|&(mirror, over)| {
                    let other = moved(chain, mirror, over, depth);
                    part.chain
                        .iter()
                        .zip(&other)
                        .all(|(a, b)| a.coincides(b, SAME))
                })
        })
    }

    fn yields(&self, rip: &RipKind) -> Vec<(usize, u64)> {
        let mut yields: Vec<(usize, u64)> = Vec::new();
        for chain in rip.pieces.chains() {
            watch::ask();
            let Some(part) = self.known_part(rip.sheet, &chain) else {
                continue;
            };
            match yields.iter_mut().find(|(p, _)| *p == part) {
                Some((_, count)) => *count += 1,
                None => yields.push((part, 1)),
            }
        }
        yields
    }
}

/// The bar glued of strips from wood as thick as it is; none where its parts do not close then.
fn glued_of(bar: &Arc<Bar>, wood: &[Wood]) -> Option<Arc<Bar>> {
    if wood.iter().all(Wood::is_as_drawn) {
        return Some(Arc::clone(bar));
    }
    let gaps = bar.joints().iter().map(|joint| 2.0 * joint.gap.abs());
    let open = gaps.fold(TOLERANCE, f64::max);
    let glued = bar.on_sheets(|sheet| of_boards(sheet, wood), open);
    glued.ok().map(Arc::new)
}

/// The sections from the strip that left the sheet to this one, as ripped; the first begins at 0.
fn chain(strip: &Strip) -> Vec<Polygon> {
    let mut chain = vec![strip.as_ripped()];
    let mut at = strip;
    while let Origin::Strip { from, .. } = at.origin() {
        chain.push(from.as_ripped());
        at = from;
    }
    chain.reverse();
    moved(&chain, false, false, 0.0)
}

/// The sections mirrored left for right, or face for back, with the first one's left bound at 0.
fn moved(chain: &[Polygon], mirror: bool, over: bool, depth: f64) -> Vec<Polygon> {
    let place = |p: Point| {
        Point::new(
            if mirror { -p.x } else { p.x },
            if over { depth - p.y } else { p.y },
        )
    };
    let turned: Vec<Vec<Point>> = chain
        .iter()
        .map(|polygon| polygon.corners().iter().map(|&p| place(p)).collect())
        .collect();
    let left = turned.first().map_or(0.0, |root| {
        root.iter().map(|p| p.x).fold(f64::INFINITY, f64::min)
    });
    turned
        .into_iter()
        .map(|corners| {
            let shift = |p: Point| Point::new(p.x - left, p.y);
            Polygon::clockwise(corners.into_iter().map(shift).collect())
        })
        .collect()
}
