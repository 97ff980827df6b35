//! Rules that a maker states for a whole panel, and a filling that keeps them.
//!
//! Rules become a problem in numbers for the exact solver of [`super::constraints`]. Two tiles of one kind that
//! look the same in a cell are one choice there.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{
    Cells, Filling, LayoutError,
    constraints::{CellRule, Limits, LookNumber, NamedRule, PairRule, Problem, SolveResult, solve},
    edges::profiles_along,
    error::NAMED,
    images::Images,
    panel::Cell,
};
use crate::watch;
use crate::{
    geom::{Isometry, TOLERANCE},
    stock::{Face, Tile, TileKind, face::Profile},
};

/// The most cells that are filled by rules, as any two of them can depend on each other.
pub const MOST_CELLS: usize = 2_500;
/// The most tiles that conditions choose from.
pub const MOST_TILES: usize = 500;

/// What makes two tiles alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Likeness {
    /// Tiles are alike when they are of one kind, however they are turned.
    Kind,
    /// Tiles are alike when they look the same on the panel.
    Look,
}

/// A symmetry of a whole panel about its middle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PanelSymmetry {
    /// The left half mirrors the right one.
    LeftRight,
    /// The upper half mirrors the lower one.
    TopBottom,
    /// A half turn changes nothing.
    HalfTurn,
    /// A quarter turn changes nothing.
    QuarterTurn,
}

/// A rule for a panel.
#[derive(Debug, Clone, PartialEq)]
pub enum LayoutRule {
    /// Lines run on through every joint.
    LinesRunOn,
    /// No two tiles that are alike lie side by side.
    NoLikeNeighbours(Likeness),
    /// At most so many tiles in a row are alike, along courses and along columns.
    InARow {
        /// The most.
        most: usize,
        /// What alike means.
        like: Likeness,
    },
    /// The number of tiles of one kind is within bounds.
    OfKind {
        /// The kind.
        kind: Arc<TileKind>,
        /// The least number.
        least: usize,
        /// The greatest.
        most: usize,
    },
    /// The panel has a symmetry.
    Symmetric(PanelSymmetry),
}

/// Why rules give no filling.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RulesError {
    /// A large panel.
    #[error("at most {MOST_CELLS} cells can be filled by rules, not {cells}")]
    TooLarge {
        /// Its cells.
        cells: usize,
    },
    /// A cell that no tile fits.
    #[error("none of the tiles fits {}", named(.cells))]
    NoTile {
        /// The first of the cells.
        cells: Vec<Cell>,
    },
    /// Rules that cannot all hold.
    #[error("no panel of this size keeps all these rules: {}", .rules.join("; "))]
    Contradiction {
        /// What they ask for; without any one of them there would be no contradiction.
        rules: Vec<String>,
    },
    /// The solver reached its limit.
    #[error(
        "after {conflicts} dead ends there was neither a panel that keeps the rules nor a proof that there is none"
    )]
    GaveUp {
        /// The limit.
        conflicts: u64,
    },
    /// Too many tiles.
    #[error("at most {MOST_TILES} tiles can be chosen from by conditions, not {tiles}")]
    TooManyTiles {
        /// How many.
        tiles: usize,
    },
    /// Too many conditions, cells and tiles at once.
    #[error("these conditions, for so many cells and tiles, are more than can be searched")]
    TooMuch,
    /// Cells that do not have a symmetry.
    #[error("the cells of this panel are not {}, so the tiles cannot be", .symmetry.words())]
    Lopsided {
        /// The symmetry.
        symmetry: PanelSymmetry,
    },
    /// A longest run of 0 tiles.
    #[error("the number of tiles in a row that can be alike must be at least 1, not 0")]
    NoRun,
    /// As for other layouts.
    #[error(transparent)]
    Layout(#[from] LayoutError),
}

fn named(cells: &[Cell]) -> String {
    cells
        .iter()
        .map(Cell::to_string)
        .collect::<Vec<_>>()
        .join("; ")
}

impl PanelSymmetry {
    /// In a maker's words.
    pub fn words(self) -> &'static str {
        match self {
            Self::LeftRight => "the same left and right",
            Self::TopBottom => "the same above and below",
            Self::HalfTurn => "the same after a half turn",
            Self::QuarterTurn => "the same after a quarter turn",
        }
    }

    fn isometry(self) -> Isometry {
        match self {
            Self::LeftRight => Isometry::mirror(90.0),
            Self::TopBottom => Isometry::mirror(0.0),
            Self::HalfTurn => Isometry::turn(180.0),
            Self::QuarterTurn => Isometry::turn(90.0),
        }
    }
}

impl Likeness {
    fn words(self) -> &'static str {
        match self {
            Self::Kind => "of one kind",
            Self::Look => "that look the same",
        }
    }
}

impl LayoutRule {
    /// In a maker's words.
    pub fn words(&self) -> String {
        match self {
            Self::LinesRunOn => "lines run on through every joint".to_owned(),
            Self::NoLikeNeighbours(like) => {
                format!("no two tiles {} lie side by side", like.words())
            }
            Self::InARow { most, like } => {
                format!("at most {most} tiles {} in a row", like.words())
            }
            Self::OfKind { kind, least, most } if least == most => {
                format!("just {least} tiles `{}`", kind.name())
            }
            Self::OfKind { kind, least, most } => {
                format!("from {least} to {most} tiles `{}`", kind.name())
            }
            Self::Symmetric(symmetry) => format!("the panel is {}", symmetry.words()),
        }
    }
}

/// Fills all cells with some tiles so that every rule holds. The seed and the name choose among
/// the fillings.
///
/// # Errors
/// When the panel is too large, a cell takes none of the tiles, the rules contradict each other,
/// or a limit is reached.
pub fn fill_by_rules(
    cells: &Arc<Cells>,
    tiles: &[Tile],
    rules: &[LayoutRule],
    seed: u64,
    name: &str,
    limits: Limits,
) -> Result<Filling, RulesError> {
    if cells.list().len() > MOST_CELLS {
        return Err(RulesError::TooLarge {
            cells: cells.list().len(),
        });
    }
    if tiles.is_empty() {
        return Err(LayoutError::NoTiles.into());
    }
    if tiles.len() > MOST_TILES {
        return Err(RulesError::TooManyTiles { tiles: tiles.len() });
    }
    let choices = Choices::of(cells, tiles)?;
    let problem = choices.problem(&each_once(rules))?;
    match solve(&problem, seed, name, limits) {
        SolveResult::Filled(looks) => {
            debug_assert!(problem.broken(&looks).is_empty());
            let mut filling = Filling::new(Arc::clone(cells));
            for (number, look) in looks.into_iter().enumerate() {
                filling.put(number, choices.tile(number, look));
            }
            Ok(filling)
        }
        SolveResult::Contradiction(numbers) => Err(RulesError::Contradiction {
            rules: numbers
                .into_iter()
                .map(|r| problem.rules[r].name.clone())
                .collect(),
        }),
        SolveResult::GaveUp { conflicts } => Err(RulesError::GaveUp { conflicts }),
        SolveResult::TooMuch => Err(RulesError::TooMuch),
    }
}

/// The rules without those that are there already.
fn each_once(rules: &[LayoutRule]) -> Vec<LayoutRule> {
    let mut known: BTreeMap<String, Vec<&LayoutRule>> = BTreeMap::new();
    let mut all = Vec::new();
    for rule in rules {
        let alike = known.entry(rule.words()).or_default();
        if !alike.contains(&rule) {
            alike.push(rule);
            all.push(rule.clone());
        }
    }
    all
}

/// One look of one kind.
struct CellChoice {
    kind: Arc<TileKind>,
    face: Face,
}

/// What each cell can take.
struct Choices<'a> {
    cells: &'a Cells,
    list: Vec<CellChoice>,
    /// For each class of cells its choices, each with a tile that shows it there and the colours
    /// along the cell's edges.
    classes: Vec<Vec<(LookNumber, &'a Tile, Vec<Profile>)>>,
}

impl<'a> Choices<'a> {
    fn of(cells: &'a Cells, tiles: &'a [Tile]) -> Result<Self, RulesError> {
        let mut list: Vec<CellChoice> = Vec::new();
        let mut classes = Vec::new();
        for class in cells.lattice().classes() {
            let mut here: Vec<(LookNumber, &Tile, Vec<Profile>)> = Vec::new();
            for tile in tiles {
                watch::ask();
                let face = tile
                    .kind
                    .face()
                    .posed(tile.isometry().then(class.turned).linear());
                if !face.outline().coincides(&class.shape.outline, TOLERANCE) {
                    continue;
                }
                let known = list
                    .iter()
                    .position(|c| same_kind(&c.kind, &tile.kind) && c.face.looks_like(&face));
                let profiles = profiles_along(&face, &class.shape.outline);
                let number = known.unwrap_or_else(|| {
                    list.push(CellChoice {
                        kind: Arc::clone(&tile.kind),
                        face,
                    });
                    list.len() - 1
                });
                let number = u32::try_from(number).expect("invariant: a list of tiles is short");
                if here.iter().all(|&(n, ..)| n != number) {
                    here.push((number, tile, profiles));
                }
            }
            classes.push(here);
        }
        let choices = Self {
            cells,
            list,
            classes,
        };
        let empty = cells.list().iter().filter(|&&c| choices.at(c).is_empty());
        let empty: Vec<Cell> = empty.take(NAMED).copied().collect();
        if empty.is_empty() {
            Ok(choices)
        } else {
            Err(RulesError::NoTile { cells: empty })
        }
    }

    fn at(&self, cell: Cell) -> &[(LookNumber, &'a Tile, Vec<Profile>)] {
        &self.classes[self.cells.lattice().class_of(cell)]
    }

    fn tile(&self, number: usize, look: LookNumber) -> &'a Tile {
        let here = self.at(self.cells.list()[number]);
        let found = here.iter().find(|(n, ..)| *n == look);
        found.expect("invariant: the look is one of the cell's").1
    }

    fn problem(&self, rules: &[LayoutRule]) -> Result<Problem, RulesError> {
        let cells = self.cells.list().iter();
        let options = cells.map(|&c| self.at(c).iter().map(|&(n, ..)| n).collect());
        let rules = rules
            .iter()
            .map(|rule| {
                Ok(NamedRule {
                    name: rule.words(),
                    rule: self.rule(rule)?,
                })
            })
            .collect::<Result<_, RulesError>>()?;
        Ok(Problem {
            options: options.collect(),
            rules,
        })
    }

    fn rule(&self, rule: &LayoutRule) -> Result<CellRule, RulesError> {
        Ok(match rule {
            LayoutRule::LinesRunOn => self.matched(),
            LayoutRule::NoLikeNeighbours(like) => {
                let mut pairs: Vec<(usize, usize)> =
                    self.joints().into_iter().map(|(a, b, _)| (a, b)).collect();
                pairs.dedup();
                CellRule::Differ {
                    pairs,
                    sort: self.sorts(*like),
                }
            }
            LayoutRule::InARow { most: 0, .. } => return Err(RulesError::NoRun),
            LayoutRule::InARow { most, like } => CellRule::Runs {
                lines: self.lines(),
                most: *most,
                sort: self.sorts(*like),
            },
            LayoutRule::OfKind { kind, least, most } => CellRule::Count {
                looks: (0..)
                    .zip(&self.list)
                    .filter(|(_, c)| same_kind(&c.kind, kind))
                    .map(|(n, _)| n)
                    .collect(),
                least: *least,
                most: *most,
            },
            LayoutRule::Symmetric(symmetry) => self.symmetric(*symmetry)?,
        })
    }

    fn sorts(&self, like: Likeness) -> Vec<u32> {
        let alike = |a: &CellChoice, b: &CellChoice| match like {
            Likeness::Kind => same_kind(&a.kind, &b.kind),
            Likeness::Look => a.face.looks_like(&b.face),
        };
        self.list
            .iter()
            .map(|choice| {
                let first = (0..).zip(&self.list).find(|(_, c)| alike(c, choice));
                first.map_or(0, |(n, _)| n)
            })
            .collect()
    }

    /// Every joint inside the finished outline once: both cells by number, and which of the first
    /// cell's neighbours it is.
    fn joints(&self) -> Vec<(usize, usize, usize)> {
        let lattice = self.cells.lattice();
        let mut found = Vec::new();
        for (number, &cell) in self.cells.list().iter().enumerate() {
            watch::ask();
            let class = &lattice.classes()[lattice.class_of(cell)];
            for (side, n) in class.neighbours.iter().enumerate() {
                let Some(other) = self.cells.beside(cell, n.columns, n.courses) else {
                    continue;
                };
                let inside = self.cells.trim().is_none_or(|trim| {
                    let (a, b) = class.shape.outline.edge(n.edge);
                    let at = self.cells.centre(cell);
                    !n.piece.within((a + at, b + at), trim).is_empty()
                });
                if number < other && inside {
                    found.push((number, other, side));
                }
            }
        }
        found
    }

    fn matched(&self) -> CellRule {
        let lattice = self.cells.lattice();
        // What may lie together depends on the classes of both cells and the side alone.
        let mut known: BTreeMap<(usize, usize, usize), Arc<[_]>> = BTreeMap::new();
        let pairs = self.joints().into_iter().map(|(one, other, side)| {
            let class = |cell: usize| lattice.class_of(self.cells.list()[cell]);
            let key = (class(one), class(other), side);
            let allowed = known.entry(key).or_insert_with(|| {
                let n = lattice.classes()[key.0].neighbours[side];
                let theirs = &self.classes[key.1];
                let agreeing = self.classes[key.0].iter().flat_map(|(a, _, along)| {
                    let agrees = theirs
                        .iter()
                        .filter(move |(.., o)| n.piece.matches(&along[n.edge], &o[n.other_edge]));
                    agrees.map(move |(b, ..)| (*a, *b))
                });
                agreeing.collect()
            });
            PairRule {
                one,
                other,
                allowed: Arc::clone(allowed),
            }
        });
        CellRule::Pairs(pairs.collect())
    }

    /// Courses from left to right, and columns from top to bottom, broken where a cell is missing.
    fn lines(&self) -> Vec<Vec<usize>> {
        let mut lines = Vec::new();
        for (columns, courses) in [(1, 0), (0, 1)] {
            for (number, &cell) in self.cells.list().iter().enumerate() {
                if self.cells.beside(cell, -columns, -courses).is_some() {
                    continue;
                }
                let mut line = vec![number];
                let mut at = cell;
                while let Some(next) = self.cells.beside(at, columns, courses) {
                    line.push(next);
                    at = self.cells.list()[next];
                }
                lines.push(line);
            }
        }
        lines
    }

    fn symmetric(&self, symmetry: PanelSymmetry) -> Result<CellRule, RulesError> {
        let by = symmetry.isometry();
        let by_place = Images::of(self.cells);
        let numbers = 0..self.cells.list().len();
        let images = numbers.map(|from| Some((by_place.image(from, by)?, from)));
        let images = images
            .collect::<Option<Vec<_>>>()
            .ok_or(RulesError::Lopsided { symmetry })?;
        let becomes = self.list.iter().map(|c| {
            let face = c.face.posed(by);
            let same = |o: &CellChoice| same_kind(&o.kind, &c.kind) && o.face.looks_like(&face);
            (0..).zip(&self.list).find(|(_, o)| same(o)).map(|(n, _)| n)
        });
        Ok(CellRule::Mirrored {
            images,
            becomes: becomes.collect(),
        })
    }
}

fn same_kind(a: &Arc<TileKind>, b: &Arc<TileKind>) -> bool {
    Arc::ptr_eq(a, b) || a == b
}
