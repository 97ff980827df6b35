//! The tiles of a panel while hands work on them.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::edit::{Act, At, Brush, Edit};
use super::error::EditError;
use crate::geom::{Isometry, Point, TOLERANCE};
use crate::layout::images::{Images, image};
use crate::layout::laying::Repeat;
use crate::layout::{Cell, Cells, NumberedCell, Panel, fits};
use crate::recipe::outcome::{Hands, Outcome};
use crate::stock::{Pose, Tile, TileKind};

/// A panel, and what was changed of it.
pub(super) struct Table<'a> {
    panel: &'a Panel,
    hands: &'a Hands,
    cells: &'a Arc<Cells>,
    kinds: &'a [Arc<TileKind>],
    images: Images<'a>,
    /// The centre of a brush's symmetries, once it was worked out.
    middles: BTreeMap<Brush, Point>,
    /// Cells by number: the tile that was laid by hand, or none where the cell is given back to the
    /// rules.
    changed: BTreeMap<usize, Option<Tile>>,
}

impl<'a> Table<'a> {
    pub(super) fn of(outcome: &'a Outcome, panel: usize) -> Result<Self, EditError> {
        let (Some(made), Some(hands)) = (outcome.panels.get(panel), outcome.hands.get(panel))
        else {
            return Err(EditError::NoCells);
        };
        let hands = &hands.thing;
        let cells = hands.cells.as_ref().ok_or(EditError::NoCells)?;
        Ok(Self {
            panel: made,
            hands,
            images: Images::of(cells),
            middles: BTreeMap::new(),
            cells,
            kinds: &outcome.kinds,
            changed: BTreeMap::new(),
        })
    }

    /// The changes by cell; cells that got the tile that they had are left out.
    pub(super) fn changes(&self) -> BTreeMap<Cell, Option<Tile>> {
        let all = self.changed.iter();
        all.map(|(&n, tile)| (self.cell(n), tile.clone())).collect()
    }

    /// A cell as errors name it.
    pub(super) fn numbered(&self, cell: Cell) -> NumberedCell {
        self.cells.numbered(cell)
    }

    /// Whether a cell was laid by hand before.
    pub(super) fn is_laid(&self, cell: Cell) -> bool {
        self.hands.laid.contains_key(&cell)
    }

    /// Whether a cell showed this tile before.
    pub(super) fn shows(&self, cell: Cell, tile: &Tile) -> bool {
        let number = self.cells.number(cell);
        number.is_some_and(|n| same(&self.before(n), tile))
    }

    /// What hands laid, by cell.
    pub(super) fn laid(&self) -> BTreeMap<Cell, Tile> {
        let laid = self.hands.laid.keys();
        let numbered = laid.filter_map(|&cell| Some((cell, self.cells.number(cell)?)));
        numbered.map(|(cell, n)| (cell, self.before(n))).collect()
    }

    /// The block of a repeat, where each of its cells was laid somewhere, and none with two
    /// different tiles.
    pub(super) fn block(
        &self,
        laid: &BTreeMap<Cell, Tile>,
        repeat: Repeat,
    ) -> Option<BTreeMap<Cell, Tile>> {
        let mut block: BTreeMap<Cell, Tile> = BTreeMap::new();
        for (&cell, tile) in laid {
            let (from, across, over) = repeat.source(cell);
            self.cells.number(from)?;
            let by = Repeat::mirrored(across, over);
            let shown = if across || over {
                image(self.cells, tile, cell, by, from)
            } else {
                tile.clone()
            };
            match block.get(&from) {
                Some(known) if !same(known, &shown) => return None,
                Some(_) => {}
                None => {
                    block.insert(from, shown);
                }
            }
        }
        let all = usize::try_from(repeat.columns * repeat.courses).ok();
        (Some(block.len()) == all).then_some(block)
    }

    /// The tile of each cell in a repeat of this block.
    pub(super) fn filled(
        &self,
        block: &BTreeMap<Cell, Tile>,
        repeat: Repeat,
    ) -> BTreeMap<Cell, Tile> {
        let cells = self.cells.list().iter();
        let one = |&cell: &Cell| {
            let (from, across, over) = repeat.source(cell);
            let tile = block.get(&from)?;
            let shown = if across || over {
                image(self.cells, tile, from, Repeat::mirrored(across, over), cell)
            } else {
                tile.clone()
            };
            Some((cell, shown))
        };
        cells.filter_map(one).collect()
    }

    /// Whether the images of some tiles fall on none that differ from them, and on some cell that has
    /// none of them.
    pub(super) fn agrees(&self, laid: &BTreeMap<Cell, Tile>, brush: Brush) -> bool {
        let mut new = false;
        let middle = self.images.middle(&brush.moves());
        for by in brush.moves() {
            for (&cell, tile) in laid {
                let number = self.cells.number(cell);
                let Some(to) = number.and_then(|n| self.images.image_about(middle, n, by)) else {
                    continue;
                };
                let there = self.cell(to);
                let shown = image(self.cells, tile, cell, by, there);
                match laid.get(&there) {
                    Some(other) if !self.looks_same(to, other, &shown) => return false,
                    Some(_) => {}
                    None => new = true,
                }
            }
        }
        new
    }

    /// The brushes all of whose symmetries map some cell to another.
    pub(super) fn brushes(&self) -> Vec<Brush> {
        let cells = self.cells.list().len();
        let leads_on = |brush: &Brush| {
            let moves = brush.moves();
            let middle = self.images.middle(&moves);
            let image = |n, by| self.images.image_about(middle, n, by);
            let mut moves = moves.into_iter();
            moves.all(|by| (0..cells).any(|n| image(n, by).is_some_and(|to| to != n)))
        };
        let all = Brush::ALL.iter().map(|&(brush, _)| brush);
        all.filter(leads_on).collect()
    }

    /// Whether two tiles show the same in a cell.
    fn looks_same(&self, number: usize, a: &Tile, b: &Tile) -> bool {
        let turned = self.cells.lattice().classes()[self.class(number)].turned;
        let face = |tile: &Tile| {
            tile.kind
                .face()
                .posed(tile.isometry().then(turned).linear())
        };
        a.kind.name() == b.kind.name() && face(a).looks_like(&face(b))
    }

    fn cell(&self, number: usize) -> Cell {
        self.cells.list()[number]
    }

    fn class(&self, number: usize) -> usize {
        self.cells.lattice().class_of(self.cell(number))
    }

    /// The tile of a cell as the panel was made, in its own terms: before its cell turned it.
    fn before(&self, number: usize) -> Tile {
        let face = &self.panel.faces[self.panel.tiles[number].face as usize];
        let seen = Tile {
            kind: Arc::clone(&face.kind),
            pose: face.pose,
        };
        let turned = self.cells.lattice().classes()[self.class(number)].turned;
        seen.showing(seen.isometry().then(turned.linear().inverse()))
    }

    /// The tile that the rules put into a cell.
    fn by_rule(&self, number: usize) -> Option<Tile> {
        match self.hands.laid.get(&self.cell(number)) {
            Some(under) => under.clone(),
            None => Some(self.before(number)),
        }
    }

    /// The tile of a cell now.
    fn now(&self, number: usize) -> Tile {
        let changed = self.changed.get(&number).cloned();
        let given_back = || self.by_rule(number);
        let changed = changed.and_then(|tile| tile.or_else(given_back));
        changed.unwrap_or_else(|| self.before(number))
    }

    fn number(&self, at: At) -> Result<usize, EditError> {
        let [column, course] = at;
        let cell = Cell { column, course };
        self.cells.number(cell).ok_or(EditError::NoCell(cell))
    }

    fn numbers(&self, cells: &[At]) -> Result<Vec<usize>, EditError> {
        cells.iter().map(|&at| self.number(at)).collect()
    }

    pub(super) fn carry_out(&mut self, edit: &Edit) -> Result<(), EditError> {
        let mut new: Vec<(usize, Option<Tile>)> = Vec::new();
        match &edit.act {
            Act::Lay {
                cells,
                kind,
                turn,
                flip,
            } => {
                let pose = Pose {
                    flip: *flip,
                    turn: crate::geom::angle::tidied(*turn),
                };
                let known = self.kinds.iter().find(|k| k.name() == kind);
                let kind = known.ok_or_else(|| EditError::NoKind(kind.clone()))?;
                let tile = Tile {
                    kind: Arc::clone(kind),
                    pose,
                };
                for number in self.numbers(cells)? {
                    new.push((
                        number,
                        Some(self.fitted(std::slice::from_ref(&tile), number)?),
                    ));
                }
            }
            Act::Rotate { cells, steps } => {
                for number in self.numbers(cells)? {
                    let tile = self.now(number);
                    let turned = fits::turned(self.cells, &tile, self.class(number), *steps);
                    new.extend(turned.map(|tile| (number, Some(tile))));
                }
                if new.is_empty() {
                    return Err(EditError::NoTurn);
                }
            }
            Act::Flip { cells } => {
                for number in self.numbers(cells)? {
                    let tile = self.now(number);
                    let over = fits::turned_over(self.cells, &tile, self.class(number));
                    new.extend(over.map(|tile| (number, Some(tile))));
                }
                if new.is_empty() {
                    return Err(EditError::NoFlip);
                }
            }
            Act::Swap { one, other } => {
                let (one, other) = (self.number(*one)?, self.number(*other)?);
                for (from, to) in [(one, other), (other, one)] {
                    let tile = self.now(from);
                    let (cell, there) = (self.cell(from), self.cell(to));
                    let seen = image(self.cells, &tile, cell, Isometry::IDENTITY, there);
                    let tile = self.fitted(&[seen, tile], to)?;
                    new.push((to, Some(tile)));
                }
            }
            Act::GiveBack { cells } => {
                new.extend(self.numbers(cells)?.into_iter().map(|n| (n, None)));
            }
            // A repeat is written by itself, as a whole.
            Act::Repeat { .. } => return Err(EditError::NoRepeat),
        }
        self.spread(edit, new);
        Ok(())
    }

    /// The first of some tiles of one kind that fits a cell, else the first way in which the kind does.
    fn fitted(&self, tiles: &[Tile], number: usize) -> Result<Tile, EditError> {
        let class = &self.cells.lattice().classes()[self.class(number)];
        let fits_here = |tile: &&Tile| {
            let by = tile.isometry().then(class.turned).linear();
            let outline = tile.kind.face().outline().moved(by);
            outline.coincides(&class.shape.outline, TOLERANCE)
        };
        if let Some(tile) = tiles.iter().find(fits_here) {
            return Ok(tile.clone());
        }
        let kind = &tiles[0].kind;
        let misfit = || EditError::Misfit {
            kind: kind.name().to_owned(),
            cell: self.numbered(self.cell(number)),
        };
        fits::fits(kind, class)
            .into_iter()
            .next()
            .ok_or_else(misfit)
    }

    /// The simplest pose with the same look in a cell: not flipped, and turned least.
    fn simplest(&self, number: usize, tile: Tile) -> Tile {
        let class = &self.cells.lattice().classes()[self.class(number)];
        let face = |tile: &Tile| {
            let by = tile.isometry().then(class.turned).linear();
            tile.kind.face().posed(by)
        };
        let wanted = face(&tile);
        let ways = fits::fits(&tile.kind, class).into_iter();
        let mut alike = ways.filter(|way| face(way).looks_like(&wanted));
        alike.next().unwrap_or(tile)
    }

    /// Takes over new tiles, and does the same to their images. The first edit of a cell wins: an
    /// image never replaces what hands did themselves.
    fn spread(&mut self, edit: &Edit, new: Vec<(usize, Option<Tile>)>) {
        let mut done: BTreeSet<usize> = BTreeSet::new();
        let mut all = Vec::new();
        let moves = edit.brush.moves();
        let images = &self.images;
        let middle = self.middles.entry(edit.brush);
        let middle = *middle.or_insert_with(|| images.middle(&moves));
        for (number, tile) in new {
            if !done.insert(number) {
                continue;
            }
            for &by in &moves {
                let to = self.images.image_about(middle, number, by);
                let Some(to) = to.filter(|to| done.insert(*to)) else {
                    continue;
                };
                let (from, there) = (self.cell(number), self.cell(to));
                let shown = tile
                    .as_ref()
                    .map(|tile| self.simplest(to, image(self.cells, tile, from, by, there)));
                all.push((to, shown));
            }
            all.push((number, tile));
        }
        if let Some([columns, courses]) = edit.every.filter(|&[c, r]| c > 0 && r > 0) {
            let mut block: BTreeMap<(i32, i32), Option<Tile>> = BTreeMap::new();
            let place = |cell: Cell| {
                let column = cell.column.rem_euclid(columns);
                (column, cell.course.rem_euclid(courses))
            };
            for (number, tile) in &all {
                block
                    .entry(place(self.cell(*number)))
                    .or_insert_with(|| tile.clone());
            }
            for (number, &cell) in self.cells.list().iter().enumerate() {
                if let Some(tile) = block.get(&place(cell))
                    && done.insert(number)
                {
                    all.push((number, tile.clone()));
                }
            }
        }
        // What is laid on purpose stays, come what may; else a tile as the rules have it is theirs.
        let on_purpose = matches!(edit.act, Act::Lay { .. });
        let settled = |(number, tile): (usize, Option<Tile>)| {
            let tile = tile.and_then(|tile| {
                let theirs = !on_purpose && self.by_rule(number).is_some_and(|t| same(&t, &tile));
                (!theirs).then_some(tile)
            });
            (number, tile)
        };
        let all: Vec<_> = all.into_iter().map(settled).collect();
        self.changed.extend(all);
    }
}

/// Whether two tiles are the same kind in the same pose.
pub(super) fn same(a: &Tile, b: &Tile) -> bool {
    a.kind.name() == b.kind.name()
        && a.pose.flip == b.pose.flip
        && (a.pose.turn - b.pose.turn).abs() < 1e-9
}
