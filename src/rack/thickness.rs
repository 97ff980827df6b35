//! A recipe's geometry from the wood: the thickness of its plywoods as the boards of a rack have it.
//!
//! The number that sets a plywood's thickness is found by trying: a parameter that is a length, or a plain
//! number of the text that is as large as a plywood is thick, and with which exactly that plywood grows.
//! Lengths in mm.

use std::fmt::Write as _;

use super::largest::{Adjustment, Handle, handles_of_length, panels_of};
use crate::plan::Shop;
use crate::plan::count::strips::Kinds;
use crate::plan::count::thickness::{fits, groups, shared};
use crate::plan::units::decimal;
use crate::recipe::outcome::Outcome;

/// By how much a number is changed to see what it sets.
const PROBE: f64 = 0.25;
/// Thicknesses that differ by less are the same.
const SAME: f64 = 1e-6;

/// What sets the thickness of a plywood.
#[derive(Debug, Clone, PartialEq)]
pub struct Setter {
    /// The plywood's thickness in the recipe.
    pub plywood: f64,
    handle: Handle,
}

/// Boards of a rack that may share a bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// The mean of their thickness, by area.
    pub thickness: f64,
    /// Their names.
    pub names: Vec<String>,
    /// The least thickness of them.
    least: f64,
}

/// A thickness that is taken from the wood.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// The plywood's thickness in the recipe.
    pub recipe: f64,
    /// The boards that it is now taken from.
    pub group: Group,
}

impl Taken {
    /// In words.
    pub fn told(&self) -> String {
        let mut text = format!(
            "plywood {} mm thick, as \"{}\"",
            decimal(self.group.thickness, 2),
            self.group.names[0]
        );
        match self.group.names.len() {
            1 => {}
            2 => {
                let _ = write!(text, " and \"{}\"", self.group.names[1]);
            }
            more => {
                let _ = write!(text, " and {} more boards", more - 1);
            }
        }
        let _ = write!(text, "; the recipe has {} mm", decimal(self.recipe, 2));
        text
    }
}

/// Thicknesses of the plywoods of some panels, each once, the least first.
fn plywoods(outcome: &Outcome, wanted: Option<&str>) -> Vec<f64> {
    let kinds = Kinds::of(&panels_of(outcome, wanted), 0.0);
    let mut all: Vec<f64> = kinds.sheets.iter().map(|sheet| sheet.plywood).collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| (*a - *b).abs() < SAME);
    all
}

/// The numbers that set the thickness of a recipe's plywoods, one for each plywood that can be set; `text` is
/// its own where numbers in it may be changed, `run` carries it out with a change.
pub fn setters(
    base: &Outcome,
    text: Option<&str>,
    wanted: Option<&str>,
    run: &mut dyn FnMut(&Adjustment) -> Option<Outcome>,
) -> Vec<Setter> {
    let was = plywoods(base, wanted);
    let mut found: Vec<Setter> = Vec::new();
    for handle in handles_of_length(base, text) {
        let among = |all: &[f64], mm: f64| all.iter().any(|t| (t - mm).abs() < SAME);
        if !among(&was, handle.from) || found.iter().any(|s| (s.plywood - handle.from).abs() < SAME)
        {
            continue;
        }
        let probe = [handle.from - PROBE, handle.from + PROBE]
            .into_iter()
            .find(|v| (handle.least..=handle.most).contains(v));
        let Some(probe) = probe else { continue };
        let change = Adjustment::default().with(&handle, probe, text.unwrap_or_default());
        let Some(outcome) = run(&change) else {
            continue;
        };
        let now = plywoods(&outcome, wanted);
        if among(&now, probe) && !among(&was, probe) && !among(&now, handle.from) {
            found.push(Setter {
                plywood: handle.from,
                handle,
            });
        }
    }
    found
}

/// The groups of boards that may be a plywood and share bars, the one with most wood first.
pub fn of_wood(shop: &Shop, plywood: f64) -> Vec<Group> {
    let area = |board: &crate::plan::shop::Board| {
        f64::from(board.count.unwrap_or(1)) * board.width * board.length
    };
    let mut all: Vec<(f64, Group)> = Vec::new();
    for least in groups(&shop.boards, plywood) {
        let boards = (shop.boards.iter())
            .filter(|b| b.count != Some(0) && fits(b, plywood))
            .filter_map(|b| b.thickness.map(|t| (b, t)))
            .filter(|(_, t)| shared(least, *t));
        let boards: Vec<_> = boards.collect();
        let whole: f64 = boards.iter().map(|(b, _)| area(b)).sum();
        if whole > 0.0 {
            let sum: f64 = boards.iter().map(|(b, t)| area(b) * t).sum();
            let group = Group {
                // To a hundredth, as a calliper reads.
                thickness: (sum / whole * 100.0).round() / 100.0,
                names: boards.iter().map(|(b, _)| b.name.clone()).collect(),
                least,
            };
            all.push((whole, group));
        }
    }
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.into_iter().map(|(_, group)| group).collect()
}

impl Setter {
    /// Whether the recipe leaves it open: it is a parameter.
    pub fn is_parameter(&self) -> bool {
        self.handle.is_parameter()
    }

    /// Whether it may be so much.
    pub fn takes(&self, thickness: f64) -> bool {
        (self.handle.least..=self.handle.most).contains(&thickness)
    }

    /// A change that has the thickness of a group of boards as well; `text` is the recipe's own.
    pub fn set(&self, change: Adjustment, group: &Group, text: Option<&str>) -> Adjustment {
        change.with(&self.handle, group.thickness, text.unwrap_or_default())
    }
}

/// The shop without the boards that could be this plywood and are of another thickness.
pub fn with_only(mut shop: Shop, plywood: f64, group: &Group) -> Shop {
    shop.boards.retain(|board| {
        board
            .thickness
            .is_none_or(|t| !fits(board, plywood) || shared(group.least, t))
    });
    shop
}

/// The recipe with the thickness of every plywood taken from the wood, as far as it can be set: the change, and what
/// is taken.
pub fn from_rack(
    base: &Outcome,
    text: Option<&str>,
    wanted: Option<&str>,
    shop: &Shop,
    run: &mut dyn FnMut(&Adjustment) -> Option<Outcome>,
) -> (Adjustment, Vec<Taken>) {
    let mut change = Adjustment::default();
    let mut taken = Vec::new();
    for setter in setters(base, text, wanted, run) {
        let group = of_wood(shop, setter.plywood)
            .into_iter()
            .find(|group| setter.takes(group.thickness));
        let Some(group) = group else { continue };
        change = setter.set(change, &group, text);
        taken.push(Taken {
            recipe: setter.plywood,
            group,
        });
    }
    (change, taken)
}
