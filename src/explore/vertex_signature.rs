//! What meets in a point of a pattern: the colours round it, and the points where that is more than
//! one colour or one straight border.

use std::collections::BTreeMap;

use super::pattern::{Copy, Instance, Joints, Pattern};
use crate::{
    geom::{Isometry, Point, TOLERANCE, angle},
    stock::Colour,
};

/// Directions within this many degrees count as one: on the shortest edge that a layer has, half a
/// millimetre, the tolerance makes about a degree.
const ANGLE: f64 = 1.2;

/// A sector of one colour round a point.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Sector {
    /// Direction in degrees at which it begins; it runs clockwise.
    from: f64,
    /// Degrees.
    width: f64,
    colour: Colour,
    tile: Option<Instance>,
}

/// The colours round a point.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct VertexSignature {
    /// Where, in the wrapped repeat.
    pub(crate) at: Point,
    /// Clockwise; neighbours differ.
    sectors: Vec<Sector>,
}

impl VertexSignature {
    /// The signature of a wrapped place.
    fn at(pattern: &Pattern, at: Point) -> Self {
        let mut sectors: Vec<Sector> = pattern
            .touching(at)
            .into_iter()
            .map(|copy| {
                let (from, width) = wedge(copy, at);
                Sector {
                    from,
                    width,
                    colour: pattern.colour(copy),
                    tile: (pattern.joints() == Joints::Seen).then_some(copy.tile),
                }
            })
            .collect();
        sectors.sort_by(|x, y| x.from.total_cmp(&y.from));
        Self {
            at,
            sectors: merged(sectors),
        }
    }

    /// Whether there is more than one colour or one straight border.
    fn is_vertex(&self) -> bool {
        match self.sectors.as_slice() {
            [] | [_] => false,
            [a, b] => (a.width - 180.0).abs() > ANGLE || (b.width - 180.0).abs() > ANGLE,
            _ => true,
        }
    }

    /// Whether a turn or mirror about the point gives the other signature's colours and directions.
    pub(crate) fn becomes(&self, by: Isometry, other: &Self) -> bool {
        self.sectors.len() == other.sectors.len()
            && self.sectors.iter().all(|s| {
                let from = if by.flip {
                    180.0 - s.from - s.width
                } else {
                    s.from
                };
                other.sectors.iter().any(|o| {
                    o.colour == s.colour
                        && (o.width - s.width).abs() <= ANGLE
                        && angle::between(o.from, from + by.turn) <= ANGLE
                })
            })
    }

    /// A coarse key that turns and mirrors do not change.
    fn signature(&self) -> Vec<(Colour, i64)> {
        #[allow(clippy::cast_possible_truncation, reason = "an angle of one turn")]
        let coarse = |width: f64| libm::round(width / 5.0) as i64;
        let mut all: Vec<_> = self
            .sectors
            .iter()
            .map(|s| (s.colour, coarse(s.width)))
            .collect();
        all.sort_unstable();
        all
    }
}

/// The signatures of the points of one repeat in which more meets than one colour or one straight
/// border.
pub(crate) fn vertices(pattern: &Pattern) -> Vec<VertexSignature> {
    let mut places = Places::new(pattern);
    pattern
        .pieces()
        .iter()
        .flat_map(|p| p.polygon.corners())
        .filter_map(|&corner| places.add(pattern.periods().wrapped(corner)))
        .map(|at| VertexSignature::at(pattern, at))
        .filter(VertexSignature::is_vertex)
        .collect()
}

/// The number of a star of the rarest sort.
pub(crate) fn rarest(stars: &[VertexSignature]) -> Option<usize> {
    let mut sorts: BTreeMap<Vec<(Colour, i64)>, (usize, usize)> = BTreeMap::new();
    for (index, star) in stars.iter().enumerate() {
        sorts.entry(star.signature()).or_insert((0, index)).0 += 1;
    }
    sorts.into_values().min().map(|(_, index)| index)
}

/// Places met so far, on the torus of a pattern.
struct Places<'a> {
    pattern: &'a Pattern,
    known: BTreeMap<(i64, i64), Vec<Point>>,
}

impl<'a> Places<'a> {
    fn new(pattern: &'a Pattern) -> Self {
        Self {
            pattern,
            known: BTreeMap::new(),
        }
    }

    /// Notes a wrapped place; none where one is known within the tolerance.
    fn add(&mut self, at: Point) -> Option<Point> {
        let steps = self.pattern.periods().steps();
        // A place on the rim of the repeat may be known on the other side.
        let shifts = [Point::ZERO, steps[0], steps[1], steps[0] + steps[1]];
        let known = shifts.iter().flat_map(|&s| [at + s, at - s]).any(|p| {
            let (x, y) = key(p);
            (x - 1..=x + 1)
                .flat_map(|i| (y - 1..=y + 1).map(move |j| (i, j)))
                .filter_map(|k| self.known.get(&k))
                .flatten()
                .any(|q| q.distance(p) <= 2.0 * TOLERANCE)
        });
        if known {
            return None;
        }
        self.known.entry(key(at)).or_default().push(at);
        Some(at)
    }
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "saturates far outside any panel"
)]
fn key(p: Point) -> (i64, i64) {
    let side = 4.0 * TOLERANCE;
    ((p.x / side).floor() as i64, (p.y / side).floor() as i64)
}

/// Which directions from a point on it lead into a convex piece: the first, and how many degrees
/// clockwise.
fn wedge(copy: &Copy, at: Point) -> (f64, f64) {
    let polygon = &copy.polygon;
    let direction = |v: Point| angle::direction(v.x, v.y);
    let corner = polygon
        .corners()
        .iter()
        .position(|c| c.distance(at) <= 2.0 * TOLERANCE);
    if let Some(i) = corner {
        let (here, next) = polygon.edge(i);
        return (direction(next - here), polygon.angle_at(i));
    }
    let edge = polygon
        .edges()
        .find(|&(a, b)| (b - a).cross(at - a).abs() <= TOLERANCE * a.distance(b));
    match edge {
        Some((a, b)) => (direction(b - a), 180.0),
        None => (0.0, 360.0),
    }
}

fn merged(sectors: Vec<Sector>) -> Vec<Sector> {
    let joins = |a: &Sector, b: &Sector| {
        a.colour == b.colour
            && a.tile == b.tile
            && angle::between(a.from + a.width, b.from) <= ANGLE
    };
    let mut all: Vec<Sector> = Vec::with_capacity(sectors.len());
    for s in sectors {
        match all.last_mut() {
            Some(last) if joins(last, &s) => last.width += s.width,
            _ => all.push(s),
        }
    }
    while all.len() > 1 && joins(&all[all.len() - 1], &all[0]) {
        let last = all.remove(all.len() - 1);
        all[0].from = last.from;
        all[0].width += last.width;
    }
    all
}
