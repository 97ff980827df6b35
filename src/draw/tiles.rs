//! A tile's face as few shapes: one path a colour, without seams between layers.
//!
//! Two fills that meet in a line let the background through: each covers a part of the pixels
//! there. So a layer reaches a little under the neighbours that are painted after it, and only one
//! of the two colours has a smoothed edge. The colour that fills most of the face comes first. All
//! layers of one colour share a path, so that between two of them there is no seam either.

use std::collections::BTreeMap;

use super::number::{Again, Spot, push, put, spot};
use crate::watch;
use crate::{
    geom::{
        Polygon,
        clip::{HalfPlane, keep},
    },
    stock::{Colour, Face, face::Region},
};

/// How far a layer reaches under its neighbour, in mm, but at most half through it. Enough to hide
/// a seam at five pixels to the mm; more would show where the neighbour ends at a joint.
const REACH: f64 = 0.2;

/// Closed rings in one path: where the first one starts, and the rest of the path data, relative
/// to that.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Rings {
    start: Spot,
    rest: String,
}

/// What is painted for a face; the face's centre is the origin.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TileArt {
    /// The outline.
    pub(crate) outline: Rings,
    /// The colours, in the order in which they are painted.
    pub(crate) paths: Vec<(Colour, Rings)>,
    /// The mean of the face's colours.
    pub(crate) mean: Colour,
}

impl Rings {
    /// The rings of some polygons; none where nothing is left after snapping.
    pub(crate) fn of<'a>(polygons: impl IntoIterator<Item = &'a Polygon>) -> Option<Self> {
        let mut found: Option<(Self, Spot)> = None;
        for polygon in polygons {
            let mut corners: Vec<Spot> = polygon.corners().iter().map(|&p| spot(p)).collect();
            corners.dedup();
            while corners.len() > 1 && corners.first() == corners.last() {
                corners.pop();
            }
            let [first, ref others @ ..] = corners[..] else {
                continue;
            };
            if others.len() < 2 {
                continue;
            }
            let (rings, last) = found.get_or_insert_with(|| {
                let start = first;
                let rest = String::new();
                (Self { start, rest }, start)
            });
            if !rings.rest.is_empty() {
                rings.rest.push('m');
                step(&mut rings.rest, *last, first);
            }
            *last = first;
            rings.rest.push('l');
            let mut at = first;
            for (i, &next) in others.iter().enumerate() {
                let backward = next.0 < at.0;
                if i > 0 && !backward {
                    rings.rest.push(' ');
                }
                step(&mut rings.rest, at, next);
                at = next;
            }
            rings.rest.push('z');
        }
        found.map(|(rings, _)| rings)
    }

    /// Adds the path data with the origin at some place.
    pub(crate) fn push_at(&self, out: &mut String, at: Spot) {
        out.push('M');
        push(out, self.start.0 + at.0);
        out.push(' ');
        push(out, self.start.1 + at.1);
        out.push_str(&self.rest);
    }

    /// How long the data are without the place that they begin at.
    pub(crate) fn rest_length(&self) -> usize {
        self.rest.len()
    }

    /// The same as bytes; `again` is what was put last for the height of these rings.
    pub(crate) fn put_at(&self, out: &mut Vec<u8>, at: Spot, again: &mut Again) {
        out.push(b'M');
        put(out, self.start.0 + at.0);
        out.push(b' ');
        again.put(out, self.start.1 + at.1);
        out.extend_from_slice(self.rest.as_bytes());
    }

    /// The path data with the origin where it is.
    pub(crate) fn data(&self) -> String {
        let mut out = String::with_capacity(self.rest.len() + 20);
        self.push_at(&mut out, (0, 0));
        out
    }
}

/// The way from one spot to the next, as two numbers.
fn step(out: &mut String, from: Spot, to: Spot) {
    push(out, to.0 - from.0);
    if to.1 >= from.1 {
        out.push(' ');
    }
    push(out, to.1 - from.1);
}

impl TileArt {
    /// What to paint for a face.
    pub(crate) fn of(face: &Face) -> Self {
        let areas = areas(face);
        let paths = painted(face, &areas)
            .into_iter()
            .filter_map(|(colour, all)| Some((colour, Rings::of(&all)?)))
            .collect();
        Self {
            outline: Rings::of([face.outline()]).unwrap_or(Rings {
                start: (0, 0),
                rest: "z".to_owned(),
            }),
            paths,
            mean: mean(areas.iter().map(|(c, a)| (*c, *a))),
        }
    }
}

/// The colours of a face, in the order in which they are painted, each with its layers: the colour
/// that fills most comes first.
pub(crate) fn painted(face: &Face, areas: &BTreeMap<Colour, f64>) -> Vec<(Colour, Vec<Polygon>)> {
    let mut order: Vec<Colour> = areas.keys().copied().collect();
    // A stable sort: equal areas stay in the order of their colours.
    order.sort_by(|a, b| areas[b].total_cmp(&areas[a]));
    let rank = |r: &Region| order.iter().position(|&c| c == r.colour).unwrap_or(0);
    let mut polygons: Vec<Vec<Polygon>> = vec![Vec::new(); order.len()];
    for part in face.regions().chunk_by(|a, b| a.part == b.part) {
        watch::ask();
        for i in 0..part.len() {
            polygons[rank(&part[i])].push(reaching(part, i, rank));
        }
    }
    order.into_iter().zip(polygons).collect()
}

/// The area of each colour of a face, in mm^2.
pub(crate) fn areas(face: &Face) -> BTreeMap<Colour, f64> {
    let mut areas = BTreeMap::new();
    for region in face.regions() {
        *areas.entry(region.colour).or_insert(0.0) += region.polygon.area();
    }
    areas
}

/// The mean of weighted colours, channel by channel.
pub(crate) fn mean(colours: impl IntoIterator<Item = (Colour, f64)>) -> Colour {
    let (mut sum, mut all) = ([0.0; 3], 0.0);
    for (colour, weight) in colours {
        for (s, c) in sum.iter_mut().zip([colour.red, colour.green, colour.blue]) {
            *s += f64::from(c) * weight;
        }
        all += weight;
    }
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a mean of bytes is a byte, and a cast from f64 saturates"
    )]
    let [red, green, blue] = sum.map(|s| (s / all).round() as u8);
    Colour::rgb(red, green, blue)
}

/// Layer `i` of a part, reaching a little under the neighbours that are painted after it.
fn reaching(part: &[Region], i: usize, rank: impl Fn(&Region) -> usize) -> Polygon {
    let here = &part[i];
    let later = |r: &&Region| rank(r) > rank(here);
    // The part's section from some layer on to the back, and the layer that it begins with.
    let (mut section, mut top) = (here.underlay.clone(), None);
    if let Some(above) = i.checked_sub(1).map(|k| &part[k]).filter(later) {
        section = above.underlay.clone();
        top = border(above, here).map(|b| shifted(b, -reach_into(above, b.other_side())));
    }
    let bottom = part.get(i + 1).and_then(|below| {
        let line = border(here, below)?;
        let reach = if later(&below) {
            reach_into(below, line)
        } else {
            0.0
        };
        Some(shifted(line, reach).other_side())
    });
    [top, bottom]
        .into_iter()
        .flatten()
        .try_fold(section, |rest, side| keep(&rest, side))
        .unwrap_or_else(|| here.polygon.clone())
}

/// The line between two neighbouring layers; its side is that of the one nearer the back.
fn border(above: &Region, below: &Region) -> Option<HalfPlane> {
    let inward = |(a, b): (crate::geom::Point, crate::geom::Point)| {
        let way = b - a;
        let deepest = above
            .polygon
            .corners()
            .iter()
            .map(|&p| way.cross(p - a) / way.length())
            .fold(f64::NEG_INFINITY, f64::max);
        (deepest, HalfPlane::right_of(a, b))
    };
    below
        .underlay
        .edges()
        .filter(|(a, b)| a.distance(*b) > 1e-9)
        .map(inward)
        .min_by(|x, y| x.0.total_cmp(&y.0))
        .map(|(_, line)| line)
}

/// How far to reach under a layer that begins at a half plane's line.
fn reach_into(layer: &Region, side: HalfPlane) -> f64 {
    let corners = layer.polygon.corners().iter();
    let depths = corners.map(|&p| side.along.cross(p - side.on) / side.along.length());
    (depths.fold(0.0, f64::max) / 2.0).min(REACH)
}

/// The same half plane with its line moved into it by some mm.
fn shifted(side: HalfPlane, by: f64) -> HalfPlane {
    let inward = -side.along.left_hand() * (1.0 / side.along.length());
    HalfPlane {
        on: side.on + inward * by,
        ..side
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::{
        geom::{Point, Rect},
        stock::{Bar, Sheet, TileKind, shapes},
    };

    #[test]
    fn rings_are_relative_and_skip_what_vanishes() {
        let square = Rect::sized(2.0, 1.5).polygon();
        let tiny = Rect::sized(0.0002, 0.0002).polygon();
        let far = square.shifted(Point::new(-10.0, 4.0));
        let rings = Rings::of([&square, &tiny, &far]).unwrap();
        assert_eq!(rings.data(), "M0 0l2 0 0 1.5-2 0zm-10 4l2 0 0 1.5-2 0z");
        let mut moved = String::new();
        rings.push_at(&mut moved, (500, -250));
        assert!(moved.starts_with("M0.5 -0.25l2 0"));
        assert!(Rings::of([&tiny]).is_none());
    }

    #[test]
    fn the_widest_colour_reaches_under_the_others() {
        let birch = Colour::rgb(230, 210, 170);
        let sheet = Arc::new(Sheet::plywood(3, 18.0, birch).unwrap());
        let bar = Bar::plain(shapes::square(&sheet).unwrap()).unwrap();
        let art = TileArt::of(TileKind::new("t", Arc::new(bar)).face());
        // End grain on both faces (12 mm of 18), long grain in the middle painted over it: each
        // face layer reaches 0.2 mm under it.
        assert_eq!(art.paths.len(), 2);
        assert_eq!(art.paths[0].0, birch.end_grain());
        assert_eq!(
            art.paths[0].1.data(),
            "M-9 -9l18 0 0 6.2-18 0zm18 11.8l0 6.2-18 0 0-6.2z"
        );
        assert_eq!(art.paths[1].1.data(), "M9 -3l0 6-18 0 0-6z");
    }
}
