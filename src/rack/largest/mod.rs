//! The largest panel that a rack's wood gives.
//!
//! One number of the recipe is raised, or two that keep the panel's shape, in steps of 1 mm or one cell.
//! Sizes are compared by their tiles: where the wood is not enough for a panel, it is not enough for one that
//! needs as many tiles of each kind or more; where it is enough, so it is for one that needs no more of any
//! kind. So a larger panel never succeeds where a smaller one of the same tiles fails. Lengths in mm.

mod error;
mod handles;
mod line;
mod need;
mod symmetric;

pub use error::LargestError;
pub use handles::{Adjustment, Handle};
pub(super) use handles::{handles_of_length, panels_of};
pub use need::Lacking;
pub(super) use need::wood_lacking;

use handles::{handles, size};
use line::{Line, last, middle};
use need::{Need, covers, lacks, need};
use symmetric::is_symmetric;

use crate::plan::count::count_back_within;
use crate::plan::count::cut::slices_of;
use crate::plan::parts::Mirrored;
use crate::plan::scraps::Effort;
use crate::plan::shop::held::{Held, HeldKind};
use crate::plan::{PlanError, Shop};
use crate::recipe::outcome::Outcome;
use crate::watch;

/// Shapes that are tried where the shape is free, width to height.
const SHAPES: [f64; 7] = [1.0, 4.0 / 3.0, 1.5, 2.0, 0.75, 2.0 / 3.0, 0.5];

/// What the panel's shape is to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// As the recipe's own parameter leaves it, or as the recipe has it.
    Recipe,
    /// Width to height.
    Ratio(f64),
    /// The one that gives the largest panel, of some usual ones.
    Free,
}

/// A size that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// The numbers of the recipe, with their handles' names.
    pub values: Vec<f64>,
    /// Width and height of the panel, in mm.
    pub size: [f64; 2],
    /// What the wood lacks for it, in words; nothing where it is enough.
    pub lacks: Vec<String>,
}

/// The largest panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Largest {
    /// What is varied.
    pub varied: Vec<Handle>,
    /// The largest panel that the wood is enough for.
    pub best: Tried,
    /// The recipe as it gives that.
    pub change: Adjustment,
    /// The next larger one, which it is not enough for; none where the recipe allows no larger one.
    pub next: Option<Tried>,
    /// No panel of this shape can be larger than this width and height, whatever way it is cut: it would take more
    /// wood than there is. None where the recipe allows no panel that large.
    pub bound: Option<[f64; 2]>,
    /// How many sizes were counted back to the boards.
    pub counted: usize,
}

/// How many sizes next to the largest are looked at for one that mirrors itself.
const MOST_ASIDE: i64 = 200;

/// The search for the largest panel of a recipe.
pub struct Search<'a> {
    /// The recipe as it is.
    pub base: &'a Outcome,
    /// Its text, where numbers in it may be changed.
    pub text: Option<&'a str>,
    /// The wood.
    pub shop: &'a Shop,
    /// The name of the panel that is planned; none for all of them.
    pub wanted: Option<&'a str>,
    /// How the panels must mirror themselves.
    pub mirrored: Mirrored,
    /// Whether the sizes beyond the largest that a first answer gives are searched in full: it may be a little larger.
    pub thorough: bool,
    /// Carries out the recipe with a change; none where that fails.
    pub run: &'a mut dyn FnMut(&Adjustment) -> Option<Outcome>,
}

impl std::fmt::Debug for Search<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Search").finish_non_exhaustive()
    }
}

/// What was found out so far.
#[derive(Default)]
struct Known {
    enough: Vec<Need>,
    short: Vec<Need>,
    counted: usize,
}

/// Two neighbours, of which the wood is enough for the smaller; none where it is enough for none, or for all.
type Neighbours = (Option<i64>, Option<i64>);

impl Search<'_> {
    /// Finds the largest panel.
    ///
    /// # Errors
    /// When there is no wood or no end of it, nothing to vary, or no panel comes of it.
    ///
    /// # Panics
    /// Never: there is always a shape to try.
    pub fn largest(mut self, shape: Shape) -> Result<Largest, LargestError> {
        let boards = &self.shop.boards;
        if boards.iter().all(|b| b.count == Some(0)) && self.shop.held.is_empty() {
            return Err(LargestError::NoWood);
        }
        if let Some(board) = boards.iter().find(|b| b.count.is_none()) {
            return Err(LargestError::Endless(board.name.clone()));
        }
        let all = handles(self.base, self.text, self.wanted, self.run);
        let shapes: Vec<Option<f64>> = match shape {
            Shape::Recipe => vec![None],
            Shape::Ratio(ratio) => vec![Some(ratio)],
            Shape::Free => SHAPES.map(Some).to_vec(),
        };
        let mut known = Known::default();
        let mut best: Option<Result<Largest, LargestError>> = None;
        for ratio in shapes {
            let line = Line::of(&all, size(&panels_of(self.base, self.wanted)), ratio)?;
            let found = self.along(&line, &mut known);
            let area = |found: &Result<Largest, LargestError>| {
                found
                    .as_ref()
                    .map_or(-1.0, |l| l.best.size[0] * l.best.size[1])
            };
            if best.as_ref().is_none_or(|best| area(&found) > area(best)) {
                best = Some(found);
            }
        }
        let mut best = best.expect("invariant: there is a shape")?;
        best.counted = known.counted;
        Ok(best)
    }

    /// The largest panel of a line of sizes.
    fn along(&mut self, line: &Line, known: &mut Known) -> Result<Largest, LargestError> {
        let most_area = self.most_area();
        let [least, most] = line.range();
        let bound = last(least, most, |n| {
            let [width, height] = line.size(n);
            width * height <= most_area
        });
        let Some(bound) = bound else {
            return Err(self.too_small(line, least, known));
        };
        let end = most.min(bound + 1);
        let mut found = self.downward(line, bound, (least, end), known)?;
        if self.thorough {
            // A full search may find wood for a size for which the first answer has not enough.
            known.short.clear();
            found = self.upward(line, found.0, (least, end), known)?;
        }
        let (Some(low), high) = found else {
            return Err(self.too_small(line, least, known));
        };
        let (low, high) = self.symmetric(line, low, high)?;
        let tried = |n: i64, lacks: Vec<String>, size: [f64; 2]| Tried {
            values: line.values(n),
            size,
            lacks,
        };
        let change = line.change(low, self.text);
        let best_size = self.size_at(&change).unwrap_or_else(|| line.size(low));
        let next = match high {
            Some(high) => {
                let lacks = self.lacks(line, high, known)?;
                let size = self.size_at(&line.change(high, self.text));
                Some(tried(high, lacks, size.unwrap_or_else(|| line.size(high))))
            }
            None => None,
        };
        Ok(Largest {
            varied: line.handles.clone(),
            best: tried(low, Vec::new(), best_size),
            change,
            next,
            bound: (bound < most).then(|| line.size(bound)),
            counted: known.counted,
        })
    }

    /// The largest size that a first answer has enough wood for, from `at` on.
    fn downward(
        &mut self,
        line: &Line,
        mut at: i64,
        (least, end): (i64, i64),
        known: &mut Known,
    ) -> Result<Neighbours, LargestError> {
        let (mut low, mut high): Neighbours = (None, None);
        loop {
            watch::ask();
            let (enough, share) = self.at(line, at, known, Effort::FIRST)?;
            if enough {
                low = Some(at);
            } else {
                high = Some(at);
            }
            at = match (low, high) {
                (Some(low), None) if low >= end => break,
                // The wood cannot be enough beyond the bound; how much it lacks is worked out all
                // the same.
                (Some(low), None) => low + 1,
                (Some(low), Some(high)) if high - low <= 1 => break,
                (Some(low), Some(high)) => middle(line, low, high, share),
                (None, Some(high)) if high <= least => break,
                (None, Some(high)) => (high * 4 / 5).max(least),
                (None, None) => break,
            };
        }
        Ok((low, high))
    }

    /// The largest size that a search finds enough wood for, from one on for which there is.
    fn upward(
        &mut self,
        line: &Line,
        from: Option<i64>,
        (least, end): (i64, i64),
        known: &mut Known,
    ) -> Result<Neighbours, LargestError> {
        let (mut low, mut high): Neighbours = (from, None);
        let mut step = 1;
        loop {
            watch::ask();
            let at = match (low, high) {
                (Some(low), None) if low >= end => break,
                (Some(low), None) => (low + step).min(end),
                (Some(low), Some(high)) if high - low <= 1 => break,
                (Some(low), Some(high)) => low + (high - low) / 2,
                (None, None) => least,
                (None, Some(_)) => break,
            };
            step *= 2;
            if self.at(line, at, known, Effort::default())?.0 {
                low = Some(at);
            } else {
                high = Some(at);
            }
        }
        Ok((low, high))
    }

    /// The next size down that mirrors itself as it must, and the next one up.
    fn symmetric(
        &mut self,
        line: &Line,
        low: i64,
        high: Option<i64>,
    ) -> Result<(i64, Option<i64>), LargestError> {
        let mirrored = self.mirrored;
        if mirrored == Mirrored::default() {
            return Ok((low, high));
        }
        let [least, most] = line.range();
        let mut is = |n: &i64| {
            let outcome = (self.run)(&line.change(*n, self.text));
            outcome.is_some_and(|outcome| {
                let panels = panels_of(&outcome, self.wanted);
                !panels.is_empty() && panels.iter().all(|p| is_symmetric(p, mirrored))
            })
        };
        let down = (least.max(low - MOST_ASIDE)..=low).rev().find(&mut is);
        let down = down.ok_or(LargestError::NotSymmetric)?;
        let up = high.and_then(|high| (high..=most.min(high + MOST_ASIDE)).find(&mut is));
        Ok((down, up))
    }

    fn size_at(&mut self, change: &Adjustment) -> Option<[f64; 2]> {
        let outcome = (self.run)(change)?;
        Some(size(&panels_of(&outcome, self.wanted)))
    }

    fn too_small(&mut self, line: &Line, least: i64, known: &mut Known) -> LargestError {
        match self.lacks(line, least, known) {
            Ok(lacks) => LargestError::TooSmall {
                size: line.size(least),
                lacks,
            },
            Err(error) => error,
        }
    }

    /// What the wood lacks for a size, counted for this size.
    fn lacks(
        &mut self,
        line: &Line,
        n: i64,
        known: &mut Known,
    ) -> Result<Vec<String>, LargestError> {
        let Some(outcome) = (self.run)(&line.change(n, self.text)) else {
            return Ok(vec![
                "a panel: the recipe makes none of this size".to_owned(),
            ]);
        };
        known.counted += 1;
        let effort = self.effort();
        let count = count_back_within(&panels_of(&outcome, self.wanted), self.shop, effort)?;
        let lacks = lacks(&count, self.shop);
        Ok(if lacks.is_empty() {
            vec!["wood, as for a smaller panel of the same tiles".to_owned()]
        } else {
            lacks
        })
    }

    /// How hard the size that is told is searched.
    fn effort(&self) -> Effort {
        if self.thorough {
            Effort::default()
        } else {
            Effort::FIRST
        }
    }

    /// Whether the wood is enough for a size, and the share of it that was taken where that is known.
    fn at(
        &mut self,
        line: &Line,
        n: i64,
        known: &mut Known,
        effort: Effort,
    ) -> Result<(bool, Option<f64>), LargestError> {
        let Some(outcome) = (self.run)(&line.change(n, self.text)) else {
            return Ok((false, None));
        };
        let panels = panels_of(&outcome, self.wanted);
        let need = need(&panels);
        if known.enough.iter().any(|enough| covers(enough, &need)) {
            return Ok((true, None));
        }
        if known.short.iter().any(|short| covers(&need, short)) {
            return Ok((false, None));
        }
        known.counted += 1;
        let count = match count_back_within(&panels, self.shop, effort) {
            Ok(count) => count,
            Err(PlanError::NoTiles) => return Ok((false, None)),
            Err(error) => return Err(error.into()),
        };
        let enough = lacks(&count, self.shop).is_empty();
        if enough {
            known.enough.push(need);
        } else {
            known.short.push(need);
        }
        let stock: f64 = (self.shop.boards.iter())
            .map(|b| f64::from(b.count.unwrap_or(1)) * b.width * b.length)
            .sum();
        Ok((enough, Some(count.taken.value / stock)))
    }

    /// The area that tiles or bars in hand give, in square mm.
    fn area_in_hand(&self, held: &Held) -> f64 {
        let slices = match held.kind {
            HeldKind::Tile => 1,
            // Of strips no more than all their wood, each in a bar by itself.
            HeldKind::Bar | HeldKind::Strip => slices_of(self.shop, held.length),
        };
        held.area() * f64::from(held.count) * slices as f64
    }

    /// The largest area of a panel, in square mm: all boards as tiles, with nothing lost but the cuts between slices
    /// and the spare tiles.
    fn most_area(&self) -> f64 {
        let shop = self.shop;
        let slicing = shop.slicing;
        let full = slices_of(shop, shop.cutting.bar_length).max(1) as f64;
        let each = slicing.thickness + slicing.kerf * (full - 1.0) / full;
        let thickest = panels_of(self.base, self.wanted)
            .iter()
            .flat_map(|p| &p.faces)
            .flat_map(|face| face.kind.bar().parts())
            .map(|part| part.strip.sheet().thickness())
            .fold(0.0, f64::max);
        let area: f64 = (shop.boards.iter())
            .map(|b| f64::from(b.count.unwrap_or(0)) * b.width * b.length)
            .sum();
        let from_boards = area * thickest / (each * (1.0 + shop.cutting.spare));
        from_boards
            + shop
                .held
                .iter()
                .map(|held| self.area_in_hand(held))
                .sum::<f64>()
    }
}
