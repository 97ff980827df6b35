//! What a chain of edges makes of a convex polygon that it passes through once.

use super::super::{Point, Polygon};

/// Points nearer than this, in mm, are one.
const SAME: f64 = 1e-9;

/// The two parts of a convex polygon through which these edges pass in one row, from rim to rim; and a point of the first
/// one, off the edges. None where they pass otherwise, or only just.
pub(super) fn sides(edges: &[(Point, Point)], polygon: &Polygon) -> Option<(Point, [Polygon; 2])> {
    let n = edges.len();
    let mut breaks = (0..n).filter(|&i| edges[i].1 != edges[(i + 1) % n].0);
    let (Some(last), None) = (breaks.next(), breaks.next()) else {
        return None;
    };
    // The way within the polygon, and the edges by which it comes in and leaves.
    let mut way: Vec<Point> = Vec::new();
    let (mut entry, mut exit) = (None, None);
    for (a, b) in (0..n).map(|i| edges[(last + 1 + i) % n]) {
        let Some(((from, by), (to, through))) = inside(a, b, polygon) else {
            continue;
        };
        if exit.is_some() || by.is_some() != way.is_empty() {
            return None;
        }
        if by.is_some() {
            entry = by;
            way.push(a.towards(b, from));
        }
        way.push(a.towards(b, to));
        exit = through;
    }
    let (entry, exit) = (entry?, exit?);
    let corners = polygon.corners();
    let count = corners.len();
    // Clockwise along the rim from where the way leaves back to where it comes in: by no corner or by all, where that is
    // the same edge.
    let start = corners[exit];
    let comes_later = way[0].distance(start) >= way[way.len() - 1].distance(start);
    let steps = match (entry + count - exit) % count {
        0 if !comes_later => count,
        steps => steps,
    };
    let along = |from: usize, steps: usize| (1..=steps).map(move |i| corners[(from + i) % count]);
    let part = |way: Vec<Point>, rim: Vec<Point>| {
        let mut all: Vec<Point> = way.into_iter().chain(rim).collect();
        all.dedup_by(|a, b| a.distance(*b) < SAME);
        Polygon::clockwise(all)
    };
    let far = |p: &Point| {
        let each = way.windows(2).map(|w| p.from_line(w[0], w[1]));
        each.fold(f64::INFINITY, f64::min)
    };
    let mark = corners.iter().max_by(|a, b| far(a).total_cmp(&far(b)))?;
    let (one, other) = (along(exit, steps), along(entry, count - steps));
    let (one, other): (Vec<Point>, Vec<Point>) = (one.collect(), other.collect());
    let first = one.contains(mark);
    let back: Vec<Point> = way.iter().rev().copied().collect();
    let parts = [part(way.clone(), one), part(back, other)];
    let inner = mark.towards(polygon.centroid(), 1e-6);
    let [one, other] = parts;
    (far(mark) > 1e-3).then_some((inner, if first { [one, other] } else { [other, one] }))
}

/// A share of a line, and the number of the polygon's edge on which it lies, where it lies on one.
type Stop = (f64, Option<usize>);

/// From where to where a line runs within a convex polygon.
fn inside(a: Point, b: Point, polygon: &Polygon) -> Option<(Stop, Stop)> {
    let (mut from, mut to): (Stop, Stop) = ((0.0, None), (1.0, None));
    for (i, (p, q)) in polygon.edges().enumerate() {
        let along = q - p;
        let (da, db) = (along.cross(a - p), along.cross(b - p));
        if da <= 0.0 && db <= 0.0 {
            return None;
        }
        if da < 0.0 && da / (da - db) >= from.0 {
            from = (da / (da - db), Some(i));
        } else if db < 0.0 && da / (da - db) <= to.0 {
            to = (da / (da - db), Some(i));
        }
    }
    (to.0 > from.0).then_some((from, to))
}
