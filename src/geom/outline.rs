//! The outline of polygons that lie edge to edge.
//!
//! Every edge is split where a corner of another polygon lies on it; pieces that two neighbours
//! run through in opposite directions cancel; what remains is chained into rims and holes. Made
//! for parts and tiles that were checked not to overlap: where they do, use `clip::common` first.

use super::{Point, Polygon, Rect, polygon::signed_area};
use crate::watch;

/// A closed chain of uncovered edges.
#[derive(Debug, Clone, PartialEq)]
pub struct Rim {
    /// The corners; of a hole too they are listed clockwise.
    pub polygon: Polygon,
    /// Which of the given polygons have a piece of it, sorted, each once.
    pub owners: Vec<usize>,
}

/// The outline of some polygons.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outline {
    /// Outer rims, one for each group of polygons that hang together by edges.
    pub rims: Vec<Rim>,
    /// Holes that polygons surround.
    pub holes: Vec<Rim>,
    /// Every uncovered piece of an edge, with the polygon that it belongs to.
    pub open: Vec<(Point, Point, usize)>,
}

/// The outline of polygons; corners within `tolerance` of one another count as one.
pub fn outline(polygons: &[Polygon], tolerance: f64) -> Outline {
    let (corners, numbers) = Corners::gather(polygons, tolerance);
    let mut pieces = Pieces::new(corners.points.len());
    let mut open = open_edges(polygons, &numbers, corners.points.len()).into_iter();
    for (owner, polygon) in polygons.iter().enumerate() {
        watch::ask();
        for (a, b) in polygon.edges() {
            if open.next() != Some(true) {
                continue;
            }
            let stops = corners.along(a, b);
            for pair in stops.windows(2) {
                let (u, v) = (pair[0], pair[1]);
                if pieces.take(v, u).is_none() {
                    pieces.leaving[u].push((v, owner));
                }
            }
        }
    }
    chain(&corners, pieces, tolerance)
}

/// No place in a list.
const NONE: usize = usize::MAX;

/// For each edge of each polygon, given the numbers of all their corners: whether no other edge runs
/// through the whole of it in the opposite direction. Most edges of a panel end here, without a look
/// at the corners around them.
fn open_edges(polygons: &[Polygon], numbers: &[usize], corners: usize) -> Vec<bool> {
    let mut open = vec![true; numbers.len()];
    // The edges that leave each corner, the latest first: where each ends, and which was the one before.
    let mut latest = vec![NONE; corners];
    let mut edges: Vec<(usize, usize)> = Vec::with_capacity(numbers.len());
    let mut rest = numbers;
    for polygon in polygons {
        watch::ask();
        let own = rest
            .split_off(..polygon.corners().len())
            .unwrap_or_default();
        for (i, &u) in own.iter().enumerate() {
            let v = *own.get(i + 1).unwrap_or(&own[0]);
            let number = edges.len();
            let mut opposite = latest[v];
            while opposite != NONE && !(open[opposite] && edges[opposite].0 == u) {
                opposite = edges[opposite].1;
            }
            edges.push((v, latest[u]));
            latest[u] = number;
            if opposite != NONE {
                open[opposite] = false;
                open[number] = false;
            }
        }
    }
    open
}

/// Pieces of edges from corner to corner, each with the number of what it belongs to.
struct Pieces {
    /// For each corner the pieces that leave it: to which corner, and whose.
    leaving: Vec<Vec<(usize, usize)>>,
}

impl Pieces {
    fn new(corners: usize) -> Self {
        Self {
            leaving: vec![Vec::new(); corners],
        }
    }

    /// Takes the latest piece from one corner to another, and says whose it was.
    fn take(&mut self, from: usize, to: usize) -> Option<usize> {
        let leaving = &mut self.leaving[from];
        let latest = leaving.iter().rposition(|&(next, _)| next == to)?;
        Some(leaving.remove(latest).1)
    }
}

fn chain(corners: &Corners, mut pieces: Pieces, tolerance: f64) -> Outline {
    let mut result = Outline::default();
    for (u, leaving) in pieces.leaving.iter_mut().enumerate() {
        // In the order of the corners, so that the outline does not depend on whose edge came first.
        leaving.sort_by_key(|&(next, _)| next);
        for &(v, owner) in &*leaving {
            result
                .open
                .push((corners.points[u], corners.points[v], owner));
        }
    }
    for start in 0..corners.points.len() {
        while let Some(&(first, _)) = pieces.leaving[start].first() {
            let mut way = vec![start];
            let mut owners = Vec::from_iter(pieces.take(start, first));
            let (mut from, mut at) = (start, first);
            loop {
                watch::ask();
                // A corner met again closes a loop: a rim that touches itself is split there.
                if let Some(seen) = way.iter().position(|&i| i == at) {
                    let corners_of_loop = way.drain(seen..).map(|i| corners.points[i]).collect();
                    result.add(corners_of_loop, owners.drain(seen..).collect(), tolerance);
                }
                if way.is_empty() && at == start {
                    break;
                }
                way.push(at);
                let Some(next) = rightmost(corners, &pieces, from, at) else {
                    break;
                };
                owners.extend(pieces.take(at, next));
                (from, at) = (at, next);
            }
        }
    }
    result
}

impl Outline {
    fn add(&mut self, corners: Vec<Point>, mut owners: Vec<usize>, tolerance: f64) {
        let area = signed_area(&corners);
        owners.sort_unstable();
        owners.dedup();
        let polygon = Polygon::clockwise(corners).simplified(tolerance);
        if polygon.area() > tolerance * polygon.perimeter() / 2.0 {
            let list = if area > 0.0 {
                &mut self.rims
            } else {
                &mut self.holes
            };
            list.push(Rim { polygon, owners });
        }
    }
}

/// Of the pieces that leave `at`, the one that turns most to the right for someone coming from
/// `from`: keeps loops that touch in a corner apart.
fn rightmost(corners: &Corners, pieces: &Pieces, from: usize, at: usize) -> Option<usize> {
    let came = corners.points[at] - corners.points[from];
    let back = super::angle::direction(-came.x, -came.y);
    let sweep = |next: usize| {
        let out = corners.points[next] - corners.points[at];
        // Anticlockwise from the way back, the first one met is the one most to the right.
        let turn = super::angle::normalised(back - super::angle::direction(out.x, out.y));
        if turn < 1e-9 { 360.0 } else { turn }
    };
    pieces.leaving[at]
        .iter()
        .map(|&(next, _)| next)
        .min_by(|&a, &b| sweep(a).total_cmp(&sweep(b)))
}

/// All corners, merged within the tolerance, in a grid for looking up.
struct Corners {
    points: Vec<Point>,
    tolerance: f64,
    /// Top left of the grid, and the side of its squares.
    origin: Point,
    side: f64,
    /// Columns and rows of it.
    size: (usize, usize),
    /// The latest corner in each square, column by column.
    latest: Vec<usize>,
    /// For each corner the one before in its square.
    before: Vec<usize>,
}

impl Corners {
    /// The corners of polygons, and the number of each one, polygon by polygon.
    fn gather(polygons: &[Polygon], tolerance: f64) -> (Self, Vec<usize>) {
        let all = || polygons.iter().flat_map(|p| p.corners().iter().copied());
        let count = all().count().max(1);
        let bounds = Rect::around(all()).unwrap_or(Rect::sized(0.0, 0.0));
        let rim: f64 = polygons.iter().map(Polygon::perimeter).sum();
        // About one corner a square; wide enough that few tiles far apart do not take many squares.
        let side = (rim / count as f64)
            .max(4.0 * tolerance)
            .max((bounds.area() / (4 * count) as f64).sqrt())
            .max(bounds.width().max(bounds.height()) / (4 * count) as f64);
        let mut corners = Self {
            points: Vec::new(),
            tolerance,
            origin: bounds.min,
            side,
            size: (usize::MAX, usize::MAX),
            latest: Vec::new(),
            before: Vec::new(),
        };
        let (columns, rows) = corners.square(bounds.max);
        corners.size = (columns + 1, rows + 1);
        corners.latest = vec![NONE; corners.size.0 * corners.size.1];
        let numbers = all().map(|p| corners.number(p)).collect();
        (corners, numbers)
    }

    /// The number of a corner, which is taken in where it is new.
    fn number(&mut self, p: Point) -> usize {
        self.find(p).unwrap_or_else(|| {
            let (column, row) = self.square(p);
            let latest = &mut self.latest[column * self.size.1 + row];
            self.before.push(*latest);
            *latest = self.points.len();
            self.points.push(p);
            *latest
        })
    }

    /// Column and row of the square that a point lies in, or is nearest to.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "saturates at the rim of the grid"
    )]
    fn square(&self, p: Point) -> (usize, usize) {
        let at = (p - self.origin) * (1.0 / self.side);
        (
            (at.x as usize).min(self.size.0 - 1),
            (at.y as usize).min(self.size.1 - 1),
        )
    }

    /// Shows all corners near a rectangle, with some further off.
    fn near(&self, low: Point, high: Point, mut show: impl FnMut(usize, Point)) {
        let margin = Point::new(self.tolerance, self.tolerance);
        let (a, b) = (self.square(low - margin), self.square(high + margin));
        for column in a.0..=b.0 {
            for &latest in &self.latest[column * self.size.1..][a.1..=b.1] {
                let mut number = latest;
                while number != NONE {
                    show(number, self.points[number]);
                    number = self.before[number];
                }
            }
        }
    }

    /// The nearest corner within the tolerance; of several that are equally near, the first.
    fn find(&self, p: Point) -> Option<usize> {
        let mut nearest: Option<(f64, usize)> = None;
        self.near(p, p, |i, corner| {
            let distance = corner.distance(p);
            if distance <= self.tolerance && nearest.is_none_or(|known| (distance, i) < known) {
                nearest = Some((distance, i));
            }
        });
        nearest.map(|(_, i)| i)
    }

    /// The corners on the way from `a` to `b`, both ends included, in order.
    fn along(&self, a: Point, b: Point) -> Vec<usize> {
        let way = b - a;
        let length = way.length();
        let low = Point::new(a.x.min(b.x), a.y.min(b.y));
        let high = Point::new(a.x.max(b.x), a.y.max(b.y));
        let mut stops: Vec<(f64, usize)> = Vec::new();
        self.near(low, high, |i, corner| {
            let off = corner - a;
            let t = off.dot(way) / length;
            if (way.cross(off) / length).abs() <= self.tolerance
                && (-self.tolerance..=length + self.tolerance).contains(&t)
            {
                stops.push((t, i));
            }
        });
        stops.sort_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1)));
        stops.into_iter().map(|(_, i)| i).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(x: f64, y: f64, w: f64, h: f64) -> Polygon {
        Rect::sized(w, h).polygon().shifted(Point::new(x, y))
    }

    #[test]
    fn two_blocks_side_by_side() {
        let o = outline(
            &[block(0.0, 0.0, 2.0, 2.0), block(2.0, 0.0, 3.0, 2.0)],
            0.01,
        );
        assert_eq!(o.rims.len(), 1);
        assert!(o.holes.is_empty());
        assert!(
            o.rims[0]
                .polygon
                .coincides(&block(0.0, 0.0, 5.0, 2.0), 1e-9)
        );
        assert_eq!(o.rims[0].owners, [0, 1]);
    }

    #[test]
    fn a_ring_of_four_planks_leaves_a_hole() {
        let ring = [
            block(0.0, 0.0, 3.0, 1.0),
            block(3.0, 0.0, 1.0, 3.0),
            block(1.0, 3.0, 3.0, 1.0),
            block(0.0, 1.0, 1.0, 3.0),
        ];
        let o = outline(&ring, 0.01);
        assert_eq!((o.rims.len(), o.holes.len()), (1, 1));
        assert!((o.rims[0].polygon.area() - 16.0).abs() < 1e-9);
        assert!((o.holes[0].polygon.area() - 4.0).abs() < 1e-9);
        assert_eq!(o.holes[0].owners, [0, 1, 2, 3]);
    }

    #[test]
    fn blocks_that_touch_in_a_corner_stay_two() {
        let o = outline(
            &[block(0.0, 0.0, 1.0, 1.0), block(1.0, 1.0, 1.0, 1.0)],
            0.01,
        );
        assert_eq!((o.rims.len(), o.holes.len()), (2, 0));
    }

    #[test]
    fn a_step_along_a_long_edge() {
        let o = outline(
            &[block(0.0, 0.0, 4.0, 1.0), block(1.0, 1.0, 1.0, 1.0)],
            0.01,
        );
        assert_eq!(o.rims.len(), 1);
        assert_eq!(o.rims[0].polygon.corners().len(), 8);
        assert!((o.rims[0].polygon.area() - 5.0).abs() < 1e-9);
    }
}
