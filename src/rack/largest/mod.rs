//! The largest panel that a rack's wood gives.
//!
//! One number of the recipe is raised, or two that keep the panel's shape, in steps of 1 mm or one cell. What a
//! panel needs is told by its tiles: one that needs no fewer tiles of any kind than a panel that the wood is not
//! enough for is not made either, and one that needs no more than a panel that it is enough for is. So a larger
//! panel never succeeds where a smaller one of the same tiles fails. Lengths in mm.

mod handles;

use std::collections::BTreeMap;

pub use handles::{Change, Handle};
use handles::{handles, panels_of, size};

use crate::layout::panel::Panel;
use crate::plan::count::cut::slices_of;
use crate::plan::units::decimal;
use crate::plan::{CountBack, PlanError, Shop, count_back};
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
    pub change: Change,
    /// The next larger one, which it is not enough for; none where the recipe allows no larger one.
    pub next: Option<Tried>,
    /// No panel of this shape can be larger than this width and height, whatever way it is cut: it would take more
    /// wood than there is. None where the recipe allows no panel that large.
    pub bound: Option<[f64; 2]>,
    /// How many sizes were counted back to the boards.
    pub counted: usize,
}

/// Why there is no largest panel.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LargestError {
    /// There is no wood.
    #[error("there is no sheet and no scrap on the rack")]
    NoWood,
    /// Boards without a count can be bought.
    #[error(
        "\"{0}\" has no count, so as many as needed can be bought, and no panel is the largest"
    )]
    Endless(String),
    /// Nothing makes the panel larger.
    #[error("nothing in this recipe makes its panel larger")]
    NoHandle,
    /// The shape cannot be changed.
    #[error(
        "this recipe has one number for the panel's size, `{0}`, so its shape cannot be chosen"
    )]
    OneHandle(String),
    /// Not even the smallest panel comes of it.
    #[error("not even a panel of {} x {} mm comes of this wood: it lacks {}", decimal(size[0], 0), decimal(size[1], 0),
        lacks.join("; "))]
    TooSmall {
        /// Width and height of the smallest that was tried, in mm.
        size: [f64; 2],
        /// What the wood lacks for it.
        lacks: Vec<String>,
    },
    /// There is no plan for this recipe.
    #[error(transparent)]
    Plan(#[from] PlanError),
}

impl LargestError {
    /// What to try.
    #[must_use]
    pub fn help(&self) -> String {
        match self {
            Self::NoWood => "add what you have with `plyloom rack add`".to_owned(),
            Self::Endless(_) => "give it a `count` in the rack: how many you would buy".to_owned(),
            Self::NoHandle => "write its size as a parameter, `let wide = param(\"wide\", 420, #{ unit: \"mm\" })`, or \
                               as a plain number: `.finished(420, 260)`"
                .to_owned(),
            Self::OneHandle(_) => "leave `--shape` out, or write `.finished(width, height)` with two numbers".to_owned(),
            Self::TooSmall { .. } => "`plyloom rack check` lists pieces that are of no use".to_owned(),
            Self::Plan(_) => "check the panel with `plyloom preview`".to_owned(),
        }
    }
}

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
    /// Carries out the recipe with a change; none where that fails.
    pub run: &'a mut dyn FnMut(&Change) -> Option<Outcome>,
}

impl std::fmt::Debug for Search<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Search").finish_non_exhaustive()
    }
}

/// Tiles by kind.
type Need = BTreeMap<String, u64>;

/// What was found out so far.
#[derive(Default)]
struct Known {
    enough: Vec<Need>,
    short: Vec<(Need, Vec<String>)>,
    counted: usize,
}

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
        if boards.iter().all(|b| b.count == Some(0)) {
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
        // The largest that is enough, and the least that is not.
        let (mut low, mut high): (Option<i64>, Option<i64>) = (None, None);
        let mut at = bound;
        loop {
            watch::ask();
            let (lacks, share) = self.at(line, at, known)?;
            if lacks.is_empty() {
                low = Some(at);
            } else {
                high = Some(at);
            }
            let next = match (low, high) {
                (Some(low), None) if low >= most.min(bound + 1) => break,
                // Beyond the bound it lacks wood; that is shown all the same.
                (Some(low), None) => low + 1,
                (Some(low), Some(high)) if high - low <= 1 => break,
                (Some(low), Some(high)) => middle(line, low, high, share),
                (None, Some(high)) if high <= least => {
                    return Err(self.too_small(line, least, known));
                }
                (None, Some(high)) => (high * 4 / 5).max(least),
                (None, None) => break,
            };
            if next == at {
                break;
            }
            at = next;
        }
        let low = low.ok_or(LargestError::NoHandle)?;
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

    fn size_at(&mut self, change: &Change) -> Option<[f64; 2]> {
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
        let count = count_back(&panels_of(&outcome, self.wanted), self.shop)?;
        let lacks = lacks(&count, self.shop);
        Ok(if lacks.is_empty() {
            vec!["wood, as for a smaller panel of the same tiles".to_owned()]
        } else {
            lacks
        })
    }

    /// What the wood lacks for a size, and the share of it that was taken where that is known.
    fn at(
        &mut self,
        line: &Line,
        n: i64,
        known: &mut Known,
    ) -> Result<(Vec<String>, Option<f64>), LargestError> {
        let Some(outcome) = (self.run)(&line.change(n, self.text)) else {
            return Ok((vec!["a panel of this size".to_owned()], None));
        };
        let panels = panels_of(&outcome, self.wanted);
        let need = need(&panels);
        if known.enough.iter().any(|enough| covers(enough, &need)) {
            return Ok((Vec::new(), None));
        }
        if let Some((_, lacks)) = known.short.iter().find(|(short, _)| covers(&need, short)) {
            return Ok((lacks.clone(), None));
        }
        known.counted += 1;
        let count = match count_back(&panels, self.shop) {
            Ok(count) => count,
            Err(PlanError::NoTiles) => return Ok((vec!["tiles: it has none".to_owned()], None)),
            Err(error) => return Err(error.into()),
        };
        let lacks = lacks(&count, self.shop);
        if lacks.is_empty() {
            known.enough.push(need);
        } else {
            known.short.push((need, lacks.clone()));
        }
        let stock: f64 = (self.shop.boards.iter())
            .map(|b| f64::from(b.count.unwrap_or(1)) * b.width * b.length)
            .sum();
        Ok((lacks, Some(count.taken.value / stock)))
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
        area * thickest / (each * (1.0 + shop.cutting.spare))
    }
}

/// Between two sizes: where the share of the wood that the smaller one takes says so, else in the middle.
fn middle(line: &Line, low: i64, high: i64, share: Option<f64>) -> i64 {
    let guess = share.filter(|s| (0.05..1.0).contains(s)).map(|share| {
        let grow = if line.both() {
            (1.0 / share).sqrt()
        } else {
            1.0 / share
        };
        // A size beyond 2^53 is none.
        #[expect(clippy::cast_possible_truncation, reason = "sizes are at most 20 m")]
        let guess = (low as f64 * grow.min(1.5)).round() as i64;
        guess
    });
    match guess {
        Some(guess) if guess > low && guess < high && high - low > 16 => guess,
        _ => low + (high - low) / 2,
    }
}

/// The last of a range for which something holds that holds for all before it.
fn last(least: i64, most: i64, holds: impl Fn(i64) -> bool) -> Option<i64> {
    if !holds(least) {
        return None;
    }
    let (mut low, mut high) = (least, most + 1);
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if holds(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low)
}

/// Sizes that are tried, by one whole number.
struct Line {
    handles: Vec<Handle>,
    /// Of the recipe as it is.
    from: [f64; 2],
    /// Width to height, where two handles keep it.
    ratio: f64,
}

impl Line {
    /// The sizes of a shape: by the recipe's own parameter, or by a width and a height.
    fn of(all: &[Handle], from: [f64; 2], ratio: Option<f64>) -> Result<Self, LargestError> {
        let both = all.iter().find(|h| h.wider > 0.0 && h.higher > 0.0);
        let wide = all.iter().find(|h| h.wider > 0.0 && h.higher <= 0.0);
        let high = all.iter().find(|h| h.higher > 0.0 && h.wider <= 0.0);
        let one = |handle: &Handle| Self {
            handles: vec![handle.clone()],
            from,
            ratio: from[0] / from[1],
        };
        let parameters = [wide, high]
            .into_iter()
            .flatten()
            .filter(|h| h.at == handles::At::Parameter);
        let parameters: Vec<&Handle> = parameters.collect();
        match (both, wide, high, ratio) {
            (Some(both), _, _, None) => Ok(one(both)),
            (_, Some(_), Some(_), None) if parameters.len() == 1 => Ok(one(parameters[0])),
            (_, Some(wide), Some(high), ratio) => Ok(Self {
                handles: vec![wide.clone(), high.clone()],
                from,
                ratio: ratio.unwrap_or(from[0] / from[1]),
            }),
            (Some(only), ..) | (None, Some(only), None, _) | (None, None, Some(only), _) => {
                match ratio {
                    None => Ok(one(only)),
                    Some(_) => Err(LargestError::OneHandle(only.name.clone())),
                }
            }
            (None, None, None, _) => Err(LargestError::NoHandle),
        }
    }

    fn both(&self) -> bool {
        self.handles.len() == 2 || self.handles.iter().any(|h| h.wider > 0.0 && h.higher > 0.0)
    }

    /// The least and the most.
    #[expect(clippy::cast_possible_truncation, reason = "sizes are at most 20 m")]
    fn range(&self) -> [i64; 2] {
        let first = &self.handles[0];
        [
            first.least.max(1.0).ceil() as i64,
            first.most.max(1.0).floor() as i64,
        ]
    }

    /// The numbers of the recipe.
    fn values(&self, n: i64) -> Vec<f64> {
        let first = n as f64;
        let mut values = vec![first];
        if let [wide, high] = &self.handles[..] {
            let width = self.from[0] + (first - wide.from) * wide.wider;
            let value = high.from + (width / self.ratio - self.from[1]) / high.higher;
            values.push(value.round().clamp(high.least.max(1.0), high.most));
        }
        values
    }

    /// About the panel's width and height.
    fn size(&self, n: i64) -> [f64; 2] {
        let mut size = self.from;
        for (handle, value) in self.handles.iter().zip(self.values(n)) {
            size[0] += (value - handle.from) * handle.wider;
            size[1] += (value - handle.from) * handle.higher;
        }
        size.map(|side| side.max(0.0))
    }

    fn change(&self, n: i64, text: Option<&str>) -> Change {
        let values = self.values(n);
        let with = self.handles.iter().zip(values);
        with.fold(Change::default(), |change, (handle, value)| {
            change.with(handle, value, text.unwrap_or_default())
        })
    }
}

/// Tiles of each kind in some panels.
fn need(panels: &[&Panel]) -> Need {
    let mut need = Need::new();
    for panel in panels {
        for tile in &panel.tiles {
            let name = panel.faces[tile.face as usize].kind.name();
            *need.entry(name.to_owned()).or_default() += 1;
        }
    }
    need
}

/// Whether one need has at least as many tiles of every kind as another.
fn covers(more: &Need, less: &Need) -> bool {
    less.iter()
        .all(|(kind, &count)| more.get(kind).is_some_and(|&n| n >= count))
}

/// What the wood lacks, in words.
fn lacks(count: &CountBack, shop: &Shop) -> Vec<String> {
    let units = shop.units;
    let mut all: Vec<String> = (count.short.iter())
        .map(|short| {
            format!(
                "{} {} {} of sheet {} (a board {} long and {} wide)",
                short.missing.count(),
                if short.missing.count() == 1 {
                    "strip"
                } else {
                    "strips"
                },
                short.strip,
                short.sheet,
                units.length(short.length),
                units.at_least(short.width.value)
            )
        })
        .collect();
    for veneer in &count.veneers {
        if veneer.short > 0 {
            all.push(format!(
                "{} {} of {}",
                veneer.short,
                if veneer.short == 1 { "leaf" } else { "leaves" },
                veneer.colour
            ));
        } else if veneer.leaves.is_none() && shop.rack {
            all.push(format!(
                "a leaf of {}: none on the rack is of use",
                veneer.colour
            ));
        }
    }
    all
}
