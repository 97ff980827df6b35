//! Which tile goes into each cell.

use std::sync::Arc;

use super::{
    LayoutError,
    cells::Cells,
    palette::Palette,
    random::{CellDraws, ListDraws, Weights},
};
use crate::stock::Tile;

/// In which order a list of tiles is repeated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// Each course begins anew: by column.
    AlongCourses,
    /// Each column begins anew: by course.
    DownColumns,
    /// The same tile on lines that fall to the left: by column plus course.
    FallingLeft,
    /// The same tile on lines that fall to the right: by column minus course.
    FallingRight,
    /// The same tile on each ring round the middle.
    Rings,
    /// Without a break, course by course from the left.
    Reading,
    /// Without a break, every other course from the right.
    BackAndForth,
}

impl Order {
    /// All orders with their names.
    pub const ALL: [(&'static str, Self); 7] = [
        ("along courses", Self::AlongCourses),
        ("down columns", Self::DownColumns),
        ("falling left", Self::FallingLeft),
        ("falling right", Self::FallingRight),
        ("rings", Self::Rings),
        ("reading", Self::Reading),
        ("back and forth", Self::BackAndForth),
    ];

    /// The order of a name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .find(|(known, _)| *known == name)
            .map(|&(_, order)| order)
    }
}

/// How tiles are chosen for cells.
#[derive(Debug, Clone, PartialEq)]
pub enum Rule {
    /// The same tile everywhere.
    One(Tile),
    /// A list repeated in an order.
    Sequence(Vec<Tile>, Order),
    /// One of some tiles for each cell, by chance.
    Random {
        /// Names the choice: other names choose independently.
        name: String,
        /// The tiles.
        tiles: Vec<Tile>,
        /// How often each comes up.
        weights: Weights,
    },
    /// Just these tiles, so many of each, in an order by chance.
    Bag {
        /// Names the choice.
        name: String,
        /// The tiles, and how many there are of each.
        tiles: Vec<(Tile, u64)>,
    },
}

impl Rule {
    /// Whether it depends on the seed.
    pub fn by_chance(&self) -> bool {
        matches!(self, Self::Random { .. } | Self::Bag { .. })
    }
}

/// A choice that has not been made.
const NONE: u32 = u32::MAX;

/// A tile for each cell, while it is being chosen.
#[derive(Debug, Clone)]
pub struct Filling {
    cells: Arc<Cells>,
    palette: Palette,
    picks: Vec<u32>,
    bag: Vec<(String, u64)>,
}

impl Filling {
    /// Empty cells.
    pub fn new(cells: Arc<Cells>) -> Self {
        Self {
            picks: vec![NONE; cells.list().len()],
            cells,
            palette: Palette::default(),
            bag: Vec::new(),
        }
    }

    /// What the bags held that cells were filled from: names of kinds, and how many tiles of each.
    /// Empty where no bag was used.
    pub fn bag(&self) -> &[(String, u64)] {
        &self.bag
    }

    /// The cells.
    pub fn cells(&self) -> &Arc<Cells> {
        &self.cells
    }

    /// The tiles in use, each kind and pose once.
    pub fn palette(&self) -> &[Tile] {
        self.palette.tiles()
    }

    /// Which tile of the palette each cell has, by number; none where it is empty.
    pub fn picks(&self) -> impl ExactSizeIterator<Item = Option<u32>> + '_ {
        self.picks.iter().map(|&p| (p != NONE).then_some(p))
    }

    /// The tile of a cell, by number.
    pub fn tile(&self, number: usize) -> Option<&Tile> {
        self.palette().get(*self.picks.get(number)? as usize)
    }

    /// Puts a tile into a cell, by number. Panics where there is no such cell.
    pub fn put(&mut self, number: usize, tile: &Tile) {
        self.picks[number] = self.palette.number(tile);
    }

    /// Puts tiles into cells that follow each other: for each one a number into `tiles`, or none
    /// where the cell stays as it is. Panics where there are no such cells or tiles.
    pub fn put_some(&mut self, first: usize, tiles: &[Tile], picks: &[Option<u32>]) {
        let mut numbers: Vec<Option<u32>> = vec![None; tiles.len()];
        for (slot, pick) in self.picks[first..].iter_mut().zip(picks) {
            if let Some(pick) = pick {
                let known = &mut numbers[*pick as usize];
                *slot = *known.get_or_insert_with(|| self.palette.number(&tiles[*pick as usize]));
            }
        }
    }

    /// Fills cells by a rule: all, or those for which `only` (by number) says yes. What they held
    /// before is replaced.
    ///
    /// # Errors
    /// When the rule has no tiles, or a bag does not hold one tile for each of the cells.
    ///
    /// # Panics
    /// When `only` is not as long as there are cells.
    pub fn fill(
        &mut self,
        rule: &Rule,
        only: Option<&[bool]>,
        seed: u64,
    ) -> Result<(), LayoutError> {
        if let Some(only) = only {
            assert_eq!(
                only.len(),
                self.picks.len(),
                "invariant: one answer for each cell"
            );
        }
        match rule {
            Rule::One(tile) => {
                let pick = self.palette.number(tile);
                self.each(only, |_, _| pick);
            }
            Rule::Sequence(tiles, order) => self.sequence(tiles, *order, only)?,
            Rule::Random {
                name,
                tiles,
                weights,
            } => {
                if tiles.len() != weights.len() {
                    return Err(LayoutError::Weights {
                        problem: format!(
                            "there are {} of them for {} tiles",
                            weights.len(),
                            tiles.len()
                        ),
                    });
                }
                let picks = self.intern_all(tiles)?;
                let mut draws = CellDraws::new(seed, name);
                let (cells, sum) = (Arc::clone(&self.cells), weights.sum());
                self.each(only, |number, _| {
                    picks[weights.chosen(draws.below(cells.list()[number], sum))]
                });
            }
            Rule::Bag { name, tiles } => self.fill_from_bag(name, tiles, only, seed)?,
        }
        Ok(())
    }

    fn sequence(
        &mut self,
        tiles: &[Tile],
        order: Order,
        only: Option<&[bool]>,
    ) -> Result<(), LayoutError> {
        let picks = self.intern_all(tiles)?;
        let cells = Arc::clone(&self.cells);
        let list = cells.list();
        let n = i64::try_from(picks.len()).expect("invariant: lists are short");
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a remainder by a length"
        )]
        let by = |place: i64| picks[place.rem_euclid(n) as usize];
        let (column, course) = (
            |i: usize| i64::from(list[i].column),
            |i: usize| i64::from(list[i].course),
        );
        match order {
            Order::AlongCourses => self.each(only, |i, _| by(column(i))),
            Order::DownColumns => self.each(only, |i, _| by(course(i))),
            Order::FallingLeft => self.each(only, |i, _| by(column(i) + course(i))),
            Order::FallingRight => self.each(only, |i, _| by(column(i) - course(i))),
            Order::Rings => {
                let rings = cells.rings();
                self.each(only, |i, _| by(i64::from(rings[i])));
            }
            Order::Reading => self.each(only, |_, place| by(place)),
            Order::BackAndForth => {
                let mut place = 0;
                let mut from_right = false;
                let mut start = 0;
                for row in list.chunk_by(|a, b| a.course == b.course) {
                    let numbers = start..start + row.len();
                    let mut lay = |i: usize| {
                        if only.is_none_or(|only| only[i]) {
                            self.picks[i] = by(place);
                            place += 1;
                        }
                    };
                    if from_right {
                        numbers.rev().for_each(&mut lay);
                    } else {
                        numbers.for_each(&mut lay);
                    }
                    from_right = !from_right;
                    start += row.len();
                }
            }
        }
        Ok(())
    }

    fn fill_from_bag(
        &mut self,
        name: &str,
        tiles: &[(Tile, u64)],
        only: Option<&[bool]>,
        seed: u64,
    ) -> Result<(), LayoutError> {
        let wanted = only.map_or(self.picks.len(), |o| o.iter().filter(|&&yes| yes).count());
        let held = tiles.iter().fold(0_u64, |sum, t| sum.saturating_add(t.1));
        if held != wanted as u64 {
            return Err(LayoutError::Bag {
                name: name.to_owned(),
                held,
                cells: wanted as u64,
            });
        }
        let mut bag = Vec::with_capacity(wanted);
        for (tile, count) in tiles {
            let pick = self.palette.number(tile);
            bag.extend((0..*count).map(|_| pick));
            let kind = tile.kind.name();
            match self.bag.iter_mut().find(|(known, _)| known == kind) {
                Some((_, sum)) => *sum += count,
                None => self.bag.push((kind.to_owned(), *count)),
            }
        }
        ListDraws::new(seed, name).shuffle(&mut bag);
        let mut drawn = bag.into_iter();
        self.each(only, |_, _| {
            drawn.next().expect("invariant: a tile for each cell")
        });
        Ok(())
    }

    /// Sets cells by number and by place among those that are set.
    fn each(&mut self, only: Option<&[bool]>, mut pick: impl FnMut(usize, i64) -> u32) {
        let mut place = 0;
        for (number, slot) in self.picks.iter_mut().enumerate() {
            if only.is_none_or(|only| only[number]) {
                *slot = pick(number, place);
                place += 1;
            }
        }
    }

    fn intern_all(&mut self, tiles: &[Tile]) -> Result<Vec<u32>, LayoutError> {
        if tiles.is_empty() {
            return Err(LayoutError::NoTiles);
        }
        Ok(tiles.iter().map(|t| self.palette.number(t)).collect())
    }
}
