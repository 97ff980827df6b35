//! The shift of the pattern under which the fewest tiles cover a finished rectangle.
//!
//! The number changes only where a tile comes to touch the outline or leaves it. Tried are the shifts that bring
//! the tiles that the trim cuts now just outside or just inside, across and down, to a hundredth of a mm as a
//! maker writes them: these are the ones that matter, but for the rectangle's four corners.

use serde::Serialize;

use super::{LayoutError, Panel, extent::trimmed, panel::LaidOn, trim::TrimShape};
use crate::geom::{Point, Rect, TOLERANCE};
use crate::watch;

/// Panels of more tiles than this are left as they are, so that the search stays short.
const MOST_TILES: usize = 20_000;

/// Most shifts that are tried in one direction, and most tiles that are looked at for all of them together.
const MOST_SHIFTS: usize = 24;
const MOST_LOOKS: f64 = 1e6;

/// Most shifts over a step of the lattice.
const MOST_PARTS: usize = 16;

/// A shift that takes fewer tiles than the panel's own.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fewest {
    /// To the right, in mm: what the recipe's `shift` would say.
    pub right: f64,
    /// Down, in mm.
    pub down: f64,
    /// How many tiles cover the panel then.
    pub tiles: usize,
}

/// The shift that takes the fewest tiles of those tried; none where none of them takes fewer, and for panels
/// that are not a finished rectangle, or a shape that is called by a word, alone laid over a lattice.
#[must_use]
pub fn fewest(panel: &Panel) -> Option<Fewest> {
    let (LaidOn { lattice, shift }, trim) = (panel.laid_on.as_ref()?, panel.trim.as_ref()?);
    let mut least = panel.tiles.len();
    let is_rectangle = trim.bounds().area() - trim.area() < TOLERANCE;
    if least > MOST_TILES || !(is_rectangle || matches!(trim.shape(), TrimShape::Named(_))) {
        return None;
    }
    let corner = lattice.classes()[0].bounds.min;
    let tiles_at = |shift: Point, limit: usize| -> Result<usize, LayoutError> {
        trimmed(lattice, trim, shift - corner, limit).map(|covering| covering.cells.len())
    };
    if tiles_at(*shift, least) != Ok(least) {
        // Tiles were taken away or added by hand.
        return None;
    }
    let cut: Vec<Rect> = (panel.tiles.iter().filter(|tile| !tile.whole))
        .map(|tile| panel.rim(tile).bounds())
        .collect();
    let outer = trim.bounds();
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "from 0 to 1000"
    )]
    let most = ((MOST_LOOKS / least as f64).sqrt() as usize).min(MOST_SHIFTS);
    let (column, course) = lattice.block_steps();
    let mut across = shifts(
        shift.x,
        (outer.min.x, outer.max.x),
        cut.iter().map(|b| (b.min.x, b.max.x)),
        most,
    );
    let mut down = shifts(
        shift.y,
        (outer.min.y, outer.max.y),
        cut.iter().map(|b| (b.min.y, b.max.y)),
        most,
    );
    if !is_rectangle {
        // Where the rim is not straight, tiles come and go between those shifts too.
        across = parts(shift.x, column.x.abs().max(course.x.abs()), most);
        down = parts(shift.y, column.y.abs().max(course.y.abs()), most);
    }
    let mut best = None;
    for &right in &across {
        for &down in &down {
            watch::ask();
            if let Ok(tiles) = tiles_at(Point::new(right, down), least.saturating_sub(1)) {
                least = tiles;
                best = Some(Fewest { right, down, tiles });
            }
        }
    }
    best
}

/// Shifts in one direction over a whole step of the lattice, the shortest way first.
fn parts(now: f64, step: f64, most: usize) -> Vec<f64> {
    let count = most.min(MOST_PARTS);
    let part = |k: usize| {
        // 0, 1, -1, 2, -2, ...
        let way = if k.is_multiple_of(2) { -0.5 } else { 0.5 };
        let by = way * (k + usize::from(!k.is_multiple_of(2))) as f64 * step / count.max(1) as f64;
        libm::round((now + by) * 100.0) / 100.0
    };
    (0..count).map(part).collect()
}

/// Shifts in one direction: as it is, and those that bring tiles just outside or inside, the shortest way first.
fn shifts(
    now: f64,
    (low, high): (f64, f64),
    cut: impl Iterator<Item = (f64, f64)>,
    most: usize,
) -> Vec<f64> {
    let mut all = vec![now];
    for (from, until) in cut {
        let sides = [
            (from < low).then_some([low - until, low - from]),
            (until > high).then_some([high - from, high - until]),
        ];
        for by in sides.into_iter().flatten().flatten() {
            for rounded in [libm::floor, libm::ceil].map(|round| round((now + by) * 100.0) / 100.0)
            {
                if !all.contains(&rounded) {
                    all.push(rounded);
                }
            }
        }
    }
    all.sort_by(|a, b| {
        (a - now)
            .abs()
            .total_cmp(&(b - now).abs())
            .then(a.total_cmp(b))
    });
    all.truncate(most);
    all
}
