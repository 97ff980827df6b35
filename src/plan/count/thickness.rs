//! Boards of unlike thickness: which of them share bars.
//!
//! The sides of a rhombus or triangle go by the sheet's thickness, so strips of boards that differ do not
//! close. Unless the shop asks for it, a plan takes boards of one thickness for each plywood. In mm.

use super::{lots::THICKNESS_SLACK, strips::Kinds};
use crate::plan::shop::{Board, Shop};

/// Boards that differ by no more than this share bars: less than a sheet of paper, as gaps in a glued
/// joint may be (common practice).
pub(super) const SHARED: f64 = 0.1;

/// No more choices of thickness than these are compared: each is a plan of its own.
const MOST_CHOICES: usize = 8;

/// The shops that a plan may be made for, with the boards that each leaves out; none where all boards may
/// share bars.
pub(super) fn choices(kinds: &Kinds, shop: &Shop) -> Vec<(Shop, Vec<Board>)> {
    if shop.cutting.any_thickness {
        return Vec::new();
    }
    let mut plywoods: Vec<f64> = kinds.sheets.iter().map(|s| s.plywood).collect();
    plywoods.sort_by(f64::total_cmp);
    plywoods.dedup();
    // For each plywood the thicknesses there are, each with those within its reach.
    let mut chosen: Vec<Vec<(f64, f64)>> = vec![Vec::new()];
    for &plywood in &plywoods {
        let groups = groups(&shop.boards, plywood);
        let more = chosen.iter().flat_map(|known| {
            let with = |&from: &f64| [&known[..], &[(plywood, from)]].concat();
            groups.iter().map(with).collect::<Vec<_>>()
        });
        let more: Vec<_> = more.take(MOST_CHOICES).collect();
        if !more.is_empty() {
            chosen = more;
        }
    }
    if chosen.len() < 2 {
        return Vec::new();
    }
    let shop_of = |chosen: Vec<(f64, f64)>| {
        let stays = |board: &Board| {
            let mut fitting = chosen
                .iter()
                .filter(|(plywood, _)| fits(board, *plywood))
                .peekable();
            fitting.peek().is_none()
                || fitting.any(|&(plywood, from)| shared(from, board.thickness.unwrap_or(plywood)))
        };
        let (boards, out) = shop.boards.iter().cloned().partition(stays);
        let shop = Shop {
            boards,
            ..shop.clone()
        };
        (shop, out)
    };
    chosen.into_iter().map(shop_of).collect()
}

/// Whether a board may share bars with one of the least thickness of a group.
#[must_use]
pub fn shared(least: f64, thickness: f64) -> bool {
    (0.0..=SHARED + 1e-9).contains(&(thickness - least))
}

/// Whether a board may stand for a plywood of the recipe.
#[must_use]
pub fn fits(board: &Board, plywood: f64) -> bool {
    board
        .thickness
        .is_none_or(|t| (t - plywood).abs() <= THICKNESS_SLACK)
}

/// The least thickness of each group of boards that may share bars, the one nearest to the recipe's
/// first.
#[must_use]
pub fn groups(boards: &[Board], plywood: f64) -> Vec<f64> {
    let fitting = boards.iter().filter(|b| fits(b, plywood));
    let mut all: Vec<f64> = fitting.map(|b| b.thickness.unwrap_or(plywood)).collect();
    all.sort_by(f64::total_cmp);
    let mut groups: Vec<f64> = Vec::new();
    for thickness in all {
        if groups
            .last()
            .is_none_or(|from| thickness - from > SHARED + 1e-9)
        {
            groups.push(thickness);
        }
    }
    groups.sort_by(|a, b| (a - plywood).abs().total_cmp(&(b - plywood).abs()));
    groups
}
