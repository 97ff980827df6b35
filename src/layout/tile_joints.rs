//! For each tile of a resolved panel: how many joints it has, and through how many lines run on.
//!
//! Neighbours are found by where they lie, so that this holds for lattices and for tiles placed
//! freely alike. Of a joint only the piece inside the finished outline counts, as in
//! [`Panel::joints`]: summed over all tiles, each joint is there twice.

use std::collections::{BTreeSet, HashMap};

use smallvec::{SmallVec, smallvec};

use super::{
    edges::{Shared, shared},
    panel::{JointCount, Panel, PlacedTile},
};
use crate::watch;
use crate::{
    geom::{Point, TOLERANCE},
    stock::face::Profile,
};

/// A joint between two faces: an edge of each, and where they touch.
type Touch = (usize, usize, Shared);

/// Two faces and the way from one to the other, in grains.
type Pair = (u32, u32, i64, i64);

/// Places that are the same when they differ by less than this, in mm.
const GRAIN: f64 = TOLERANCE / 4.0;

/// The joints of each tile, in the order of the panel's tiles.
pub fn tile_joints(panel: &Panel) -> Vec<JointCount> {
    let profiles: Vec<Vec<Profile>> = panel.faces.iter().map(|f| f.face.profiles()).collect();
    let grid = Grid::of(panel);
    let mut known: HashMap<Pair, Vec<(Touch, bool)>> = HashMap::new();
    let mut counts = vec![JointCount::default(); panel.tiles.len()];
    for (one, tile) in panel.tiles.iter().enumerate() {
        watch::ask();
        for other in grid.near(tile) {
            // Each pair once.
            if other <= one {
                continue;
            }
            let their = &panel.tiles[other];
            let by = their.at - tile.at;
            let key = (tile.face, their.face, grains(by.x), grains(by.y));
            let touches = known
                .entry(key)
                .or_insert_with(|| touches(panel, &profiles, tile, their));
            for &((edge, other_edge, piece), matched) in touches.iter() {
                let inside: SmallVec<[bool; 1]> = match &panel.trim {
                    Some(trim) if !(tile.whole && their.whole) => {
                        let (a, b) = panel.faces[tile.face as usize].face.outline().edge(edge);
                        let mine = &profiles[tile.face as usize][edge];
                        let theirs = &profiles[their.face as usize][other_edge];
                        let pieces = piece.within((a + tile.at, b + tile.at), trim);
                        pieces.iter().map(|p| p.matches(mine, theirs)).collect()
                    }
                    _ => smallvec![matched],
                };
                for side in [one, other] {
                    counts[side].all += inside.len() as u64;
                    counts[side].matched += inside.iter().filter(|m| **m).count() as u64;
                }
            }
        }
    }
    counts
}

/// The joints of some tiles, by number, through which lines run on: both ends of each in mm on the
/// panel, each joint once.
pub fn runs_on(panel: &Panel, tiles: &BTreeSet<usize>) -> Vec<(Point, Point)> {
    let profiles: Vec<Vec<Profile>> = panel.faces.iter().map(|f| f.face.profiles()).collect();
    let grid = Grid::of(panel);
    let mut found = Vec::new();
    for &one in tiles {
        watch::ask();
        let Some(tile) = panel.tiles.get(one) else {
            continue;
        };
        for other in grid.near(tile) {
            if other == one || (other < one && tiles.contains(&other)) {
                continue;
            }
            let their = &panel.tiles[other];
            for ((edge, other_edge, piece), _) in touches(panel, &profiles, tile, their) {
                let (a, b) = panel.faces[tile.face as usize].face.outline().edge(edge);
                let (a, b) = (a + tile.at, b + tile.at);
                let inside = (panel.trim.as_ref())
                    .map_or_else(|| smallvec![piece], |trim| piece.within((a, b), trim));
                let mine = &profiles[tile.face as usize][edge];
                let theirs = &profiles[their.face as usize][other_edge];
                let runs = (inside.iter()).filter(|piece| piece.matches(mine, theirs));
                let length = a.distance(b);
                found.extend(
                    runs.map(|p| (a.towards(b, p.from / length), a.towards(b, p.to / length))),
                );
            }
        }
    }
    found
}

/// All pieces of edges at which two placed tiles touch, and whether lines run on through each.
fn touches(
    panel: &Panel,
    profiles: &[Vec<Profile>],
    tile: &PlacedTile,
    their: &PlacedTile,
) -> Vec<(Touch, bool)> {
    let (mine, other) = (panel.rim(tile), panel.rim(their));
    let near = mine.bounds().grown(TOLERANCE).meets(other.bounds());
    if !near {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (e, edge) in mine.edges().enumerate() {
        watch::ask();
        for (o, its) in other.edges().enumerate() {
            if let Some(piece) = shared(edge, its) {
                let (a, b) = (tile.face as usize, their.face as usize);
                let matched = piece.matches(&profiles[a][e], &profiles[b][o]);
                found.push(((e, o, piece), matched));
            }
        }
    }
    found
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 saturates, far outside any panel"
)]
fn grains(mm: f64) -> i64 {
    (mm / GRAIN).round() as i64
}

/// The tiles by the square that their centre lies in; the squares are as large as the largest tile.
struct Grid {
    side: f64,
    squares: HashMap<(i64, i64), Vec<usize>>,
}

impl Grid {
    fn of(panel: &Panel) -> Self {
        let side = panel
            .faces
            .iter()
            .map(|f| f.face.bounds().grown(TOLERANCE))
            .fold(1.0_f64, |most, b| most.max(b.width()).max(b.height()));
        let mut grid = Self {
            side,
            squares: HashMap::new(),
        };
        for (i, tile) in panel.tiles.iter().enumerate() {
            let square = grid.square(tile);
            grid.squares.entry(square).or_default().push(i);
        }
        grid
    }

    #[allow(
        clippy::cast_possible_truncation,
        reason = "a cast from f64 saturates, far outside any panel"
    )]
    fn square(&self, tile: &PlacedTile) -> (i64, i64) {
        let of = |mm: f64| (mm / self.side).floor() as i64;
        (of(tile.at.x), of(tile.at.y))
    }

    /// The tiles that can touch this one, itself among them. An outline's centre lies inside its
    /// bounds, so two that touch are at most two squares apart.
    fn near(&self, tile: &PlacedTile) -> impl Iterator<Item = usize> + '_ {
        let (x, y) = self.square(tile);
        (y - 2..=y + 2)
            .flat_map(move |j| (x - 2..=x + 2).map(move |i| (i, j)))
            .filter_map(|square| self.squares.get(&square))
            .flatten()
            .copied()
    }
}
