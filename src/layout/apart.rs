//! How far outlines lie apart.

use super::trim::Trim;
use crate::geom::{Point, Polygon, Rect};
use crate::watch;

/// How far two outlines lie apart, in mm, where that is less than `most`; 0 where they overlap.
pub(super) fn gap(a: &Trim, b: &Trim, most: f64) -> f64 {
    if !a.bounds().grown(most).meets(b.bounds()) {
        return f64::INFINITY;
    }
    let (mine, theirs) = (a.loops(), b.loops());
    if a.holds_point(theirs[0].corners()[0]) || b.holds_point(mine[0].corners()[0]) {
        return 0.0;
    }
    let edges = |loops: &[Polygon], near: Rect| -> Vec<(Point, Point)> {
        let near = near.grown(most);
        let meets = |&(p, q): &(Point, Point)| Rect::around([p, q]).is_some_and(|r| r.meets(near));
        loops
            .iter()
            .flat_map(Polygon::edges)
            .filter(meets)
            .collect()
    };
    let (mine, theirs) = (edges(&mine, b.bounds()), edges(&theirs, a.bounds()));
    let mut least = f64::INFINITY;
    for &(p, q) in &mine {
        watch::ask();
        for &(r, s) in &theirs {
            let side = |a: Point, b: Point, c: Point| (b - a).cross(c - a);
            if side(p, q, r) * side(p, q, s) < 0.0 && side(r, s, p) * side(r, s, q) < 0.0 {
                return 0.0;
            }
            let ends = [
                p.from_line(r, s),
                q.from_line(r, s),
                r.from_line(p, q),
                s.from_line(p, q),
            ];
            least = ends.into_iter().fold(least, f64::min);
        }
    }
    least
}
