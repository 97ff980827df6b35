//! How a bar or a loaf is held while its glue sets, and where no scraper gets afterwards. Lengths in mm.

use super::model::Workholding;
use crate::{
    geom::{Point, Polygon},
    plan::{
        glue_up::{Clamping, PRESSURES},
        shop::Shop,
    },
    stock::Bar,
};

/// Two places nearer than this, in mm, are the same.
const SAME: f64 = 1e-3;

/// A point this far beyond an edge, in mm, lies in the piece next to it.
const JUST_BEYOND: f64 = 0.2;

/// Sine of the angle within which joints count as lying flat on one another.
const FLAT: f64 = 0.01;

/// How a bar of some length is held: by clamps where all its joints lie flat.
pub(super) fn held(bar: &Bar, length: f64, shop: &Shop) -> Workholding {
    let outlines: Vec<&Polygon> = bar.parts().iter().map(|part| &part.outline).collect();
    let widest = bar.joints().iter().map(|j| j.length).max_by(f64::total_cmp);
    held_by(&outlines, widest.unwrap_or(0.0) * length, shop)
}

/// How pieces that lie edge to edge are held: by clamps, where all their joints lie flat and cauls have a flat side to
/// press on at both ends, so that no corner is crushed. `widest` is the area of the widest joint.
pub(super) fn held_by(outlines: &[&Polygon], widest: f64, shop: &Shop) -> Workholding {
    let mut ways = Vec::new();
    for (i, outline) in outlines.iter().enumerate() {
        for (a, b) in outline.edges() {
            let way = (b - a) * (1.0 / a.distance(b).max(SAME));
            let beyond = a.towards(b, 0.5) + way.left_hand() * JUST_BEYOND;
            let mut others = outlines.iter().enumerate();
            if others.any(|(j, other)| j != i && other.holds(beyond)) {
                ways.push(way);
            }
        }
    }
    let flat = |way: &Point| way.cross(ways[0]).abs() < FLAT;
    if widest > 0.0 && !ways.is_empty() && ways.iter().all(flat) && meets_cauls(outlines, ways[0]) {
        Workholding::Clamps(Clamping::of(widest, PRESSURES, shop.clamps.force))
    } else {
        Workholding::Tape
    }
}

/// Whether straight cauls along a way meet an edge of the outermost pieces on both sides, not a corner.
fn meets_cauls(outlines: &[&Polygon], way: Point) -> bool {
    let out = way.left_hand();
    let far = |p: Point| p.x * out.x + p.y * out.y;
    let corners = || outlines.iter().flat_map(|o| o.corners()).map(|&p| far(p));
    let (least, most) = corners().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
        (a.min(v), b.max(v))
    });
    [least, most].into_iter().all(|side| {
        let on = |p: Point| (far(p) - side).abs() < SAME;
        let mut edges = outlines.iter().flat_map(|o| o.edges());
        edges.any(|(a, b)| on(a) && on(b))
    })
}

/// The corners of an outline that point inward.
pub(super) fn inner_corners(outline: &Polygon) -> Vec<usize> {
    (0..outline.corners().len())
        .filter(|&i| outline.angle_at(i) > 180.0 + 1.0)
        .collect()
}
