//! Pieces laid close together on a panel: the largest first, each as far up as it goes, and there as far left.
//!
//! Bottom-left filling, here from the top (Baker, Coffman and Rivest, Orthogonal packings in two dimensions, SIAM Journal
//! on Computing 9, 1980; on outlines by squares: Oliveira and Ferreira, Algorithms for nesting problems, 1993). Places are
//! found on squares of a mm or so that each piece with half of the cut around it touches; then the pieces are drawn
//! together until the cut alone is between them. The same pieces come to the same places.

use super::apart::gap;
use super::trim::Trim;
use crate::geom::{Point, Rect, Region};
use crate::watch;

/// The most squares along the longer side.
const FINEST: f64 = 700.0;
/// The smallest squares, in mm.
const SMALLEST: f64 = 1.0;
/// How many widths of panel are tried where none is given, between those of a row and of a column.
const WIDTHS: usize = 12;
/// A rectangle nearer to a square is preferred to the smallest one where it takes no more than this many times its
/// area.
pub(super) const MORE: f64 = 1.1;
/// Steps of the bisection that finds how far a piece can be moved in.
const HALVINGS: usize = 24;

/// How pieces may lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turns {
    /// As they are drawn.
    None,
    /// After half a turn too: the grain runs as before.
    Half,
    /// After quarter turns.
    Quarter,
}

impl Turns {
    fn degrees(self) -> &'static [f64] {
        match self {
            Self::None => &[0.0],
            Self::Half => &[0.0, 180.0],
            Self::Quarter => &[0.0, 90.0, 180.0, 270.0],
        }
    }
}

/// The outlines where they come to lie, in a room from (0, 0) where there is one; none where one of them does not fit.
pub(super) fn nested(
    outlines: &[Trim],
    kerf: f64,
    room: Option<Rect>,
    turns: Turns,
) -> Option<Vec<Trim>> {
    let all: Vec<Vec<Trim>> = (outlines.iter())
        .map(|outline| {
            let turned = turns.degrees().iter().filter_map(|&by| match by {
                0.0 => Some(outline.clone()),
                by => outline.turned(by),
            });
            turned.collect()
        })
        .collect();
    if let Some(room) = room {
        let laid = on(&all, kerf, (room.width(), room.height()))?;
        return Some(drawn_in(laid, kerf));
    }
    let sizes = || all.iter().map(|ways| ways[0].bounds());
    let high: f64 = sizes()
        .map(|size| size.height().max(size.width()) + kerf)
        .sum();
    let widest = sizes().map(Rect::width).fold(0.0, f64::max);
    let in_row: f64 = sizes().map(|size| size.width() + kerf).sum();
    // By equal shares, so that many pieces are tried in few and in many columns.
    let width = |i: usize| widest * libm::pow(in_row / widest, i as f64 / (WIDTHS - 1) as f64);
    let mut found: Vec<(Vec<Trim>, Point)> = Vec::new();
    for i in 0..WIDTHS {
        let laid = on(&all, kerf, (width(i), high))?;
        let size = laid.iter().map(Trim::bounds).reduce(Rect::join);
        found.extend(size.map(|size| (laid, size.max)));
    }
    let area = |size: Point| size.x * size.y;
    let least = (found.iter().map(|(_, size)| area(*size))).fold(f64::INFINITY, f64::min);
    found.retain(|(_, size)| area(*size) <= least * MORE);
    let longer = |size: Point| size.x.max(size.y);
    let best = (found.into_iter().rev()).min_by(|a, b| longer(a.1).total_cmp(&longer(b.1)));
    best.map(|(laid, _)| drawn_in(laid, kerf))
}

/// Which squares something takes: rows of words of 64.
type Squares = Vec<Vec<u64>>;

/// All pieces, each in one of its ways, on a panel of this width and height.
fn on(all: &[Vec<Trim>], kerf: f64, (width, height): (f64, f64)) -> Option<Vec<Trim>> {
    let area: f64 = all.iter().map(|ways| ways[0].area()).sum();
    let side = (width.max((2.0 * area / width).min(height)) / FINEST).max(SMALLEST);
    let mut taken = Squares::new();
    let mut laid: Vec<Option<Trim>> = vec![None; all.len()];
    // The squares of each outline, and where it was laid last: the free space only shrinks, so the next one like it is
    // searched for from there on.
    let mut known: Vec<(&Trim, Squares, (usize, usize))> = Vec::new();
    for number in largest_first(all.iter().map(|ways| &ways[0])) {
        let mut best: Option<(f64, Point, usize, &Trim)> = None;
        for outline in &all[number] {
            let same = known.iter().position(|(of, ..)| *of == outline);
            let same = same.unwrap_or_else(|| {
                known.push((outline, squares(outline, kerf, side), (0, 0)));
                known.len() - 1
            });
            let size = outline.bounds();
            let room = (width - size.width(), height - size.height());
            let (_, own, last) = &mut known[same];
            let Some((x, y)) = first_place(own, &taken, room, (side, *last)) else {
                continue;
            };
            *last = (x, y);
            let at = Point::new(x as f64, y as f64) * side;
            let low = at.y + size.height();
            if best.is_none_or(|(before, ..)| low < before - 1e-9) {
                best = Some((low, at, same, outline));
            }
        }
        let (_, at, same, outline) = best?;
        take(&mut taken, &known[same].1, at * (1.0 / side));
        laid[number] = Some(outline.shifted(at));
    }
    Some(laid.into_iter().flatten().collect())
}

/// The numbers of outlines by their areas; of two alike the first one comes first.
fn largest_first<'a>(outlines: impl Iterator<Item = &'a Trim>) -> Vec<usize> {
    let areas: Vec<f64> = outlines.map(Trim::area).collect();
    let mut order: Vec<usize> = (0..areas.len()).collect();
    order.sort_by(|&a, &b| areas[b].total_cmp(&areas[a]));
    order
}

/// The squares whose middles lie in an outline that is grown by half of the cut and by the half diagonal of a square: all
/// that it touches, from the left and top of what is grown.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths of panels, from 0 on"
)]
fn squares(outline: &Trim, kerf: f64, side: f64) -> Squares {
    let more = kerf / 2.0 + side * std::f64::consts::FRAC_1_SQRT_2;
    let size = outline.bounds();
    let (wide, high) = (size.width() + 2.0 * more, size.height() + 2.0 * more);
    let count = |mm: f64| libm::ceil(mm / side) as usize;
    let (columns, rows) = (count(wide), count(high));
    let region = Region::of(&outline.contours()).ok();
    let grown = region.and_then(|region| region.grown(more));
    let row = |row: usize| {
        watch::ask();
        let mut words = vec![0_u64; columns / 64 + 1];
        let y = size.min.y - more + (row as f64 + 0.5) * side;
        let from = size.min.x - more;
        let line = (Point::new(from, y), Point::new(from + wide, y));
        let runs = match &grown {
            Some(grown) => grown.runs(line),
            None => vec![(0.0, wide)],
        };
        for (start, end) in runs {
            let first = libm::ceil(start / side - 0.5).max(0.0) as usize;
            let last = libm::floor(end / side - 0.5).max(0.0) as usize;
            for square in first..=last.min(columns - 1) {
                words[square / 64] |= 1 << (square % 64);
            }
        }
        words
    };
    (0..rows).map(row).collect()
}

/// The words of a row when it is moved to the right by so many squares, by their numbers.
fn moved(row: &[u64], by: usize) -> impl Iterator<Item = (usize, u64)> + '_ {
    let (words, bits) = (by / 64, by % 64);
    (0..=row.len()).map(move |i| {
        let low = row.get(i).map_or(0, |word| word << bits);
        let before = i.checked_sub(1).filter(|_| bits > 0);
        let high = before.map_or(0, |before| row[before] >> (64 - bits));
        (words + i, low | high)
    })
}

/// The first place from the top, and there from the left, where nothing is taken, from another one on; within the room
/// that is left over.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths of panels, from 0 on"
)]
fn first_place(
    own: &Squares,
    taken: &Squares,
    (right, down): (f64, f64),
    (side, from): (f64, (usize, usize)),
) -> Option<(usize, usize)> {
    if right < -1e-6 || down < -1e-6 {
        return None;
    }
    let most = |mm: f64| (mm.max(0.0) / side) as usize;
    let free = |x: usize, y: usize| {
        own.iter()
            .zip(taken.get(y..).unwrap_or_default())
            .all(|(row, taken)| {
                moved(row, x).all(|(word, bits)| taken.get(word).is_none_or(|t| t & bits == 0))
            })
    };
    let mut first = from.0;
    (from.1..=most(down)).find_map(|y| {
        watch::ask();
        let x = (std::mem::take(&mut first)..=most(right)).find(|&x| free(x, y));
        x.map(|x| (x, y))
    })
}

/// Marks what is taken, with its left and top at a place in squares.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole numbers from 0 on"
)]
fn take(taken: &mut Squares, own: &Squares, at: Point) {
    let (x, y) = (libm::round(at.x) as usize, libm::round(at.y) as usize);
    if taken.len() < y + own.len() {
        taken.resize(y + own.len(), Vec::new());
    }
    for (taken, row) in taken[y..].iter_mut().zip(own) {
        for (word, bits) in moved(row, x).filter(|(_, bits)| *bits != 0) {
            if taken.len() <= word {
                taken.resize(word + 1, 0);
            }
            taken[word] |= bits;
        }
    }
}

/// Moves each piece up, and then to the left, as far as it goes with the cut between it and the others.
fn drawn_in(mut laid: Vec<Trim>, kerf: f64) -> Vec<Trim> {
    let order = largest_first(laid.iter());
    for way in [Point::new(0.0, -1.0), Point::new(-1.0, 0.0)] {
        for &number in &order {
            watch::ask();
            let from = laid[number].bounds().min;
            let most = if way.x < 0.0 { from.x } else { from.y };
            let fits = |by: f64| {
                let there = laid[number].shifted(way * by);
                let others = (0..laid.len()).filter(|&other| other != number);
                others
                    .map(|other| &laid[other])
                    .all(|other| gap(&there, other, kerf) >= kerf)
            };
            let (mut near, mut far) = (0.0, most.max(0.0));
            if fits(far) {
                near = far;
            }
            for _ in 0..HALVINGS {
                let middle = f64::midpoint(near, far);
                if fits(middle) {
                    near = middle;
                } else {
                    far = middle;
                }
            }
            laid[number] = laid[number].shifted(way * near);
        }
    }
    laid
}
