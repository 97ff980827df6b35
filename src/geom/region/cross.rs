//! Where closed rims cross or touch themselves or one another.

use super::super::{Point, Polygon, Rect};
use super::grid::Grid;
use crate::watch;

/// Lines nearer than this, in mm, touch.
const TOUCH: f64 = 1e-6;

/// A place where edges that are no neighbours meet, or where a rim runs back on itself; none where there
/// is none. The same place for the same rims.
pub(super) fn first<'a>(rims: impl Iterator<Item = &'a Polygon>) -> Option<Point> {
    // Each edge with the number of its rim, and its place in it.
    let mut edges: Vec<(Point, Point, usize)> = Vec::new();
    // The edge after each.
    let mut next: Vec<usize> = Vec::new();
    for (number, rim) in rims.enumerate() {
        let start = edges.len();
        edges.extend(rim.edges().map(|(a, b)| (a, b, number)));
        next.extend((start + 1..edges.len()).chain([start]));
        if let Some(spike) = spike(rim) {
            return Some(spike);
        }
    }
    let bounds = Rect::around(edges.iter().flat_map(|e| [e.0, e.1]))?;
    let lines = edges.iter().map(|(a, b, _)| (*a, *b));
    let grid = Grid::of(bounds, edges.len() / 16, lines);
    let mut met: Option<(usize, usize, Point)> = None;
    for square in 0..grid.len() {
        let square = grid.passing(square);
        if !square.is_empty() {
            watch::ask();
        }
        for (k, &i) in square.iter().enumerate() {
            for &j in &square[k + 1..] {
                let (i, j) = (i as usize, j as usize);
                if next[i] == j || next[j] == i {
                    continue;
                }
                let known = met.is_some_and(|(a, b, _)| (a, b) <= (i, j));
                if !known && let Some(at) = meet(edges[i], edges[j]) {
                    met = Some((i, j, at));
                }
            }
        }
    }
    met.map(|(_, _, at)| at)
}

/// A corner where a rim turns right back.
fn spike(rim: &Polygon) -> Option<Point> {
    let n = rim.corners().len();
    (0..n).find_map(|i| {
        let (a, b) = rim.edge(i);
        let c = rim.corners()[(i + 2) % n];
        let (in_, out) = (b - a, c - b);
        let back = in_.dot(out) < 0.0;
        let off = in_.cross(out).abs() / in_.length().max(out.length());
        (back && off < TOUCH).then_some(b)
    })
}

fn meet(e: (Point, Point, usize), f: (Point, Point, usize)) -> Option<Point> {
    let ((a, b), (p, q)) = ((e.0, e.1), (f.0, f.1));
    let apart = |low: f64, high: f64, l: f64, h: f64| {
        low.max(high) + TOUCH < l.min(h) || l.max(h) + TOUCH < low.min(high)
    };
    if apart(a.x, b.x, p.x, q.x) || apart(a.y, b.y, p.y, q.y) {
        return None;
    }
    let (da, db) = sides(p, q, a, b);
    let (dp, dq) = sides(a, b, p, q);
    if da * db < 0.0 && dp * dq < 0.0 {
        return Some(a.towards(b, da / (da - db)));
    }
    let touch = [(a, p, q), (b, p, q), (p, a, b), (q, a, b)];
    let touch = touch.iter().find(|(c, p, q)| c.from_line(*p, *q) < TOUCH);
    touch.map(|(c, _, _)| *c)
}

/// On which side of the line from `p` to `q` two points lie.
fn sides(p: Point, q: Point, a: Point, b: Point) -> (f64, f64) {
    ((q - p).cross(a - p), (q - p).cross(b - p))
}
