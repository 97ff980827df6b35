//! Of all ways to lay a tile that show the same, the plan tells one with the fewest moves: a tile is turned
//! over only where no turn does, and turned as little as may be. Found by trying every way that brings
//! the tile's farthest corner onto a corner of what is to be seen.

use std::collections::BTreeSet;

use crate::bench::{Fault, Seen};
use crate::section::{P, SAME, area, common, distance, least, mirrored, most, moved, turned};
use crate::told::Tile;

/// Turns, in degrees, that differ by less are the same.
const SAME_TURN: f64 = 0.01;

/// Holds every way in which the tiles of a panel are laid against all others.
pub(crate) fn fewest_moves(laid: &[(Tile, Vec<Seen>)]) -> Result<(), Fault> {
    let mut known: BTreeSet<(&str, bool, u64)> = BTreeSet::new();
    for (tile, seen) in laid {
        if known.insert((&tile.piece, tile.flip, tile.turn.to_bits())) {
            let shown = each(seen, |s| moved(s, -tile.at.0, -tile.at.1));
            one(tile, &shown)?;
        }
    }
    Ok(())
}

fn one(tile: &Tile, shown: &[Seen]) -> Result<(), Fault> {
    let sliced = each(shown, |s| {
        let back = turned(s, -tile.turn);
        if tile.flip { mirrored(&back) } else { back }
    });
    for flip in [false, true] {
        let start = if flip {
            each(&sliced, mirrored)
        } else {
            sliced.clone()
        };
        for turn in turns(&start, shown) {
            let fewer = if flip == tile.flip {
                small(turn) + SAME_TURN < small(tile.turn)
            } else {
                tile.flip
            };
            if fewer && covered(&each(&start, |s| turned(s, turn)), shown) {
                return Err(format!(
                    "tile {}-{} is told flipped: {}, turned by {:.2}; flipped: {flip}, turned by {turn:.2} shows \
                     the same",
                    tile.course, tile.number, tile.flip, tile.turn
                ));
            }
        }
    }
    Ok(())
}

/// The turn itself or the one the other way round, whichever is less.
fn small(turn: f64) -> f64 {
    let turn = turn.rem_euclid(360.0);
    turn.min(360.0 - turn)
}

/// Every turn that brings the farthest corner of one picture onto a corner of another.
fn turns(from: &[Seen], onto: &[Seen]) -> Vec<f64> {
    let corners =
        |seen: &[Seen]| -> Vec<P> { seen.iter().flat_map(|s| s.section.clone()).collect() };
    let far = |p: &P| distance(*p, (0.0, 0.0));
    let all = corners(from);
    let farthest = *(all.iter())
        .max_by(|a, b| far(a).total_cmp(&far(b)))
        .expect("a tile has corners");
    let direction = |p: P| libm::atan2(p.1, p.0).to_degrees();
    let mut turns: Vec<f64> = (corners(onto).into_iter())
        .filter(|p| (far(p) - far(&farthest)).abs() < SAME)
        .map(|p| (direction(p) - direction(farthest)).rem_euclid(360.0))
        .collect();
    turns.sort_by(f64::total_cmp);
    turns.dedup_by(|a, b| (*a - *b).abs() < SAME_TURN);
    turns
}

/// Whether every coloured area of one picture lies on areas of that colour in the other.
fn covered(picture: &[Seen], by: &[Seen]) -> bool {
    picture.iter().all(|s| {
        let long = most(&s.section, |p| p.0) - least(&s.section, |p| p.0)
            + most(&s.section, |p| p.1)
            - least(&s.section, |p| p.1);
        let alike = by
            .iter()
            .filter(|t| t.colour == s.colour && meet(&s.section, &t.section));
        let both: f64 = alike.map(|t| common(&s.section, &t.section)).sum();
        area(&s.section) - both < 2.0 * SAME * long
    })
}

fn meet(a: &[P], b: &[P]) -> bool {
    let apart = |of: fn(&P) -> f64| most(a, of) < least(b, of) || most(b, of) < least(a, of);
    !apart(|p| p.0) && !apart(|p| p.1)
}

fn each(seen: &[Seen], by: impl Fn(&[P]) -> Vec<P>) -> Vec<Seen> {
    let one = |s: &Seen| Seen {
        section: by(&s.section),
        ..s.clone()
    };
    seen.iter().map(one).collect()
}
