//! Boards of unlike thickness: which of them share bars, and how thick the wood of these is.
//!
//! The sides of a rhombus or triangle depend on the sheet's thickness, so a bar of strips from boards that differ does not
//! close. Boards that may share bars are a group. Its strips are ripped as if the recipe drew them as thick as the boards
//! are: all angles stay, the widths change. A plan takes boards of one group for each plywood; where these do not suffice
//! and the shop allows it, boards of several groups, each in bars of its own. Lengths in mm.

use crate::plan::shop::{Board, Shop};

/// Boards that differ by no more than this share bars: less than a sheet of paper, as gaps in a glued
/// joint may be (common practice).
const SHARED: f64 = 0.1;

/// How far a board's own thickness may be from the recipe's plywood: makers sell 18 mm boards that measure 17.7 mm.
const SLACK: f64 = 0.5;

/// Wood that differs from the recipe by less is ripped as the recipe draws it: no fence is set finer (common practice).
const SETTABLE: f64 = 0.05;

/// No more choices of thickness than these are compared: each is a plan of its own.
const MOST_CHOICES: usize = 8;

/// Rounding of lengths.
const SAME: f64 = 1e-9;

/// Boards that share bars.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wood {
    /// Thickness of the plywood as the recipe draws it.
    pub(super) drawn: f64,
    /// Their own thickness: the mean by area, to a hundredth as a calliper reads; as drawn where it is nearly that.
    pub(super) thickness: f64,
    /// The least of them.
    least: f64,
}

impl Wood {
    fn of(boards: &[Board], drawn: f64, least: f64) -> Self {
        let own = |b: &Board| b.thickness.unwrap_or(drawn);
        let of_group = |b: &&Board| fits(b, drawn) && shared(least, own(b));
        let area = |b: &Board| f64::from(b.count.unwrap_or(1)) * b.width * b.length;
        let (sum, all) = (boards.iter().filter(of_group)).fold((0.0, 0.0), |(sum, all), b| {
            (sum + area(b) * own(b), all + area(b))
        });
        let mean = if all > 0.0 {
            (sum / all * 100.0).round() / 100.0
        } else {
            least
        };
        Self {
            drawn,
            thickness: if (mean - drawn).abs() < SETTABLE {
                drawn
            } else {
                mean
            },
            least,
        }
    }

    /// Whether it is as thick as the recipe draws it.
    pub(super) fn is_as_drawn(&self) -> bool {
        (self.thickness - self.drawn).abs() < SAME
    }

    /// Least and greatest thickness of its boards.
    pub(super) fn boards(&self) -> [f64; 2] {
        [self.least, self.least + SHARED]
    }
}

/// Boards that a plan is made with.
pub(super) struct BoardChoice {
    /// The shop with these alone.
    pub(super) shop: Shop,
    /// The boards that are left out.
    pub(super) out: Vec<Board>,
    /// How thick each plywood of the recipe is in them.
    pub(super) wood: Vec<Wood>,
}

/// The choices of boards for some plywoods, of each those that may share bars; the one nearest to the recipe first.
pub(super) fn choices(mut plywoods: Vec<f64>, shop: &Shop) -> Vec<BoardChoice> {
    plywoods.sort_by(f64::total_cmp);
    plywoods.dedup();
    let mut chosen: Vec<Vec<Wood>> = vec![Vec::new()];
    for plywood in plywoods {
        let groups = groups(&shop.boards, plywood);
        let more = chosen.iter().flat_map(|known| {
            let with =
                |&least: &f64| [&known[..], &[Wood::of(&shop.boards, plywood, least)]].concat();
            groups.iter().map(with).collect::<Vec<_>>()
        });
        let more: Vec<_> = more.take(MOST_CHOICES).collect();
        if !more.is_empty() {
            chosen = more;
        }
    }
    let of = |wood: Vec<Wood>| {
        let stays = |board: &Board| {
            let mut fitting = wood.iter().filter(|w| fits(board, w.drawn)).peekable();
            fitting.peek().is_none()
                || fitting.any(|w| shared(w.least, board.thickness.unwrap_or(w.drawn)))
        };
        let (boards, out) = shop.boards.iter().cloned().partition(stays);
        BoardChoice {
            shop: Shop {
                boards,
                ..shop.clone()
            },
            out,
            wood,
        }
    };
    chosen.into_iter().map(of).collect()
}

/// Whether a board may share bars with one of the least thickness of a group.
pub fn shared(least: f64, thickness: f64) -> bool {
    within([least, least + SHARED], thickness)
}

/// Whether a board and one of the mean thickness of its group may share bars.
pub fn may_share(thickness: f64, mean: f64) -> bool {
    within([mean - SHARED, mean + SHARED], thickness)
}

/// Thickness of boards that may stand for a plywood of the recipe.
pub(super) fn near(plywood: f64) -> [f64; 2] {
    [plywood - SLACK, plywood + SLACK]
}

pub(super) fn within([least, most]: [f64; 2], thickness: f64) -> bool {
    (least - SAME..=most + SAME).contains(&thickness)
}

/// Whether a board may stand for a plywood of the recipe.
pub fn fits(board: &Board, plywood: f64) -> bool {
    board.thickness.is_none_or(|t| within(near(plywood), t))
}

/// The least thickness of each group of boards that may share bars, the one nearest to the recipe's
/// first.
pub fn groups(boards: &[Board], plywood: f64) -> Vec<f64> {
    let fitting = boards.iter().filter(|b| fits(b, plywood));
    let mut all: Vec<f64> = fitting.map(|b| b.thickness.unwrap_or(plywood)).collect();
    all.sort_by(f64::total_cmp);
    let mut groups: Vec<f64> = Vec::new();
    for thickness in all {
        if groups.last().is_none_or(|&least| !shared(least, thickness)) {
            groups.push(thickness);
        }
    }
    groups.sort_by(|a, b| (a - plywood).abs().total_cmp(&(b - plywood).abs()));
    groups
}
